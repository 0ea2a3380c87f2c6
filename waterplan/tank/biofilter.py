"""The biological filter: how much ammonia and nitrite it can take, and when it counts for nothing."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from waterplan.published import FloatArray, Numbers, published
from waterplan.tank.checked import check

# Nitrogen 14.007, oxygen 31.998 g/mol. NH4+ + 1.5 O2 -> NO2- + 2 H+ + H2O, then NO2- + 0.5 O2 -> NO3-; no growth.
MG_O2_PER_MG_N_TO_NITRITE = 1.5 * 31.998 / 14.007
MG_O2_PER_MG_N_TO_NITRATE = 0.5 * 31.998 / 14.007
MEQ_PER_MG_N_TO_NITRITE = 2.0 / 14.007
# Nitrifiers slow below this oxygen and without this alkalinity (judgement): in proportion, to nothing at zero.
FULL_RATE_DO_MG_PER_L = 2.0
FULL_RATE_ALKALINITY_MEQ_PER_L = 0.2


@published(
    source="timmons_ebeling",
    locator="areal TAN removal of a fixed film at 20-25 °C and 1-2 mg/L",
    status="from memory",
    fitted={"areal_rate_g_n_per_m2_day": (0.1, 0.6)},
)
def filter_capacity_mg_n_per_h(media_area_m2: Numbers, *, areal_rate_g_n_per_m2_day: Numbers) -> Numbers:
    """Ammonia that a grown filter takes in an hour.

    Parameters
    ----------
    media_area_m2 : float or array
        Surface of the filter medium that water reaches [m2].
    areal_rate_g_n_per_m2_day : float or array
        Ammonia taken per surface and day [g/m2/day as N].

    Returns
    -------
    float or array
        Ammonia taken [mg N/h].

    Raises
    ------
    ImpossibleInput
        An argument that is negative or not finite.

    Notes
    -----
    Area x rate x 1000/24. Checked by hand: 8.2 m² at 0.45 g/m²/day take 3.68 g a day.

    Examples
    --------
    >>> filter_capacity_mg_n_per_h(8.0, areal_rate_g_n_per_m2_day=0.3)
    100.0
    """
    return media_area_m2 * np.asarray(areal_rate_g_n_per_m2_day) * 1000.0 / 24.0


class FilterState(StrEnum):
    """What is known of a filter's bacteria."""

    UNSEEDED = "unseeded"
    MATURING = "maturing"
    SEEDED = "seeded"
    DAMAGED = "damaged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Biofilter:
    """A filter as it would be when grown, and the state it is in.

    Rates are those at 20 °C: ammonia F c/(K + c), F the capacity and K the half level, and nitrite in the same way. A
    maturing filter grows by doubling until it is full `days_to_full` after `days_running`, nitrite
    `nitrite_lag_days` later. A damaged one counts for nothing until two paired tests running have been clean.
    """

    state: FilterState
    capacity_mg_n_per_h: Numbers
    half_tan_mg_n_per_l: Numbers = 1.0
    nitrite_capacity_mg_n_per_h: Numbers | None = None
    half_nitrite_mg_n_per_l: Numbers = 1.0
    filter_theta: Numbers = 1.04
    days_running: Numbers = 0.0
    days_to_full: Numbers = 42.0
    nitrite_lag_days: Numbers = 10.0
    doubling_days: Numbers = 3.0

    def __post_init__(self) -> None:
        check(
            self,
            called="filter",
            above_zero=("half_tan_mg_n_per_l", "half_nitrite_mg_n_per_l", "doubling_days", "filter_theta"),
        )

    def grown(self, hours: float) -> tuple[Numbers, Numbers]:
        """Shares of the full capacity for ammonia and for nitrite, `hours` after the start."""
        if self.state is FilterState.SEEDED:
            return 1.0, 1.0
        if self.state is not FilterState.MATURING:
            return 0.0, 0.0
        missing = np.asarray(self.days_to_full) - self.days_running - hours / 24.0
        return _doubled(missing, self.doubling_days), _doubled(missing + self.nitrite_lag_days, self.doubling_days)


def _doubled(missing_days: FloatArray, doubling_days: Numbers) -> FloatArray:
    return np.exp2(-np.maximum(missing_days, 0.0) / doubling_days)
