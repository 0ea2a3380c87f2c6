"""Waters made by hand: a small case is laid out, and its states and courses are put in place of what was worked out."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from waterplan.case.reading import read_case
from waterplan.hazards.judging import HAZARDS, judge
from waterplan.hazards.record import Hazard, Verdict
from waterplan.hazards.subject import Assessed, Judged, Subject
from waterplan.spread import Draws
from waterplan.stay.course import Course, Scenario
from waterplan.stay.effects import Effects
from waterplan.stay.quantities import Q
from waterplan.stay.record import Origin
from waterplan.stay.state import Known, State, derived
from waterplan.stay.whole import Stay, lay_out, stay

DRAWS = 40
# A plain water in which every hazard is within its limit for a koi; saturation at 18 °C and sea level is 9.47 mg/L.
PLAIN: Mapping[Q, float] = MappingProxyType(
    {
        Q.VOLUME: 400.0,
        Q.TEMPERATURE: 18.0,
        Q.OXYGEN: 9.0,
        Q.PH: 7.5,
        Q.ALKALINITY: 120.0,
        Q.AMMONIA: 0.1,
        Q.NITRITE: 0.0,
        Q.NITRATE: 10.0,
        Q.SALT: 0.2,
        Q.CHLORINE: 0.0,
        Q.NITROGEN: 559.3,
    }
)
CASE = """
waterplan_case = 1
[[patients]]
species = "{species}"
weight = "1.0 ± 0.01 kg"
wound = "none"
{more}
[home_pond]
volume = "8000 L, meter fill"
[[vessels]]
name = "tub"
use = "{use}"
volume = "400 L, marked tub"
filter = "seeded"
{vessel}
[[vessels]]
name = "knock-out tub"
use = "induction"
volume = "60 L, marked tub"
{end}
"""


def laid_out(*, species: str = "koi", use: str = "hospital", more: str = "", vessel: str = "", end: str = "") -> Stay:
    """A koi or another fish, a pond, one tub and the tub for induction."""
    text = CASE.format(species=species, use=use, more=more, vessel=vessel, end=end)
    case = read_case(text)
    return stay(lay_out(case, draws=Draws(count=DRAWS)), Effects())


def exact(value: float | np.ndarray, *, assumed: str | None = None) -> Known:
    """A quantity without error, or an assumption over given draws."""
    draws = np.broadcast_to(np.asarray(value, dtype=np.float64), (DRAWS + 1,))
    origin = Origin.ASSUMED if assumed else Origin.MEASURED
    return Known(draws=draws, origin=origin, assumed=frozenset({assumed} if assumed else ()))


def spread(low: float, high: float) -> np.ndarray:
    """Draws in equal steps from one value to another, the best in the middle."""
    return np.concatenate([[(low + high) / 2.0], np.linspace(low, high, DRAWS)])


def subject(
    made: Stay,
    water: str = "hospital-1",
    *,
    known: Mapping[Q, Known | float] | None = None,
    course: Mapping[Q, tuple[float, ...]] | None = None,
    contents: Mapping[str, Known] | None = None,
) -> Subject:
    """A water with a state of its own, whose course stays as it is but for what is given: values from start to end."""
    one = made[water]
    given = {**PLAIN, **(known or {})}
    state = State(
        known=MappingProxyType(
            {quantity: value if isinstance(value, Known) else exact(value) for quantity, value in given.items()}
        ),
        air_pressure_kpa=np.full(DRAWS + 1, 101.325),
        contents=MappingProxyType(dict(contents or {})),
    )
    state = derived(state)
    stretch = one.place.stretches[-1] if one.place.stretches else None
    changed = replace(one, states=(state,), _courses={})
    if stretch is not None:
        rows = max((len(values) for values in (course or {}).values()), default=2)
        hours = np.linspace(stretch.start_h, stretch.until_h, rows)
        values = {
            quantity: np.repeat(state[quantity][None, :], rows, axis=0).astype(np.float32) for quantity in state.known
        }
        for quantity, levels in (course or {}).items():
            values[quantity] = np.repeat(np.array(levels, dtype=np.float32)[:, None], DRAWS + 1, axis=1)
        for scenario in Scenario:
            changed._courses[stretch.name, scenario] = Course(
                start_h=stretch.start_h, until_h=stretch.until_h, hours=hours, values=values
            )
    waters = MappingProxyType({**made.waters, water: changed})
    return Subject(stay=replace(made, waters=waters), water=changed, stretch=stretch)


def judged(about: Subject, hazard: Hazard) -> list[Judged]:
    """What is found of a hazard."""
    found: list[Assessed] = []
    for function in HAZARDS[hazard]:
        made = function(about)
        found += [made] if isinstance(made, Assessed) else list(made or ())
    return [judge(about, hazard, one) for one in found]


def verdict_of(about: Subject, hazard: Hazard) -> Verdict:
    """The verdict of the first of its judgements."""
    return judged(about, hazard)[0].record.verdict
