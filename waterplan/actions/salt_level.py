"""The salt that a tank is meant to hold, the ceiling of its fish, and the steps in which it is raised."""

from waterplan import tables
from waterplan.actions.needs import high
from waterplan.actions.proposing import Context
from waterplan.dose.salt import Exposure, salt_ceiling, salt_steps
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.stay.whole import WaterStay
from waterplan.tank.ramps import Rung


def ceiling_row(context: Context, water: WaterStay) -> tables.Row:
    """The strictest ceiling for days of all fish that are ever in a water."""
    fish = context.ground.fish
    inside = {one for stretch in water.place.stretches for one in stretch.fish if one in fish}
    groups = {fish[one].species.salt_group for one in inside} or {"other"}
    return min((salt_ceiling(one, Exposure.PROLONGED) for one in groups), key=lambda row: row.high)


def asked_salt_g_per_l(context: Context, water: WaterStay) -> float | None:
    """The salt that the case intends for a hospital tank; None elsewhere, or where none is intended."""
    intended = context.ground.case.intended.salt
    if intended is None or water.place.kind is not WaterKind.HOSPITAL or not water.place.stretches:
        return None
    return float(intended.measured.best)


def intended_salt_g_per_l(context: Context, water: WaterStay) -> float | None:
    """The salt that a tank is to hold; None where none is intended or where it is refused for a fish in it."""
    asked = asked_salt_g_per_l(context, water)
    return None if asked is None or asked > ceiling_row(context, water).high else asked


def salt_ladder(context: Context, water: WaterStay) -> tuple[Rung, ...]:
    """When a tank comes to which level of salt: hours of the stay and g/L; empty where there is nothing to raise."""
    level = intended_salt_g_per_l(context, water)
    if level is None or not water.place.stretches:
        return ()
    present = max(high(water.start[Q.SALT]), 0.0)
    start_h = water.place.stretches[0].start_h
    return tuple(
        Rung(at_h=start_h + step.at_h, level=step.level_g_per_l)
        for step in salt_steps(min(present, level), intended_g_per_l=level)
    )
