"""What the charts of a plan are drawn from: plain numbers, taken from the same draws as the findings."""

from dataclasses import dataclass

import numpy as np

from waterplan.errors import ImpossibleInput, Unanswerable
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.certificates import Certificate, certificates
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.model import Logged, Vessel
from waterplan.first_plan.first_case.schema import Shape, Use
from waterplan.first_plan.procedure import check_by_min, hours_to
from waterplan.first_plan.safe_region import SafeRegion
from waterplan.first_plan.tank_pictures import TankSheet, region_of, tank_sheet
from waterplan.published import FloatArray
from waterplan.spread import HIGH_PERCENT, LOW_PERCENT, band
from waterplan.tank.decline import do_after_hours_mg_per_l
from waterplan.water import oxygen

_POINTS = 61
STATES = {Use.INDUCTION: "anaesthetised", Use.IRRIGATION: "anaesthetised", Use.REVIVAL: "anaesthetised"}


@dataclass(frozen=True, slots=True, kw_only=True)
class TankScene:
    """The hospital tank from the side, to scale."""

    name: str
    length_m: float
    depth_m: float
    rim_m: float
    fish_cm: float
    side_view: str
    has_lid: bool
    has_heater: bool
    outlets: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Decline:
    """Oxygen in a vessel after its air stops: minutes, and the low, best and high of the draws at each."""

    vessel: str
    minutes: tuple[float, ...]
    low: tuple[float, ...]
    best: tuple[float, ...]
    high: tuple[float, ...]
    alarm_mg_per_l: float
    emergency_mg_per_l: float
    check_by_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SaturationCurve:
    """Oxygen at saturation against temperature for this place and salt, and this water on it."""

    temps_c: tuple[float, ...]
    saturation_mg_per_l: tuple[float, ...]
    here_c: float
    here_mg_per_l: float
    measured_mg_per_l: float | None
    alarm_mg_per_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """All that the charts of a plan need; None or nothing where the case does not give it.

    The course of the tank is made from the case and the `readings` when it is asked for (`tank_ahead`): it takes seconds.
    """

    tank: TankScene | None
    declines: tuple[Decline, ...]
    saturation: SaturationCurve | None
    certificates: tuple[Certificate, ...] = ()
    sheet: TankSheet | None = None
    region: SafeRegion | None = None
    readings: tuple[Logged, ...] = ()


def pictures(desk: Desk) -> Pictures:
    """The numbers behind the charts of a plan."""
    return Pictures(
        tank=_tank(desk),
        declines=tuple(found for vessel in desk.case.vessels if (found := _decline(desk, vessel)) is not None),
        saturation=_saturation(desk),
        certificates=certificates(desk),
        sheet=tank_sheet(desk),
        region=region_of(desk),
        readings=desk.logged,
    )


def _tank(desk: Desk) -> TankScene | None:
    tanks = desk.case.vessels_for(Use.HOSPITAL)
    if not tanks or tanks[0].body.depth is None:
        return None
    tank = tanks[0]
    across = tank.body.diameter if tank.body.shape is Shape.ROUND else tank.body.length
    if across is None or tank.body.depth is None:
        return None
    depth_m = tank.body.depth.measured.best
    rim_m = tank.rim.measured.best if tank.rim else depth_m * 1.15
    return TankScene(
        name=tank.name,
        length_m=across.measured.best,
        depth_m=depth_m,
        rim_m=max(rim_m, depth_m),
        fish_cm=float(desk.length_cm()[0]),
        side_view=desk.species.side_view,
        has_lid=tank.lid == "yes",
        has_heater=tank.heater is not None,
        outlets=tank.outlets or 0,
    )


def _decline(desk: Desk, vessel: Vessel) -> Decline | None:
    if vessel.use is Use.DIP:
        return None
    state = STATES.get(vessel.use, "settled")
    alarm, emergency = oxygen_level(desk, state, "alarm"), oxygen_level(desk, state, "emergency")
    try:
        to_emergency = band(hours_to(desk, vessel, emergency))
        check_by = check_by_min(desk, vessel, state)
        start = desk.start_oxygen_mg_per_l(vessel.name)
        demand = desk.demand_mg_per_h(desk.temperature_c(vessel.name), state="handled")
        volume = desk.free_l(vessel)
    except (Unanswerable, ImpossibleInput):
        return None  # the findings say why
    span = min(max(to_emergency.best * 1.4, 0.2), 48.0)
    hours = np.linspace(0.0, span, _POINTS)
    levels = np.asarray(
        do_after_hours_mg_per_l(
            volume[:, None], hours=hours[None, :], start_do_mg_per_l=start[:, None], demand_mg_per_h=demand[:, None]
        )
    )
    low, high = np.percentile(levels[1:], [LOW_PERCENT, HIGH_PERCENT], axis=0)
    return Decline(
        vessel=vessel.name,
        minutes=_plain(hours * 60.0),
        low=_plain(low),
        best=_plain(levels[0]),
        high=_plain(high),
        alarm_mg_per_l=alarm,
        emergency_mg_per_l=emergency,
        check_by_min=check_by,
    )


def _saturation(desk: Desk) -> SaturationCurve | None:
    try:
        here = float(desk.temperature_c(HOME)[0])
        here_mg_per_l = float(desk.saturation_mg_per_l(HOME)[0])
    except (Unanswerable, ImpossibleInput):
        return None  # the findings say why
    temps = np.linspace(0.0, 35.0, 71)
    salinity, pressure = float(desk.salinity_g_per_l(HOME)[0]), float(desk.air_pressure_kpa()[0])
    curve = oxygen.saturation_mg_per_l(temps, salinity_g_per_kg=salinity, air_pressure_kpa=pressure)
    reading = desk.latest(HOME, "oxygen")
    return SaturationCurve(
        temps_c=_plain(temps),
        saturation_mg_per_l=_plain(np.asarray(curve)),
        here_c=here,
        here_mg_per_l=here_mg_per_l,
        measured_mg_per_l=reading.measured.best if reading else None,
        alarm_mg_per_l=oxygen_level(desk, "settled", "alarm"),
    )


def _plain(values: FloatArray) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
