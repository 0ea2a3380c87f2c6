"""A bath of tricaine in this water: its acid, the bicarbonate for it, and pH, CO2 and NH3 at once and when it has aired."""

from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.errors import Refused
from waterplan.published import Numbers, published
from waterplan.water.ammonia import nh3_mg_n_per_l
from waterplan.water.carbonate import bicarbonate_for_alkalinity_mg_per_l
from waterplan.water.carbonate_change import after_change, tricaine_acid_mmol_per_l

# mg of CaCO3 that take up a millimole of strong acid, from the standard atomic weights.
_MG_CACO3_PER_MMOL = 50.043


@dataclass(frozen=True, slots=True, kw_only=True)
class TricaineWater:
    """The water of a bath at once, before gas is lost (`closed_`), and when it has aired (`aired_`)."""

    alkalinity_mg_caco3_per_l: Numbers
    closed_ph: Numbers
    closed_co2_mg_per_l: Numbers
    closed_nh3_mg_n_per_l: Numbers
    aired_ph: Numbers
    aired_co2_mg_per_l: Numbers
    aired_nh3_mg_n_per_l: Numbers


@published(source="iupac_weights", locator="one strong acid for each tricaine methanesulfonate", status="derived")
def tricaine_acid_mg_caco3_per_l(tricaine_mg_per_l: Numbers) -> Numbers:
    """Alkalinity that tricaine takes out of the water.

    Parameters
    ----------
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].

    Returns
    -------
    float or array
        Alkalinity taken [mg/L as CaCO3].

    Raises
    ------
    ImpossibleInput
        The level is negative or not finite.

    Notes
    -----
    0.1915 mg as CaCO3 for each mg: one equivalent of methanesulfonic acid in 261.3 g. Checked against hand arithmetic.

    Examples
    --------
    >>> round(tricaine_acid_mg_caco3_per_l(100.0), 1)
    19.2
    """
    return tricaine_acid_mmol_per_l(tricaine_mg_per_l) * _MG_CACO3_PER_MMOL


@published(source="iupac_weights", locator="alkalinity balance", status="derived")
def bicarbonate_needed_mg_per_l(
    tricaine_mg_per_l: Numbers, *, alkalinity_mg_caco3_per_l: Numbers, end_alkalinity_mg_caco3_per_l: Numbers
) -> Numbers:
    """Sodium bicarbonate that leaves a wanted alkalinity once tricaine has taken its part.

    Parameters
    ----------
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity of the water before [mg/L as CaCO3].
    end_alkalinity_mg_caco3_per_l : float or array
        Alkalinity wanted in the bath [mg/L as CaCO3].

    Returns
    -------
    float or array
        Sodium bicarbonate, 0 where the water carries the acid by itself [mg/L].

    Raises
    ------
    ImpossibleInput
        A figure is negative or not finite.

    Notes
    -----
    What the water needs, against the 1 to 1 by mass of the trade (`tricaine_buffer`), which brings about three times
    what the acid takes. Checked by putting it back into the balance.

    Examples
    --------
    >>> round(bicarbonate_needed_mg_per_l(100.0, alkalinity_mg_caco3_per_l=0.0, end_alkalinity_mg_caco3_per_l=0.0), 1)
    32.2
    """
    wanted = end_alkalinity_mg_caco3_per_l + tricaine_acid_mg_caco3_per_l(tricaine_mg_per_l)
    return bicarbonate_for_alkalinity_mg_per_l(wanted, alkalinity_mg_caco3_per_l=alkalinity_mg_caco3_per_l)


@published(source="plummer_busenberg_1982", locator="through waterplan.water.carbonate_change", status="derived")
def tricaine_water(
    ph: Numbers,
    *,
    alkalinity_mg_caco3_per_l: Numbers,
    water_temp_c: Numbers,
    tricaine_mg_per_l: Numbers,
    bicarbonate_mg_per_l: Numbers,
    tan_mg_n_per_l: Numbers = 0.0,
    air_pressure_kpa: Numbers = 101.325,
) -> TricaineWater:
    """pH, carbon dioxide and un-ionised ammonia of a tricaine bath, at once and when it has aired.

    Parameters
    ----------
    ph : float or array
        pH of the water before.
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity of the water before [mg/L as CaCO3].
    water_temp_c : float or array
        Water temperature [°C].
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].
    bicarbonate_mg_per_l : float or array
        Sodium bicarbonate added [mg/L as NaHCO3].
    tan_mg_n_per_l : float or array
        Total ammonia of the water [mg/L as N].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].

    Returns
    -------
    TricaineWater
        Alkalinity left; pH, CO2 and NH3 closed and aired.

    Raises
    ------
    ImpossibleInput
        A figure is impossible, or the pH is too high for so little alkalinity.
    Refused
        The acid takes all the alkalinity, somewhere in the draws.

    Notes
    -----
    Bicarbonate frees as much carbon dioxide as it takes up acid, about 16.8 mg/L for 100 mg/L of tricaine: the bath
    begins more acid than it ends. The CO2 is at its worst closed and the NH3 at its worst aired, so both are given. What
    the fish breathes out comes on top. Checked against PyCO2SYS.

    Examples
    --------
    >>> bath = tricaine_water(
    ...     7.6, alkalinity_mg_caco3_per_l=100.0, water_temp_c=20.0, tricaine_mg_per_l=100.0, bicarbonate_mg_per_l=100.0
    ... )
    >>> round(bath.closed_ph, 1), round(bath.aired_ph, 1)
    (7.1, 8.6)
    """
    changed = after_change(
        ph,
        alkalinity_mg_caco3_per_l=alkalinity_mg_caco3_per_l,
        water_temp_c=water_temp_c,
        acid_mmol_per_l=tricaine_acid_mmol_per_l(tricaine_mg_per_l),
        bicarbonate_mg_per_l=bicarbonate_mg_per_l,
        air_pressure_kpa=air_pressure_kpa,
    )
    least = float(np.min(changed.alkalinity_mg_caco3_per_l))
    if least <= 0.0:
        raise Refused(
            f"the acid of the tricaine takes all the alkalinity ({least:.0f} mg/L as CaCO3 is left) and the pH falls "
            f"out of what a fish bears: buffer the bath with bicarbonate"
        )
    return TricaineWater(
        alkalinity_mg_caco3_per_l=changed.alkalinity_mg_caco3_per_l,
        closed_ph=changed.closed_ph,
        closed_co2_mg_per_l=changed.closed_co2_mg_per_l,
        closed_nh3_mg_n_per_l=nh3_mg_n_per_l(tan_mg_n_per_l, ph=changed.closed_ph, water_temp_c=water_temp_c),
        aired_ph=changed.aired_ph,
        aired_co2_mg_per_l=changed.aired_co2_mg_per_l,
        aired_nh3_mg_n_per_l=nh3_mg_n_per_l(tan_mg_n_per_l, ph=changed.aired_ph, water_temp_c=water_temp_c),
    )


def buffer_ratio(how: str) -> tables.Row:
    """Bicarbonate for a gram of tricaine as the trade and the papers give it.

    Parameters
    ----------
    how : str
        Which rule, as in the table `tricaine_buffer`.

    Returns
    -------
    tables.Row
        `value` [g/g] with its source and status.

    Raises
    ------
    LookupError
        The table has no such rule.

    Notes
    -----
    By mass; the water's own alkalinity decides what it does to pH.

    Examples
    --------
    >>> buffer_ratio("one to one").value
    1.0
    """
    return tables.row("tricaine_buffer", how=how)
