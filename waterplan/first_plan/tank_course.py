"""The course of the hospital stay: every state of the tank against time as bands, what happened, and the salt ledger."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from waterplan import tables
from waterplan.dose import salt
from waterplan.findings import Caution, amount
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.daily_change import nitrogen_limits, scheduled_change_l
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Case, Logged
from waterplan.first_plan.tank_events import WhatIf, stay_events
from waterplan.first_plan.tank_setup import setup_of
from waterplan.fish.species import temperature_range_c
from waterplan.published import FloatArray, Trail, watch
from waterplan.spread import DEFAULT_DRAWS, DEFAULT_SEED, Draws
from waterplan.tank.course import Course
from waterplan.tank.ledger import Quantity
from waterplan.tank.setup import Setup
from waterplan.tank.through_time import course

DAYS_UNSAID = 7.0
# The order in which a nurse would ask for them.
SHOWN = (
    "do_mg_per_l",
    "nh3_mg_n_per_l",
    "tan_mg_n_per_l",
    "nitrite_mg_no2_per_l",
    "water_temp_c",
    "ph",
    "salinity_g_per_l",
    "co2_mg_per_l",
    "alkalinity_mg_caco3_per_l",
    "nitrate_mg_no3_per_l",
    "volume_l",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A level of a state, in words, and whether it is one to stay above."""

    words: str
    value: float
    floor: bool
    serious: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StateCourse:
    """A state against time: its band (5th to 95th percentile), its best values, and its levels."""

    state: str
    hours: tuple[float, ...]
    low: tuple[float, ...]
    best: tuple[float, ...]
    high: tuple[float, ...]
    levels: tuple[Level, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltLine:
    """A line of the salt ledger, by the best figures: what went in and out since the line before, and what is there."""

    at_h: float
    what: str
    in_g: float
    out_g: float
    holds_g: float
    level_g_per_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TankCourse:
    """The course of a stay, as far as it is worth keeping: bands, events, ledger, and the seed to make it again."""

    tank: str
    begin: datetime | None
    until_h: float
    what_if: WhatIf
    change_l: float | None
    states: tuple[StateCourse, ...]
    happened: tuple[tuple[float, str], ...]
    salt: tuple[SaltLine, ...]
    cautions: tuple[Caution, ...]
    trail: Trail
    draws: int
    seed: int

    def state(self, name: str) -> StateCourse:
        """One state by its name."""
        return next(one for one in self.states if one.state == name)


def tank_course(
    case: Case,
    *,
    readings: Sequence[Logged] = (),
    as_of: datetime | None = None,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    what_if: WhatIf = WhatIf.NOTHING,
    progress: Callable[[float], None] | None = None,
) -> TankCourse:
    """The course of the hospital tank of a case over the intended stay; `progress` is told the share that is done.

    Refused, Unanswerable or ImpossibleInput say why there is none, an event of the case by its name and time.
    """
    logged = tuple(sorted(readings, key=lambda one: one.taken))
    desk = Desk(case=case, draws=Draws(count=draws, seed=seed), logged=logged, as_of=as_of)
    with watch() as trail:
        done, change_l = _run(desk, what_if, progress)
    return TankCourse(
        tank=desk.hospital_tank().name,
        begin=desk.start(),
        until_h=float(done.hours[-1]),
        what_if=what_if,
        change_l=change_l,
        states=tuple(_state(desk, done, name) for name in SHOWN),
        happened=tuple((one.at_h, _plain_words(one.words)) for one in done.happenings),
        salt=salt_lines(done),
        cautions=_cautions(done),
        trail=trail,
        draws=draws,
        seed=seed,
    )


def stay_days(desk: Desk) -> float:
    """Days of the stay: as intended, or a week."""
    days = desk.case.intended.days
    return max(days.measured.best / 1440.0, 0.5) if days is not None else DAYS_UNSAID


def _run(desk: Desk, what_if: WhatIf, progress: Callable[[float], None] | None) -> tuple[Course, float | None]:
    setup = _starts_at_its_own_temperature(setup_of(desk, desk.hospital_tank()))
    days = stay_days(desk)
    events = stay_events(desk, days=days, start_clock_h=setup.start_clock_h, what_if=what_if)
    done = course(setup, events, until_h=24.0 * days, every_h=1.0, step_h=0.5, progress=progress)
    return done, scheduled_change_l(desk)


def _starts_at_its_own_temperature(setup: Setup) -> Setup:
    """The thermostat set to the water as it is: the ramp raises it."""
    if setup.heater is None:
        return setup
    return replace(setup, heater=replace(setup.heater, target_temp_c=setup.water.water_temp_c))


def _state(desk: Desk, done: Course, name: str) -> StateCourse:
    bands = done.bands(name)
    return StateCourse(
        state=name,
        hours=_plain(bands.hours),
        low=_plain(bands.low),
        best=_plain(bands.best),
        high=_plain(bands.high),
        levels=_levels(desk, name),
    )


def _levels(desk: Desk, name: str) -> tuple[Level, ...]:
    limits = nitrogen_limits(desk).given()
    harm = tables.row("water_limits", quantity="nh3", group="any", level="harm").value
    ph = tables.row("water_limits", quantity="ph", group="any", level="watch")
    low, high = temperature_range_c(desk.species.name, "tolerated")
    found = {
        "do_mg_per_l": (
            Level(words="alarm", value=oxygen_level(desk, "settled", "alarm"), floor=True),
            Level(words="emergency", value=oxygen_level(desk, "settled", "emergency"), floor=True, serious=True),
        ),
        "nh3_mg_n_per_l": (
            Level(words="limit", value=limits["nh3_mg_n_per_l"], floor=False),
            Level(words="harm", value=harm, floor=False, serious=True),
        ),
        "tan_mg_n_per_l": (Level(words="limit", value=limits["tan_mg_n_per_l"], floor=False),),
        "nitrite_mg_no2_per_l": (Level(words="watch", value=limits["nitrite_mg_no2_per_l"], floor=False),),
        "water_temp_c": (
            Level(words="tolerated at most", value=high, floor=False, serious=True),
            Level(words="tolerated at least", value=low, floor=True, serious=True),
        ),
        "ph": (Level(words="watch", value=ph.low, floor=True), Level(words="watch", value=ph.high, floor=False)),
        "salinity_g_per_l": (
            Level(
                words="ceiling for days",
                value=salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED).high,
                floor=False,
            ),
        ),
        "alkalinity_mg_caco3_per_l": (
            Level(
                words="watch",
                value=tables.row("water_limits", quantity="alkalinity", group="any", level="watch").value,
                floor=True,
            ),
        ),
    }
    return found.get(name, ())


def salt_lines(done: Course) -> tuple[SaltLine, ...]:
    """Every event that moved salt, to the gram, by the best figures; the lines add up to what the tank holds."""
    holds = float(done.start[Quantity.SALT][0])
    volume = float(done.start[Quantity.WATER][0])
    lines = [SaltLine(at_h=0.0, what="at the start", in_g=0.0, out_g=0.0, holds_g=holds, level_g_per_l=holds / volume)]
    for happening in done.happenings:
        moved = [float(amounts[0]) for (quantity, _), amounts in happening.moved.items() if quantity is Quantity.SALT]
        if not any(moved):
            continue
        put_in, let_out = sum(one for one in moved if one > 0.0), -sum(one for one in moved if one < 0.0)
        holds += put_in - let_out
        after = int(np.flatnonzero(done.hours <= happening.at_h + 1e-9)[-1])
        lines.append(
            SaltLine(
                at_h=happening.at_h,
                what=_plain_words(happening.words),
                in_g=put_in,
                out_g=let_out,
                holds_g=holds,
                level_g_per_l=float(done.best("salinity_g_per_l")[after]),
            )
        )
    return tuple(lines)


def _plain_words(words: str) -> str:
    return words.rpartition(" at ")[0] or words


def _plain(values: FloatArray) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _cautions(done: Course) -> tuple[Caution, ...]:
    """Demand that could not be met, and what else whoever acts on the course must know."""
    found = []
    for who, missed in done.ledger.missed_oxygen_mg().items():
        drawn = missed[1:] if missed.size > 1 else missed
        share = float((drawn > 0.0).mean())
        text = f"The {who} could not have the oxygen that it wanted in {100 * share:.0f} % of the draws: it would suffocate."
        found.append(Caution(text=text, serious=True))
    others = [one for one in done.remarks if "oxygen that was wanted" not in one.text]
    found += [Caution(text=f"{one.text[:1].upper()}{one.text[1:]}.", serious=one.serious) for one in others]
    return tuple(found)


def passed_levels(made: TankCourse) -> tuple[str, ...]:
    """Each level that the course passes, in words: from when, and whether by the best figures."""
    said = []
    for one in made.states:
        term = tables.glossary()[one.state]
        for level in one.levels:
            first_edge = _first_past(one.hours, one.low if level.floor else one.high, level)
            if first_edge is None:
                continue
            first_best = _first_past(one.hours, one.best, level)
            edge = "under" if level.floor else "over"
            name = term.words if term.words.startswith("pH") else f"{term.words[:1].upper()}{term.words[1:]}"
            best = "never" if first_best is None else _after(first_best)
            said.append(
                f"{name} {edge} {amount(level.value, unit=term.unit)} ({level.words}): at the unfavourable end "
                f"{_after(first_edge)}, by the best figures {best}."
            )
    return tuple(said)


def _after(hours: float) -> str:
    return f"after {amount(hours, unit='h')}" if hours > 0.0 else "from the start"


def _first_past(hours: tuple[float, ...], values: tuple[float, ...], level: Level) -> float | None:
    for hour, value in zip(hours, values, strict=True):
        if (value < level.value) if level.floor else (value > level.value):
            return hour
    return None
