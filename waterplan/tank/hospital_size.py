"""The smallest hospital tank that each demand allows."""

import numpy as np

from waterplan import tables
from waterplan.published import Numbers, published


@published(source="waterplan", locator="turning room", status="judgement")
def volume_for_turning_l(
    length_cm: Numbers, *, lengths_long: float, lengths_wide: float, lengths_deep: float, least_depth_m: float
) -> Numbers:
    """Water in a tank that is so many body lengths long, wide and deep.

    Parameters
    ----------
    length_cm : float or array
        Length of the fish [cm].
    lengths_long, lengths_wide, lengths_deep : float
        Body lengths along each side [-].
    least_depth_m : float
        Least depth of water whatever the fish's length [m].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        The length is not finite or not possible.

    Notes
    -----
    A box of the stated body lengths; the numbers of lengths are rows of `hospital_demands`.

    Examples
    --------
    >>> volume_for_turning_l(50.0, lengths_long=4.0, lengths_wide=2.0, lengths_deep=1.0, least_depth_m=0.4)
    1000.0
    """
    body_m = np.asarray(length_cm) / 100.0
    depth_m = np.maximum(lengths_deep * body_m, least_depth_m)
    return lengths_long * body_m * lengths_wide * body_m * depth_m * 1000.0


@published(
    source="tschv_2008",
    locator="Annex 2, table 8: litres for each cm of fish, pond",
    status="published",
    fitted={"length_cm": (0.0, 200.0)},
)
def volume_by_length_l(length_cm: Numbers) -> Numbers:
    """Pond water that the Swiss ordinance asks for a fish of a length.

    Parameters
    ----------
    length_cm : float or array
        Length of the fish from snout to tail base [cm].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        The length is not finite or not possible.

    Notes
    -----
    Length times litres for each cm. The ordinance prints classes, each up to a length and with that length in it, so the
    litres for each cm rise in steps and are not drawn out between the printed rows: a fish of 25 cm belongs to the class
    up to 30 cm. Beyond the last class, 200 cm, its figure stands. Checked against the printed classes.

    Examples
    --------
    >>> volume_by_length_l(60.0)
    660.0
    """
    classes = tables.table("litres_per_cm")  # the equation itself is cited, not each of its classes
    up_to_cm = np.array([float(row["up_to_cm"]) for row in classes])
    litres_per_cm = np.array([row.value for row in classes])
    found = np.minimum(np.searchsorted(up_to_cm, length_cm, side="left"), up_to_cm.size - 1)
    return length_cm * litres_per_cm[found]


@published(source="mass_balance", locator="stocking density", status="derived")
def volume_for_density_l(biomass_kg: Numbers, *, density_kg_per_m3: Numbers) -> Numbers:
    """Water that keeps the stocking at or below a density.

    Parameters
    ----------
    biomass_kg : float or array
        Weight of all the fish [kg].
    density_kg_per_m3 : float or array
        Highest stocking [kg/m3].

    Returns
    -------
    float or array
        Volume of water [L].

    Raises
    ------
    ImpossibleInput
        A weight that is negative or not finite, or a density that is not above zero.

    Notes
    -----
    Weight/density.

    Examples
    --------
    >>> volume_for_density_l(2.0, density_kg_per_m3=5.0)
    400.0
    """
    return np.asarray(biomass_kg) / density_kg_per_m3 * 1000.0


@published(source="mass_balance", locator="oxygen store for the time until somebody acts", status="derived")
def volume_for_oxygen_l(
    demand_mg_per_h: Numbers,
    *,
    hours: Numbers,
    start_do_mg_per_l: Numbers,
    level_do_mg_per_l: Numbers,
    biomass_kg: Numbers,
) -> Numbers:
    """Water that holds enough oxygen for a time without air.

    Parameters
    ----------
    demand_mg_per_h : float or array
        Oxygen taken in an hour [mg/h].
    hours : float or array
        Time until somebody acts [h].
    start_do_mg_per_l : float or array
        Dissolved oxygen when the air stops [mg/L].
    level_do_mg_per_l : float or array
        Level not to be passed [mg/L].
    biomass_kg : float or array
        Weight of the fish, which take up their own volume at 1 kg/L [kg].

    Returns
    -------
    float or array
        Volume of the tank, the fish included [L]; infinite where the water starts at or below the level.

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    demand x time/(start - level) + weight: the inverse of `hours_to_level`.

    Examples
    --------
    >>> volume_for_oxygen_l(300.0, hours=2.0, start_do_mg_per_l=9.0, level_do_mg_per_l=5.0, biomass_kg=2.0)
    152.0
    """
    store = np.asarray(start_do_mg_per_l) - level_do_mg_per_l
    with np.errstate(divide="ignore", invalid="ignore"):
        litres = np.asarray(demand_mg_per_h) * hours / store
    return np.where(store > 0.0, litres + biomass_kg, np.inf)


@published(
    source="mass_balance",
    locator="a day's ammonia under the limit with the change that can be carried",
    status="derived",
)
def volume_for_ammonia_l(
    production_mg_n_per_day: Numbers,
    *,
    limit_tan_mg_n_per_l: Numbers,
    source_tan_mg_n_per_l: Numbers,
    daily_change_fraction: float,
) -> Numbers:
    """Water in which a daily change of a given share holds total ammonia under its limit.

    Parameters
    ----------
    production_mg_n_per_day : float or array
        Ammonia given to the water in a day [mg/day as N].
    limit_tan_mg_n_per_l : float or array
        Highest total ammonia allowed [mg/L as N].
    source_tan_mg_n_per_l : float or array
        Total ammonia of the new water [mg/L as N].
    daily_change_fraction : float
        Share of the tank changed each day [-].

    Returns
    -------
    float or array
        Volume of water [L]; infinite where the new water is at or above the limit.

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    production/(share x (limit - source)).

    Examples
    --------
    >>> volume_for_ammonia_l(
    ...     48.0, limit_tan_mg_n_per_l=0.5, source_tan_mg_n_per_l=0.0, daily_change_fraction=0.5
    ... )
    192.0
    """
    room = np.asarray(limit_tan_mg_n_per_l) - source_tan_mg_n_per_l
    with np.errstate(divide="ignore", invalid="ignore"):
        litres = np.asarray(production_mg_n_per_day) / (daily_change_fraction * room)
    return np.where(room > 0.0, litres, np.inf)
