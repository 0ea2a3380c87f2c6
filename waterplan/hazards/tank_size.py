"""How large a hospital tank would have to be for its fish: what each demand asks, and the largest of them."""

from collections.abc import Iterable, Iterator

import numpy as np

from waterplan import tables
from waterplan.fish import excretion, uptake
from waterplan.fish.species import Species
from waterplan.hazards.limit_rows import nh3_limit, oxygen_level, water_limit
from waterplan.published import FloatArray, Numbers
from waterplan.stay.figures import Equation
from waterplan.stay.fish import FishAtHand
from waterplan.stay.inputs import Inputs
from waterplan.tank import hospital_size
from waterplan.water import ammonia, oxygen

# A demand, its equation, and the litres that it asks for.
Asked = tuple[str, Equation, FloatArray]
_H_PER_DAY = 24.0
EQUATIONS: tuple[Equation, ...] = (
    hospital_size.volume_for_turning_l,
    hospital_size.volume_by_length_l,
    hospital_size.volume_for_density_l,
    hospital_size.volume_for_oxygen_l,
    hospital_size.volume_for_ammonia_l,
)


def litres_needed(
    fish: Iterable[FishAtHand], *, inputs: Inputs, temp_c: FloatArray, ph: FloatArray, filter_state: str
) -> FloatArray | None:
    """The litres that would do for the fish of a tank as it is kept; None where their size is not known.

    What fish take and give off adds up over them; the longest is to have room to turn.
    """
    several, longest = [], []
    for one in fish:
        weight = one.weight_kg.draws
        asked = [*of_its_size(one.length_cm.draws, weight, filter_state)]
        asked += of_its_water(inputs, one.species, weight, temp_c, ph, filter_state)
        of_one = {name: litres for name, _, litres in asked}
        longest.append(of_one.pop("turning room"))
        several.append({name: litres * one.count for name, litres in of_one.items()})
    if not several:
        return None
    added = [np.sum([one[name] for one in several], axis=0) for name in several[0]]
    return np.asarray(np.maximum.reduce([*longest, *added]))


def _demand(name: str) -> float:
    return tables.row("hospital_demands", demand=name).value


def _asks(demand: str, equation: Equation, *of: Numbers, **given: Numbers) -> Asked:
    """The litres that a demand asks for; infinite where no tank of any size would do."""
    return demand, equation, np.asarray(equation(*of, **given), dtype=np.float64)


def of_its_size(length_cm: FloatArray, weight_kg: FloatArray, filter_state: str) -> Iterator[Asked]:
    """Room to turn in, litres by length, and stocking."""
    yield _asks(
        "turning room",
        hospital_size.volume_for_turning_l,
        length_cm,
        lengths_long=_demand("lengths long"),
        lengths_wide=_demand("lengths wide"),
        lengths_deep=_demand("lengths deep"),
        least_depth_m=_demand("least depth"),
    )
    yield _asks("litres by length", hospital_size.volume_by_length_l, length_cm)
    density = _demand(f"density {filter_state}")
    yield _asks("stocking", hospital_size.volume_for_density_l, weight_kg, density_kg_per_m3=density)


def of_its_water(
    inputs: Inputs, kind: Species, weight_kg: FloatArray, temp: FloatArray, ph: FloatArray | None, filter_state: str
) -> Iterator[Asked]:
    """Oxygen until somebody acts; and, at a pH, ammonia by the daily change."""
    take = inputs.of_row
    uptake_per_kg = uptake.UPTAKE_MODELS[kind.uptake_model](weight_kg, water_temp_c=temp)
    scatter = take("oxygen uptake", tables.row("oxygen_uptake", model=kind.uptake_model))
    stress = take("stress handled", tables.row("stress_factors", state="handled"))
    full = np.asarray(oxygen.saturation_mg_per_l(temp, salinity_g_per_kg=0.0, air_pressure_kpa=101.325))
    yield _asks(
        "oxygen",
        hospital_size.volume_for_oxygen_l,
        uptake_per_kg * scatter * stress * weight_kg,
        hours=_demand("hours without air"),
        start_do_mg_per_l=_demand("start of saturation") * full,
        level_do_mg_per_l=oxygen_level([kind.oxygen_group], state="settled", level="alarm").value,
        biomass_kg=weight_kg,
    )
    base = take("ammonia given off", tables.row("excretion", state="fasted"))
    q10 = take("ammonia Q10", tables.row("temperature_effect", process="ammonia excretion Q10"))
    if ph is None:
        return
    given = excretion.excretion_at_temperature_mg_n_per_kg_h(base, water_temp_c=temp, q10=q10)
    limit = ammonia.tan_giving_nh3_mg_n_per_l(nh3_limit([kind.law_group]).value, ph=ph, water_temp_c=temp)
    yield _asks(
        "ammonia",
        hospital_size.volume_for_ammonia_l,
        np.asarray(given) * weight_kg * _H_PER_DAY,
        limit_tan_mg_n_per_l=np.minimum(np.asarray(limit), water_limit("tan", "cap").value),
        source_tan_mg_n_per_l=0.0,
        daily_change_fraction=1.0 if filter_state == "seeded" else _demand("daily change at most"),
    )
