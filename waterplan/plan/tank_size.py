"""The smallest hospital tank by each demand: room, stocking, oxygen until somebody acts, ammonia by the daily change."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray, Numbers
from waterplan.stay.figures import Equation, Figures
from waterplan.stay.record import ActEnd
from waterplan.tank import hospital_size

_SEEDED = "seeded"


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What the demands ask from: a fish, and as far as it is known its water; None where it is not."""

    length_cm: FloatArray
    weight_kg: FloatArray
    filter_state: str
    uptake_mg_per_h: FloatArray | None = None
    start_do_mg_per_l: FloatArray | None = None
    alarm_do_mg_per_l: float | None = None
    ammonia_mg_n_per_day: FloatArray | None = None
    limit_tan_mg_n_per_l: FloatArray | None = None
    source_tan_mg_n_per_l: Numbers = 0.0


def sizes_l(needs: Needs) -> Mapping[str, FloatArray]:
    """Litres that each demand asks of a hospital tank.

    Parameters
    ----------
    needs : Needs
        The fish, its uptake and ammonia, and the limits of its water.

    Returns
    -------
    mapping of str to array
        Litres by demand, shape (draws + 1,); infinite where no tank of any size would do.

    Raises
    ------
    ImpossibleInput
        A figure that cannot be.
    """
    demand = {row["demand"]: row.value for row in tables.rows("hospital_demands")}
    found = {
        "turning room": hospital_size.volume_for_turning_l(
            needs.length_cm,
            lengths_long=demand["lengths long"],
            lengths_wide=demand["lengths wide"],
            lengths_deep=demand["lengths deep"],
            least_depth_m=demand["least depth"],
        ),
        "litres by length": hospital_size.volume_by_length_l(needs.length_cm),
        "stocking": hospital_size.volume_for_density_l(
            needs.weight_kg, density_kg_per_m3=demand[f"density {needs.filter_state}"]
        ),
    }
    if (
        needs.uptake_mg_per_h is not None
        and needs.start_do_mg_per_l is not None
        and needs.alarm_do_mg_per_l is not None
    ):
        found["oxygen"] = hospital_size.volume_for_oxygen_l(
            needs.uptake_mg_per_h,
            hours=demand["hours without air"],
            start_do_mg_per_l=needs.start_do_mg_per_l,
            level_do_mg_per_l=needs.alarm_do_mg_per_l,
            biomass_kg=needs.weight_kg,
        )
    if needs.ammonia_mg_n_per_day is not None and needs.limit_tan_mg_n_per_l is not None:
        found["ammonia"] = hospital_size.volume_for_ammonia_l(
            needs.ammonia_mg_n_per_day,
            limit_tan_mg_n_per_l=needs.limit_tan_mg_n_per_l,
            source_tan_mg_n_per_l=needs.source_tan_mg_n_per_l,
            daily_change_fraction=1.0 if needs.filter_state == _SEEDED else demand["daily change at most"],
        )
    return {name: np.asarray(litres, dtype=np.float64) for name, litres in found.items()}


def put_sizes(figures: Figures, sizes: Mapping[str, FloatArray], *, water: str) -> str:
    """Puts each demand's litres and the largest of them among the figures; the path of the largest."""
    equations: dict[str, Equation] = {
        "turning room": hospital_size.volume_for_turning_l,
        "litres by length": hospital_size.volume_by_length_l,
        "stocking": hospital_size.volume_for_density_l,
        "oxygen": hospital_size.volume_for_oxygen_l,
        "ammonia": hospital_size.volume_for_ammonia_l,
    }
    rows = [row.id for row in tables.rows("hospital_demands")]
    for name, litres in sizes.items():
        figures.put(
            f"{water}/size/{name}", litres, unit="L", act_end=ActEnd.HIGH, equations=[equations[name]], rows=rows
        )
    largest = np.maximum.reduce(list(sizes.values()))
    return figures.put(
        f"{water}/size/needed",
        largest,
        unit="L",
        act_end=ActEnd.HIGH,
        equations=[equations[name] for name in sizes],
        rows=rows,
    )
