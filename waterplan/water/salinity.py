"""Salt in the water: sodium chloride from conductivity."""

from waterplan.published import Numbers, published
from waterplan.water.blocks import blockwise
from waterplan.water.elementwise import Polynomial, sqrt

# NaCl at 25 degrees: molar conductivity [S cm2/mol] = 126.39 + sum of these times c^0.5, c, c^1.5, c^2, fitted to the
# values of Robinson & Stokes from 0.0005 to 1 mol/L; the largest residual is 0.022.
_nacl = Polynomial(126.39, -89.955, 115.906, -101.447, 34.823)
_nacl_slope = Polynomial(126.39, 1.5 * -89.955, 2.0 * 115.906, 2.5 * -101.447, 3.0 * 34.823)
_NACL_G_PER_MOL = 58.443


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
    Solved by Newton's method for the molar conductivity that the fit gives. A 1 % meter, the
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
