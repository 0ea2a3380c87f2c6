"""What is on the bottle: strength in every unit of the trade, its basis, and how long it keeps."""

from enum import StrEnum

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, published, require_possible


class StrengthUnit(StrEnum):
    """The units in which a label states a strength; a bare % or ppm does not say what it is of."""

    MG_PER_ML = "mg/mL"
    G_PER_L = "g/L"
    MG_PER_L = "mg/L"
    PERCENT_WV = "% w/v"
    PERCENT_WW = "% w/w"
    PPM_BY_MASS = "ppm by mass"


class OneTo(StrEnum):
    """What "1 to n" means: the two readings differ by one part."""

    IN = "1 part in n parts in all"
    PLUS = "1 part and n parts of water"


# mg/mL for one unit of the label; for the units by mass, of a product of 1 kg/L.
_MG_PER_ML = {
    StrengthUnit.MG_PER_ML: 1.0,
    StrengthUnit.G_PER_L: 1.0,
    StrengthUnit.MG_PER_L: 1e-3,
    StrengthUnit.PERCENT_WV: 10.0,
    StrengthUnit.PERCENT_WW: 10.0,
    StrengthUnit.PPM_BY_MASS: 1e-3,
}
_BY_MASS = frozenset({StrengthUnit.PERCENT_WW, StrengthUnit.PPM_BY_MASS})
_PURE_WV_PERCENT = 100.0


@published(source="waterplan", locator="unit conversion", status="derived")
def strength_mg_per_ml(
    label_strength: Numbers,
    *,
    unit: StrengthUnit,
    density_kg_per_l: Numbers | None = None,
) -> Numbers:
    """Active substance in a millilitre of a product.

    Parameters
    ----------
    label_strength : float or array
        The number on the label [as on the label].
    unit : StrengthUnit
        The unit on the label.
    density_kg_per_l : float or array, optional
        Density of the product, needed for a strength by mass [kg/L].

    Returns
    -------
    float or array
        Active substance [mg/mL].

    Raises
    ------
    ImpossibleInput
        The strength is negative or above pure, or a strength by mass comes without its density.

    Notes
    -----
    1 % w/v is 10 mg/mL. % w/w and ppm by mass need the density: 35 % w/w hydrogen peroxide (1.1317 kg/L) is 396.1
    mg/mL. Checked against 21 CFR 529.1150 and hand arithmetic.

    Examples
    --------
    >>> strength_mg_per_ml(5.0, unit=StrengthUnit.PERCENT_WV)
    50.0
    """
    pure_mg_per_ml: Numbers = _PURE_WV_PERCENT * 10.0
    strength = label_strength * _MG_PER_ML[unit]
    if density_kg_per_l is not None:
        pure_mg_per_ml = pure_mg_per_ml * density_kg_per_l
        strength = strength * density_kg_per_l if unit in _BY_MASS else strength
    elif unit in _BY_MASS:
        raise ImpossibleInput("density_kg_per_l", None, f"given for a strength in {unit}")
    if np.any(strength > pure_mg_per_ml):
        raise ImpossibleInput("label_strength", label_strength, "not stronger than the pure substance", unit=str(unit))
    return strength


@published(source="waterplan", locator="arithmetic", status="derived")
def dilution_fraction(parts: Numbers, *, meaning: OneTo) -> Numbers:
    """Share of the stock in a dilution of 1 to n.

    Parameters
    ----------
    parts : float or array
        The n of 1 to n.
    meaning : OneTo
        Whether the n parts are all of it or the water alone.

    Returns
    -------
    float or array
        Share of the stock in the mixture [fraction].

    Raises
    ------
    ImpossibleInput
        n is below 1 or not finite.

    Notes
    -----
    1 in 10 is a tenth; 1 and 10 is an eleventh. Checked against hand arithmetic.

    Examples
    --------
    >>> dilution_fraction(10.0, meaning=OneTo.IN)
    0.1
    """
    return 1.0 / (parts + (1.0 if OneTo(meaning) is OneTo.PLUS else 0.0))


def past_keeping(stock: str, *, age_d: float) -> tables.Row | None:
    """What follows from the age of a stock, from the table `stock_keeping`.

    Parameters
    ----------
    stock : str
        Name of the stock in the table.
    age_d : float
        Days since the stock was opened or made [d].

    Returns
    -------
    tables.Row or None
        `value` is the longest a stock is kept [d]; `then` whether an older one is refused or only cautioned. None where
        it is not older than that.

    Raises
    ------
    LookupError
        No such stock.
    ImpossibleInput
        The age is negative or not finite.

    Notes
    -----
    The label comes before the table.

    Examples
    --------
    >>> past_keeping("tricaine stock", age_d=45.0)["then"]
    'refuse'
    """
    require_possible("age_d", age_d, tables.glossary()["age_d"].possible, "d")
    row = tables.row("stock_keeping", stock=stock)
    return row if age_d > row.value else None
