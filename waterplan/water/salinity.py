"""Salt in the water: practical salinity and sodium chloride from conductivity; density is offered here too."""

from waterplan.published import Numbers, published
from waterplan.water.blocks import blockwise
from waterplan.water.density import water_density_kg_per_m3
from waterplan.water.elementwise import Polynomial, choose, sqrt

__all__ = [
    "conductivity_ms_per_cm",
    "nacl_g_per_l",
    "nacl_specific_conductance_ms_per_cm",
    "practical_salinity",
    "water_density_kg_per_m3",
]

# PSS-78 is written for temperatures on IPTS-68.
_T68 = 1.00024
# PSS-78: conductivity at SP 35, 15 degrees [mS/cm]; rt; a and b in the root of Rt; k.
_C_35_15 = 42.914
_rt = Polynomial(0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_pss_a = Polynomial(0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_pss_b = Polynomial(0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
_pss_a_slope = Polynomial(-0.1692, 2 * 25.3851, 3 * 14.0941, 4 * -7.0261, 5 * 2.7081)
_pss_b_slope = Polynomial(-0.0056, 2 * -0.0066, 3 * -0.0375, 4 * 0.0636, 5 * -0.0144)
_A0, _B0, _K = 0.0080, 0.0005, 0.0162
# NaCl at 25 degrees: molar conductivity [S cm2/mol] = 126.39 + sum of these times c^0.5, c, c^1.5, c^2, fitted to the
# values of Robinson & Stokes from 0.0005 to 1 mol/L; the largest residual is 0.022.
_nacl = Polynomial(126.39, -89.955, 115.906, -101.447, 34.823)
_nacl_slope = Polynomial(126.39, 1.5 * -89.955, 2.0 * 115.906, 2.5 * -101.447, 3.0 * 34.823)
_NACL_G_PER_MOL = 58.443

_PSS_FITTED = {"water_temp_c": (-2.0, 35.0)}


def _temperature_share(t68: Numbers) -> Numbers:
    return (t68 - 15.0) / (1.0 + _K * (t68 - 15.0))


def _pss(root: Numbers, share: Numbers) -> Numbers:
    return _pss_a(root) + share * _pss_b(root)


def _below_2(ratio: Numbers, share: Numbers) -> Numbers:
    """What Hill et al. (1986) take off the polynomial in weak salt."""
    x, y = 400.0 * ratio, 100.0 * ratio
    root = sqrt(y)
    return _A0 / (1.0 + x * (1.5 + x)) + _B0 * share / (1.0 + root + y + y * root)


def _join_at_2(share: Numbers) -> Numbers:
    """The factor that makes the extension of Hill et al. meet the polynomial at salinity 2 (TEOS-10)."""
    root = 0.0 * share + 0.2407  # the root of Rt at SP 2 lies between 0.2369 and 0.2459 from -2 to 45 degrees
    for _ in range(4):
        root = root - (_pss(root, share) - 2.0) / (_pss_a_slope(root) + share * _pss_b_slope(root))
    return 2.0 / (2.0 - _below_2(root * root, share))


def _practical_salinity(conductivity_ms_per_cm: Numbers, water_temp_c: Numbers) -> Numbers:
    t68 = water_temp_c * _T68
    share = _temperature_share(t68)
    ratio = conductivity_ms_per_cm / (_C_35_15 * _rt(t68))
    full = _pss(sqrt(ratio), share)
    weak = full < 2.0
    if not (weak if isinstance(weak, bool) else weak.any()):
        return full
    extended = (full - _below_2(ratio, share)) * _join_at_2(share)
    # The extension comes to a few 1e-5 below 0 where there is no conductivity at all.
    return choose(weak, choose(extended > 0.0, extended, 0.0), full)


@published(
    source="pss_78",
    locator="PSS-78 (Lewis 1980; UNESCO 1983); below 2, Hill et al. 1986 joined as in TEOS-10",
    fitted=_PSS_FITTED,
)
@blockwise()
def practical_salinity(conductivity_ms_per_cm: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Practical salinity of sea water, diluted or not, from its conductivity.

    Parameters
    ----------
    conductivity_ms_per_cm : float or array
        Conductivity at the temperature of the water, not compensated [mS/cm].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Practical salinity, which is taken for g/kg here (sea water holds 1.0047 g/kg for each unit).

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    PSS-78, 2-42, -2 to 35 °C, and below 2 the extension of Hill et al. (1986), scaled to meet it at 2. It is for sea
    salt. Sodium chloride in a pond is not sea salt: read as such it shows 1 to 3 % too much at 1-5 g/L; use
    `nacl_g_per_l`. Checked against gsw from 0.05 to 42.

    Examples
    --------
    >>> round(practical_salinity(2.0, water_temp_c=25.0), 3)
    1.017
    """
    return _practical_salinity(conductivity_ms_per_cm, water_temp_c)


@published(
    source="pss_78",
    locator="PSS-78 and Hill et al. 1986, solved for the conductivity",
    fitted={**_PSS_FITTED, "salinity_g_per_kg": (0.0, 42.0)},
)
@blockwise()
def conductivity_ms_per_cm(salinity_g_per_kg: Numbers, *, water_temp_c: Numbers) -> Numbers:
    """Conductivity of sea water, diluted or not, at its temperature.

    Parameters
    ----------
    salinity_g_per_kg : float or array
        Practical salinity, taken for g/kg [g/kg].
    water_temp_c : float or array
        Water temperature [°C].

    Returns
    -------
    float or array
        Conductivity at the temperature of the water [mS/cm].

    Raises
    ------
    ImpossibleInput
        An argument is not finite or not possible.

    Notes
    -----
    Undoes `practical_salinity` by halving. Checked by that round trip and against gsw.

    Examples
    --------
    >>> round(conductivity_ms_per_cm(35.0, water_temp_c=15.0), 2)
    42.92
    """
    zero = 0.0 * (salinity_g_per_kg + water_temp_c)
    low, high = zero, zero + 250.0
    for _ in range(56):
        middle = 0.5 * (low + high)
        above = _practical_salinity(middle, water_temp_c) > salinity_g_per_kg
        high, low = choose(above, middle, high), choose(above, low, middle)
    return 0.5 * (low + high)


def _nacl_conductance(nacl_g_per_l: Numbers) -> Numbers:
    mol = nacl_g_per_l / _NACL_G_PER_MOL
    return mol * _nacl(sqrt(mol))


@published(
    source="robinson_stokes_1959",
    locator="appendix, molar conductivity of NaCl at 25 °C, 0.0005-1 mol/L; our fit",
    status="from memory",
    fitted={"nacl_g_per_l": (0.0, 58.4)},
    possible={"nacl_g_per_l": (0.0, 60.0)},
)
def nacl_specific_conductance_ms_per_cm(nacl_g_per_l: Numbers) -> Numbers:
    """Specific conductance of sodium chloride in pure water.

    Parameters
    ----------
    nacl_g_per_l : float or array
        Sodium chloride [g/L].

    Returns
    -------
    float or array
        Conductivity at 25 °C [mS/cm].

    Raises
    ------
    ImpossibleInput
        The salt is not finite, negative, or above 60 g/L.

    Notes
    -----
    Molar conductivities of Robinson & Stokes, fitted to 0.03 %. In pond water the ions that are there already add to
    it and lower the slope a little. Checked against the same values in another table and the CRC table at 20 °C.

    Examples
    --------
    >>> round(nacl_specific_conductance_ms_per_cm(1.0), 2)
    1.99
    """
    return _nacl_conductance(nacl_g_per_l)


@published(
    source="robinson_stokes_1959",
    locator="appendix, molar conductivity of NaCl at 25 °C, 0.0005-1 mol/L; our fit, solved for the salt",
    status="from memory",
    fitted={"specific_conductance_ms_per_cm": (0.0, 85.7)},
    possible={"specific_conductance_ms_per_cm": (0.0, 87.69)},
)
@blockwise()
def nacl_g_per_l(specific_conductance_ms_per_cm: Numbers) -> Numbers:
    """Sodium chloride in pure water that gives a specific conductance.

    Parameters
    ----------
    specific_conductance_ms_per_cm : float or array
        Conductivity brought to 25 °C, without that of the water before it was salted [mS/cm].

    Returns
    -------
    float or array
        Sodium chloride [g/L].

    Raises
    ------
    ImpossibleInput
        The conductance is not finite, negative, or above that of 60 g/L.

    Notes
    -----
    Undoes `nacl_specific_conductance_ms_per_cm` by Newton's method; checked by that round trip. A 1 % meter, the
    temperature and the purity of the salt each add 1 to 2 %: take 5 %.

    Examples
    --------
    >>> round(nacl_g_per_l(1.991), 2)
    1.0
    """
    wanted = specific_conductance_ms_per_cm
    mol = wanted / 110.0
    for _ in range(8):
        root = sqrt(mol)
        mol = mol - (mol * _nacl(root) - wanted) / _nacl_slope(root)
    return mol * _NACL_G_PER_MOL
