"""A course made by hand, so that what a chart should show of it is known without any sum."""

from datetime import datetime

from waterplan.first_plan.tank_course import Level, SaltLine, StateCourse, TankCourse
from waterplan.first_plan.tank_events import WhatIf
from waterplan.published import Trail

BEGIN = datetime(2026, 5, 14, 10, 0)
HOURS = (0.0, 24.0, 24.0, 48.0, 96.0)


def state(name, best, *levels, spread=0.1):
    """A state with a band of a share of its best values."""
    return StateCourse(
        state=name,
        hours=HOURS,
        low=tuple(value * (1 - spread) for value in best),
        best=tuple(best),
        high=tuple(value * (1 + spread) for value in best),
        levels=levels,
    )


OXYGEN = state(
    "do_mg_per_l",
    (9.0, 8.0, 8.5, 3.5, 8.0),
    Level(words="alarm", value=5.0, floor=True),
    Level(words="emergency", value=3.0, floor=True, serious=True),
)
WARMTH = state(
    "water_temp_c",
    (18.0, 20.0, 20.0, 20.0, 20.0),
    Level(words="tolerated at most", value=41.0, floor=False, serious=True),
    spread=0.01,
)
NITRATE = state("nitrate_mg_no3_per_l", (0.0, 1e-15, -1e-15, 0.0, 0.0))
HAPPENED = (
    (0.0, "lid on"),
    (0.0, "salt dose"),
    (24.0, "water change"),
    (40.0, "power fails"),
    (46.5, "power returns"),
    (60.0, "feed"),
    (73.0, "handling"),
    (90.0, "air stops"),
)


def course(**changed):
    """Four days of a tank."""
    given = {
        "tank": "hospital tank",
        "begin": BEGIN,
        "until_h": 96.0,
        "what_if": WhatIf.NOTHING,
        "change_l": 120.0,
        "states": (OXYGEN, WARMTH, NITRATE),
        "happened": HAPPENED,
        "salt": (
            SaltLine(at_h=0.0, what="at the start", in_g=0.0, out_g=0.0, holds_g=140.0, level_g_per_l=0.3),
            SaltLine(at_h=0.0, what="salt dose", in_g=400.0, out_g=0.0, holds_g=540.0, level_g_per_l=1.15),
            SaltLine(at_h=24.0, what="water change", in_g=240.0, out_g=138.0, holds_g=642.0, level_g_per_l=1.366),
        ),
        "cautions": (),
        "trail": Trail(),
        "draws": 64,
        "seed": 7,
    }
    return TankCourse(**(given | changed))
