"""Salt from readings, and water from salt: the equations of a tracer test."""

from waterplan.published import Numbers, published
from waterplan.vessel.limits import require_above_0
from waterplan.water.salinity import nacl_g_per_l

# Standard atomic weights: sodium 22.98976928, chlorine 35.45.
_CHLORIDE_IN_SALT = 35.45 / (22.98976928 + 35.45)


@published(source="waterplan", locator="mass balance", status="derived")
def diluted_volume_l(salt_g: Numbers, *, salt_purity: Numbers, rise_g_per_l: Numbers) -> Numbers:
    """Water in which a weighed salt raised the concentration by so much.

    Parameters
    ----------
    salt_g : float or array
        Salt weighed in [g].
    salt_purity : float or array
        Sodium chloride in it [fraction].
    rise_g_per_l : float or array
        Rise of sodium chloride in the water [g/L].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A number is negative or not finite, or the rise is not above 0.

    Notes
    -----
    Conservation of mass; exact where all the salt is dissolved and mixed and none has left.

    Examples
    --------
    >>> diluted_volume_l(1000.0, salt_purity=1.0, rise_g_per_l=0.1)
    10000.0
    """
    require_above_0("rise_g_per_l", rise_g_per_l, unit="g/L")
    return salt_g * salt_purity / rise_g_per_l


@published(source="iupac_weights", locator="Na 22.98976928, Cl 35.45", status="from memory")
def salt_from_chloride_g_per_l(chloride_after_mg_per_l: Numbers, *, chloride_before_mg_per_l: Numbers) -> Numbers:
    """Sodium chloride that makes the difference between two chloride readings.

    Parameters
    ----------
    chloride_after_mg_per_l, chloride_before_mg_per_l : float or array
        Chloride after and before the salt [mg/L].

    Returns
    -------
    float or array
        Rise of sodium chloride [g/L]; negative where chloride fell.

    Raises
    ------
    ImpossibleInput
        A reading is negative or not finite.

    Notes
    -----
    Sodium chloride is 60.66 % chloride.

    Examples
    --------
    >>> round(salt_from_chloride_g_per_l(152.0, chloride_before_mg_per_l=30.0), 5)
    0.20112
    """
    return (chloride_after_mg_per_l - chloride_before_mg_per_l) / 1000.0 / _CHLORIDE_IN_SALT


@published(
    source="richardson_2017",
    locator="abstract: error of a conductivity that was not calibrated in the water itself",
    fitted={"conductance_before_ms_per_cm": (0.0, 0.5)},
)
def salt_from_conductance_g_per_l(
    conductance_after_ms_per_cm: Numbers, *, conductance_before_ms_per_cm: Numbers
) -> Numbers:
    """Sodium chloride that makes the difference between two conductivities, where no bucket test was done.

    Parameters
    ----------
    conductance_after_ms_per_cm, conductance_before_ms_per_cm : float or array
        Conductivity brought to 25 °C, after and before the salt [mS/cm].

    Returns
    -------
    float or array
        Rise of sodium chloride [g/L]; negative where conductivity fell.

    Raises
    ------
    ImpossibleInput
        A reading is negative or not finite.

    Notes
    -----
    Difference of the two strengths of sodium chloride that would conduct as much: what was in the water before counts
    by its conductivity, and so bends the line as it should. The source's abstract gives 0.486 mg/L per uS/cm within
    2.8 % for streams below 500 uS/cm; above that it had few.

    Examples
    --------
    >>> round(salt_from_conductance_g_per_l(0.626, conductance_before_ms_per_cm=0.42), 2)
    0.1
    """
    return nacl_g_per_l(conductance_after_ms_per_cm) - nacl_g_per_l(conductance_before_ms_per_cm)
