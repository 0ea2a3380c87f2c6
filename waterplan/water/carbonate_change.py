"""What bicarbonate and acid do to pH and carbon dioxide: closed at first, and when the water has aired."""

from dataclasses import dataclass

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers, published
from waterplan.water.blocks import in_blocks
from waterplan.water.carbonate_system import (
    CO2_MG_PER_MOL,
    MG_CACO3_PER_EQ,
    NAHCO3_MG_PER_MOL,
    carbon_mol_per_l,
    co2_mol_per_l,
    ph_of_carbon,
    ph_of_co2,
    refuse_more_hydroxide_than_alkalinity,
)
from waterplan.water.gas import co2_at_air_equilibrium_mg_per_l

_TRICAINE_MG_PER_MMOL = 261.29


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedWater:
    """Fresh water after something was dissolved in it: at once, before gas is lost, and when it has aired.

    Alkalinity may be negative, where more acid went in than the water could take up.
    """

    alkalinity_mg_caco3_per_l: Numbers
    closed_ph: Numbers
    closed_co2_mg_per_l: Numbers
    aired_ph: Numbers
    aired_co2_mg_per_l: Numbers

    def __post_init__(self) -> None:
        if isinstance(self.closed_ph, float) and not 0.0 <= self.closed_ph <= 14.0:
            raise ImpossibleInput("closed_ph", self.closed_ph, "0 to 14")


@published(
    source="plummer_busenberg_1982",
    locator="log K1 and log K2 by temperature; alkalinity and carbon kept; the air's carbon dioxide after Weiss (1974)",
    status="derived",
    fitted={"water_temp_c": (0.0, 45.0)},
)
def after_change(
    ph: Numbers,
    *,
    alkalinity_mg_caco3_per_l: Numbers,
    water_temp_c: Numbers,
    acid_mmol_per_l: Numbers = 0.0,
    bicarbonate_mg_per_l: Numbers = 0.0,
    co2_in_air_ppm: Numbers = 420.0,
    air_pressure_kpa: Numbers = 101.325,
    ionic_strength_mol_per_l: Numbers = 0.0,
) -> ChangedWater:
    """Fresh water after an acid, sodium bicarbonate or both were added to it.

    Parameters
    ----------
    ph : float or array
        pH before.
    alkalinity_mg_caco3_per_l : float or array
        Alkalinity before [mg/L as CaCO3].
    water_temp_c : float or array
        Water temperature [°C].
    acid_mmol_per_l : float or array
        Strong acid added [mmol/L].
    bicarbonate_mg_per_l : float or array
        Sodium bicarbonate added [mg/L as NaHCO3].
    co2_in_air_ppm : float or array
        Carbon dioxide in dry air [ppm].
    air_pressure_kpa : float or array
        Air pressure where the water is [kPa].
    ionic_strength_mol_per_l : float or array
        Ionic strength [mol/L].

    Returns
    -------
    ChangedWater
        Alkalinity, and pH and carbon dioxide at once (closed) and when the water has aired.

    Raises
    ------
    ImpossibleInput
        An argument is not possible, or the pH is too high for so little alkalinity.

    Notes
    -----
    Acid takes alkalinity and leaves the carbon; bicarbonate adds one of each. The carbon dioxide that acid sets free
    is at its height at once; as it leaves, the pH drifts up, and un-ionised ammonia with it. Carbonate that falls out
    of hard water is left out, so that the aired pH is an upper bound there. Checked against the closed-system figures
    of SRAC (100 mg/L of bicarbonate at pH 10), within their 0.1, and against PyCO2SYS.

    Examples
    --------
    >>> water = after_change(10.0, alkalinity_mg_caco3_per_l=200.0, water_temp_c=25.0, bicarbonate_mg_per_l=100.0)
    >>> round(water.closed_ph, 1)
    9.8
    """
    strength = ionic_strength_mol_per_l
    alkalinity_eq = alkalinity_mg_caco3_per_l / MG_CACO3_PER_EQ
    before = in_blocks(
        co2_mol_per_l, ph=ph, alkalinity_eq=alkalinity_eq, water_temp_c=water_temp_c, ionic_strength=strength
    )
    refuse_more_hydroxide_than_alkalinity(ph, before)
    bicarbonate_mol = bicarbonate_mg_per_l / NAHCO3_MG_PER_MOL
    carbon = bicarbonate_mol + in_blocks(
        carbon_mol_per_l, ph=ph, alkalinity_eq=alkalinity_eq, water_temp_c=water_temp_c, ionic_strength=strength
    )
    left_eq = alkalinity_eq + bicarbonate_mol - 1e-3 * acid_mmol_per_l
    closed_ph = in_blocks(
        ph_of_carbon, carbon_mol=carbon, alkalinity_eq=left_eq, water_temp_c=water_temp_c, ionic_strength=strength
    )
    closed_co2 = in_blocks(
        co2_mol_per_l, ph=closed_ph, alkalinity_eq=left_eq, water_temp_c=water_temp_c, ionic_strength=strength
    )
    aired_co2 = co2_at_air_equilibrium_mg_per_l(
        water_temp_c, co2_in_air_ppm=co2_in_air_ppm, air_pressure_kpa=air_pressure_kpa
    )
    aired_ph = in_blocks(
        ph_of_co2,
        co2_mol=aired_co2 / CO2_MG_PER_MOL,
        alkalinity_eq=left_eq,
        water_temp_c=water_temp_c,
        ionic_strength=strength,
    )
    return ChangedWater(
        alkalinity_mg_caco3_per_l=left_eq * MG_CACO3_PER_EQ,
        closed_ph=closed_ph,
        closed_co2_mg_per_l=closed_co2 * CO2_MG_PER_MOL,
        aired_ph=aired_ph,
        aired_co2_mg_per_l=aired_co2,
    )


@published(
    source="iupac_weights",
    locator="C9H11NO2.CH4O3S, 261.29 g/mol, taken as one equivalent of strong acid",
    status="derived",
)
def tricaine_acid_mmol_per_l(tricaine_mg_per_l: Numbers) -> Numbers:
    """Acid that tricaine methanesulfonate brings into the water.

    Parameters
    ----------
    tricaine_mg_per_l : float or array
        Tricaine methanesulfonate [mg/L].

    Returns
    -------
    float or array
        Strong acid [mmol/L].

    Raises
    ------
    ImpossibleInput
        The argument is not finite, or negative.

    Notes
    -----
    One mole of methanesulfonic acid a mole. Bicarbonate that takes it up sets free as many moles of carbon dioxide:
    16.8 mg/L for each 100 mg/L of tricaine, until it has aired away. The base form (benzocaine) brings none.

    Examples
    --------
    >>> round(tricaine_acid_mmol_per_l(100.0), 3)
    0.383
    """
    return tricaine_mg_per_l / _TRICAINE_MG_PER_MMOL
