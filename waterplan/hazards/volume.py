"""How much water there is: for the weight of its fish, and known how well for what is asked of it."""

from collections.abc import Iterator

import numpy as np

from waterplan import tables
from waterplan.case.choices import Filter
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin, WaterKind
from waterplan.stay.state import Known

_L_PER_M3, _PER_CENT, _CM_PER_M = 1000.0, 100.0, 100.0


def volume(subject: Subject) -> Assessed:
    """Half of the band of the litres, as a share of the middle, against what doses, salt and clocks have room for."""
    litres = subject.state[Q.VOLUME]
    low, high = np.percentile(litres[1:] if litres.size > 1 else litres, [LOW_PERCENT, HIGH_PERCENT])
    spread = _PER_CENT * (high - low) / 2.0 / max(float(litres[0]), 1e-9)
    watch = water_limit("volume_spread", "watch")
    pond = subject.stay.ground.case.home_pond
    wanted = pond.wanted_within if pond is not None and subject.kind is WaterKind.HOME else None
    limit = _PER_CENT * watch.value if wanted is None else min(wanted.measured.best, _PER_CENT * watch.value)
    found = subject.water.found
    why = {
        "volume-guessed": found.guessed,
        "volume-ways-disagree": found.record.agree is False,
        "volume-own-demand": wanted is not None,
    }
    return Assessed(
        quantity=Q.VOLUME,
        which="spread",
        values=np.full(litres.size, spread),
        unit="%",
        limit=watch,
        limit_at=limit,
        passed=np.full(litres.size, spread <= limit and not found.guessed),
        quantities=(Q.VOLUME,),
        rows=(water_limit("volume_spread", "act").id,),
        why=tuple(Why(code=code) for code, holds in why.items() if holds),
        counts="errors of how the water was measured",
    )


def stocking(subject: Subject) -> Assessed:
    """Kilograms in a cubic metre against what the kind of water carries: pond, tank by its filter, bag."""
    limit, harm = _rows(subject)
    together: FloatArray = sum((one.together_kg for one in subject.fish), start=np.zeros(subject.state.size))
    litres = np.maximum(levels.least(subject, Q.VOLUME), 1e-6)
    unweighed = tuple(_unweighed(subject)) if subject.kind is WaterKind.HOME else ()
    why = {"fish-without-size": bool(unweighed), "which-fish-are-there": subject.nobody_told}
    return Assessed(
        quantity="stocking",
        which="all",
        values=None if subject.nobody_told else together / litres * _L_PER_M3,
        unit="kg/m3",
        limit=limit,
        harm=harm,
        quantities=(Q.VOLUME,),
        rests=unweighed,
        why=tuple(Why(code=code) for code, holds in why.items() if holds),
    )


def room(subject: Subject) -> Assessed | None:
    """The longest side of a tank in lengths of its longest fish: room to turn, which no litres make up for."""
    vessel = subject.water.place.vessel
    sides = {} if vessel is None else {"length": vessel.length, "diameter": vessel.diameter}
    given = next(((name, one) for name, one in sides.items() if one is not None), None)
    if subject.kind is not WaterKind.HOSPITAL or given is None or not subject.fish:
        return None
    name, side = given
    longest = np.max([one.length_cm.draws for one in subject.fish], axis=0)
    metres = subject.stay.ground.inputs.of_reading(f"{subject.water.place.id}/{name}", side)
    return Assessed(
        quantity="room to turn",
        which="lengths",
        values=metres * _CM_PER_M / longest,
        unit="lengths",
        side=Side.AT_LEAST,
        limit=tables.row("hospital_demands", demand="lengths long"),
        rests=tuple(Rests(water=one.id, quantity="length", known=one.length_cm) for one in subject.fish),
        part="room",
    )


def _rows(subject: Subject) -> tuple[tables.Row, tables.Row | None]:
    if subject.kind is WaterKind.HOME:
        return water_limit("density_pond", "watch"), water_limit("density_pond", "act")
    if subject.kind in (WaterKind.BAG, WaterKind.BOX):
        return tables.row("bag_loading", stage="patient"), None
    state = subject.water.equipment.filter or Filter.UNSEEDED
    return tables.row("hospital_demands", demand=f"density {state.value}"), None


def _unweighed(subject: Subject) -> Iterator[Rests]:
    """Fish of the pond that the case names without any size: they are not counted."""
    nothing = np.zeros(subject.state.size)
    for number, one in enumerate(subject.stay.ground.case.other_fish, 1):
        if one.count > 0 and one.weight is None and one.length is None:
            path = f"other-{number}"
            assumed = frozenset({f"{path}/weight"})
            known = Known(draws=nothing, origin=Origin.ASSUMED, why="not measured", assumed=assumed)
            yield Rests(water=path, quantity="weight", known=known)
