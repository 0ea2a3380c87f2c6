"""Oxygen that a fish takes from the water."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from waterplan.published import Numbers, published

_MG_O2_PER_MMOL = 31.998


@published(
    source="yamanaka_2013",
    locator="routine metabolic rate against weight and temperature",
    fitted={"water_temp_c": (15.0, 30.0), "weight_kg": (0.0001, 0.1)},
    possible={"weight_kg": (1e-5, 1000.0)},
)
def cyprinid_routine_mg_per_kg_h(weight_kg: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Routine oxygen uptake of a crucian-type cyprinid.

    Parameters
    ----------
    weight_kg : float or array
        Weight of the fish [kg].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Oxygen uptake [mg/kg/h].

    Raises
    ------
    ImpossibleInput
        A weight or temperature that is not finite or not possible.

    Notes
    -----
    67.4 W^-0.193 e^(0.0562 t), W in g; larvae and juveniles at 15 to 30 °C. Its use for fish of kilograms is an
    extrapolation, plausible beside goldfish calorimetry (about 52 mg/kg/h for 1 kg at 20 °C). Checked against the
    values worked by hand from the printed equation.

    Examples
    --------
    >>> round(cyprinid_routine_mg_per_kg_h(0.1, water_temp_c=20.0), 1)
    85.3
    """
    return 67.4 * np.power(np.asarray(weight_kg) * 1000.0, -0.193) * np.exp(0.0562 * np.asarray(water_temp_c))


@published(
    source="liao_1971",
    locator="K T^n W^m for trout, lb O2 per 100 lb per day",
    status="from memory",
    fitted={"water_temp_c": (4.0, 18.0), "weight_kg": (0.005, 2.0)},
    possible={"weight_kg": (1e-5, 1000.0), "water_temp_c": (-5.0, 45.0)},
)
def trout_fed_mg_per_kg_h(weight_kg: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Oxygen uptake of fed hatchery trout.

    Parameters
    ----------
    weight_kg : float or array
        Weight of the fish [kg].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Oxygen uptake [mg/kg/h].

    Raises
    ------
    ImpossibleInput
        A weight or temperature that is not finite or not possible.

    Notes
    -----
    K TF^n W^m with TF in °F and W in lb: K 1.90e-6, n 3.130 up to 50 °F, K 3.05e-4, n 1.855 above; m -0.138. Fed
    fish, so on the high side for a fasted one. The constants are recalled, not seen.

    Examples
    --------
    >>> round(trout_fed_mg_per_kg_h(0.1, water_temp_c=15.0), 0)
    302.0
    """
    temp_f = np.maximum(np.asarray(water_temp_c) * 1.8 + 32.0, 0.0)
    weight_lb = np.asarray(weight_kg) / 0.45359237
    cold = 1.90e-6 * np.power(temp_f, 3.130)
    warm = 3.05e-4 * np.power(temp_f, 1.855)
    lb_per_100_lb_day = np.where(temp_f <= 50.0, cold, warm) * np.power(weight_lb, -0.138)
    return lb_per_100_lb_day / 100.0 * 1e6 / 24.0


@published(
    source="clarke_johnston_1999",
    locator="ln Rb = 15.7 - 5.02 (1000/T) for 50 g; mass exponent 0.80",
    fitted={"water_temp_c": (0.0, 30.0), "weight_kg": (0.001, 5.0)},
    possible={"weight_kg": (1e-5, 1000.0)},
)
def teleost_resting_mg_per_kg_h(weight_kg: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Resting oxygen uptake of a bony fish of no known equation.

    Parameters
    ----------
    weight_kg : float or array
        Weight of the fish [kg].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Oxygen uptake [mg/kg/h].

    Raises
    ------
    ImpossibleInput
        A weight or temperature that is not finite or not possible.

    Notes
    -----
    Arrhenius line through 69 species scaled to 50 g, ln Rb = 15.7 - 5.02 (1000/T) in mmol/h, carried to other weights
    with the all-species exponent 0.80. The same paper's weight line lies 1.8 times lower at 15 °C; the higher, safer
    one is used.

    Examples
    --------
    >>> round(teleost_resting_mg_per_kg_h(0.05, water_temp_c=20.0), 0)
    154.0
    """
    kelvin = np.asarray(water_temp_c) + 273.15
    mg_per_h_at_50_g = np.exp(15.7 - 5020.0 / kelvin) * _MG_O2_PER_MMOL
    return mg_per_h_at_50_g / 0.05 * np.power(np.asarray(weight_kg) / 0.05, 0.80 - 1.0)


@published(
    source="yuan_2016",
    locator="abstract: 149 mg/kg/h at 24 °C; Q10 2 and weight exponent 0.80 are judgement",
    status="judgement",
    fitted={"water_temp_c": (15.0, 28.0), "weight_kg": (0.05, 5.0)},
    possible={"weight_kg": (1e-5, 1000.0)},
)
def sturgeon_resting_mg_per_kg_h(weight_kg: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Resting oxygen uptake of a sturgeon.

    Parameters
    ----------
    weight_kg : float or array
        Weight of the fish [kg].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Oxygen uptake [mg/kg/h].

    Raises
    ------
    ImpossibleInput
        A weight or temperature that is not finite or not possible.

    Notes
    -----
    One measured level (149 mg/kg/h, Acipenser baerii at 24 °C), taken as that of a fish of 1 kg or less, carried to
    other temperatures with Q10 2 and to heavier fish with the exponent 0.80.

    Examples
    --------
    >>> round(sturgeon_resting_mg_per_kg_h(1.0, water_temp_c=24.0), 0)
    149.0
    """
    q10_factor = np.power(2.0, (np.asarray(water_temp_c) - 24.0) / 10.0)
    return np.asarray(149.0 * q10_factor * np.power(np.maximum(np.asarray(weight_kg), 1.0), -0.20))


UPTAKE_MODELS: Mapping[str, Callable[..., Numbers]] = MappingProxyType(
    {
        "cyprinid_routine": cyprinid_routine_mg_per_kg_h,
        "trout_fed": trout_fed_mg_per_kg_h,
        "teleost_resting": teleost_resting_mg_per_kg_h,
        "sturgeon_resting": sturgeon_resting_mg_per_kg_h,
    }
)
