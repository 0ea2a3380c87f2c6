"""Criteria of the US EPA for total ammonia in fresh water: benchmarks for an environment, not for a patient."""

from waterplan.published import Numbers, published
from waterplan.water.elementwise import larger, pow10, smaller

_EPA_FITTED = {"ph": (6.5, 9.0), "water_temp_c": (0.0, 30.0)}


def _by_ph(ph: Numbers, low: float, high: float, bend: float) -> Numbers:
    """The EPA's curve between a value in alkaline and a value in acid water, which bends at one pH."""
    return low / (1.0 + pow10(bend - ph)) + high / (1.0 + pow10(ph - bend))


@published(
    source="epa_2013",
    locator="acute criterion (CMC), section on national criteria",
    fitted=_EPA_FITTED,
)
def acute_criterion_mg_n_per_l(ph: Numbers, *, water_temp_c: Numbers, salmonids: bool = True) -> Numbers:
    """Acute criterion of the US EPA (2013) for total ammonia in fresh water, a benchmark for an environment.

    Parameters
    ----------
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].
    salmonids : bool
        Whether trout or salmon (Oncorhynchus) live there; the stricter criterion if so.

    Returns
    -------
    float or array
        Total ammonia, one-hour average not to be passed more than once in three years [mg/L as N].

    Raises
    ------
    ImpossibleInput
        The pH is outside 0-14, or the temperature is not possible.

    Notes
    -----
    EPA 822-R-13-001, for pH 6.5-9.0 and 0-30 °C. It protects communities with freshwater mussels: it is an
    environmental benchmark and no clinical threshold. Checked against the EPA's own figure, 17 at pH 7 and 20 °C.

    Examples
    --------
    >>> round(acute_criterion_mg_n_per_l(7.0, water_temp_c=20.0), 1)
    16.8
    """
    curve = 0.7249 * _by_ph(ph, 0.0114, 1.6181, 7.204)
    by_temperature = 23.12 * pow10(0.036 * (20.0 - water_temp_c))
    if salmonids:
        return smaller(_by_ph(ph, 0.275, 39.0, 7.204), curve * by_temperature)
    return curve * smaller(51.93, by_temperature)


@published(
    source="epa_2013",
    locator="chronic criterion (CCC), section on national criteria",
    fitted=_EPA_FITTED,
)
def chronic_criterion_mg_n_per_l(ph: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Chronic criterion of the US EPA (2013) for total ammonia in fresh water, a benchmark for an environment.

    Parameters
    ----------
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Total ammonia, thirty-day average [mg/L as N]; no four days may average above 2.5 times it.

    Raises
    ------
    ImpossibleInput
        The pH is outside 0-14, or the temperature is not possible.

    Notes
    -----
    EPA 822-R-13-001, for pH 6.5-9.0 and 0-30 °C; the temperature term is 10^(0.028 (20 - max(t, 7))), and a copy with
    10 for the 20 is about. It protects communities with freshwater mussels: it is an environmental benchmark and no
    clinical threshold. Checked against the EPA's own figure, 1.9 at pH 7 and 20 °C.

    Examples
    --------
    >>> round(chronic_criterion_mg_n_per_l(7.0, water_temp_c=20.0), 1)
    1.9
    """
    by_temperature = 2.126 * pow10(0.028 * (20.0 - larger(water_temp_c, 7.0)))
    return 0.8876 * _by_ph(ph, 0.0278, 1.1994, 7.688) * by_temperature


@published(source="epa_1999", locator="chronic criterion, fish early life stages present", fitted=_EPA_FITTED)
def fish_based_chronic_criterion_mg_n_per_l(ph: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Chronic criterion of the US EPA (1999), which rested on fish rather than mussels, for comparison.

    Parameters
    ----------
    ph : float or array
        pH.
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Total ammonia, thirty-day average where young fish are present [mg/L as N].

    Raises
    ------
    ImpossibleInput
        The pH is outside 0-14, or the temperature is not possible.

    Notes
    -----
    EPA-822-R-99-014, as the rules of South Dakota (chapter 74:51:01, appendix A) print it; superseded in 2013.

    Examples
    --------
    >>> round(fish_based_chronic_criterion_mg_n_per_l(8.0, water_temp_c=25.0), 2)
    1.24
    """
    by_temperature = smaller(2.85, 1.45 * pow10(0.028 * (25.0 - water_temp_c)))
    return _by_ph(ph, 0.0577, 2.487, 7.688) * by_temperature
