"""One scene told twice: to the engine, and to the reference equations."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from tests.tank import reference_odes as odes
from waterplan.tank.aeration import Diffuser
from waterplan.tank.biofilter import Biofilter, FilterState
from waterplan.tank.course import Course
from waterplan.tank.equipment_events import AirReturns, AirStops
from waterplan.tank.events import Event, WaterChange
from waterplan.tank.fish_events import Fed, Handled
from waterplan.tank.occupants import Fish
from waterplan.tank.setup import Heater, Setup
from waterplan.tank.through_time import course
from waterplan.tank.water_body import Room, Tank, Water

SHOWN = (
    "volume_l",
    "water_temp_c",
    "do_mg_per_l",
    "tan_mg_n_per_l",
    "nitrite_mg_no2_per_l",
    "nitrate_mg_no3_per_l",
    "salinity_g_per_l",
    "alkalinity_mg_caco3_per_l",
    "ph",
    "co2_mg_per_l",
)
LINEAR = tuple(name for name in SHOWN if name not in ("ph", "co2_mg_per_l"))


@dataclass
class Scene:
    """A start (concentrations, nitrogen in mg N/L), the reference's settings, and what happens."""

    settings: dict[str, Any]
    start: dict[str, float]
    until_h: float
    every_h: float = 1.0
    happenings: Sequence[tuple[float, str, Any]] = ()
    source: dict[str, float] = field(default_factory=dict)

    def reference(self, *, rtol: float = 1e-10, method: str = "LSODA") -> dict[str, np.ndarray]:
        """Every shown state at the hours of the record."""
        r = odes.Reference(**self.settings)
        y = odes.begin(r, **self.start)
        record, now = [odes.as_shown(y)], 0.0
        stops = sorted({*self._hours(), *(at for at, _, _ in self._pieces() if at < self.until_h)})
        for stop in stops:
            if stop > now:
                y, now = odes.solve(r, y, now, stop, rtol=rtol, method=method), stop
                if any(abs(stop - hour) < 1e-9 for hour in self._hours()):
                    record.append(odes.as_shown(y))
            for at, what, value in self._pieces():
                if at == stop:
                    y = _happen(r, y, what, value)
        return {name: np.array([row[name] for row in record]) for name in SHOWN}

    def engine(self, step_h: float) -> tuple[Course, dict[str, np.ndarray]]:
        """The course, and the same states at the same hours (just before whatever happens then)."""
        done = course(self.setup(), self.events(), until_h=self.until_h, every_h=self.every_h, step_h=step_h)
        rows = [int(np.argmin(np.abs(done.hours - hour))) for hour in [0.0, *self._hours()]]
        return done, {name: done.best(name)[rows] for name in SHOWN}

    def errors(
        self, step_h: float, reference: dict[str, np.ndarray], states: Sequence[str] = SHOWN
    ) -> dict[str, float]:
        """The largest error of each state as a share of its range; of states that do not move, of their size."""
        _, shown = self.engine(step_h)
        errors = {}
        for name in states:
            span = np.ptp(reference[name])
            size = span if span > 1e-6 else max(1.0, float(np.max(np.abs(reference[name]))))
            errors[name] = float(np.max(np.abs(shown[name] - reference[name])) / size)
        return errors

    def setup(self) -> Setup:
        """The scene as the engine takes it."""
        r = odes.Reference(**self.settings)
        fish = Fish(
            name="koi",
            biomass_kg=1.0,
            uptake_mg_per_kg_h=r.uptake_mg_h,
            excretion_mg_n_per_kg_h=r.excretion_mg_h,
            rates_at_temp_c=r.reference_c,
            uptake_q10=r.uptake_q10,
            excretion_q10=r.excretion_q10,
            critical_do_mg_per_l=r.critical_mg_l,
            respiratory_quotient=r.quotient,
        )
        stone = Diffuser(
            air_flow_l_per_min=r.air_l_per_min,
            depth_m=r.depth_m,
            sote_percent_per_m=r.sote_percent_per_m,
            alpha=r.alpha,
            beta=r.beta,
        )
        bacteria = Biofilter(
            state=FilterState.SEEDED,
            capacity_mg_n_per_h=r.tan_capacity,
            half_tan_mg_n_per_l=r.tan_half,
            nitrite_capacity_mg_n_per_h=r.nitrite_capacity,
            half_nitrite_mg_n_per_l=r.nitrite_half,
            filter_theta=r.theta,
        )
        return Setup(
            tank=Tank(
                volume_l=r.volume_l,
                area_m2=r.area_m2,
                transfer_m_per_day=r.transfer_m_per_day,
                wall_area_m2=1.0,
                wall_u_w_per_m2_k=r.wall_w_per_k,
                surface_u_w_per_m2_k=r.surface_w_per_m2_k,
                evaporation_factor=r.evaporation_factor,
            ),
            water=_water(**self.start),
            room=Room(air_temp_c=r.room_c, daily_swing_c=r.swing_c, warmest_hour=r.warmest_h),
            fish=(fish,),
            aeration=(stone,) if r.air_l_per_min else (),
            heater=Heater(heater_w=r.heater_w, target_temp_c=r.target_c, band_c=r.band_c) if r.heater_w else None,
            filter=bacteria if r.tan_capacity else None,
        )

    def events(self) -> list[Event]:
        """What happens, as the engine takes it."""
        made: list[Event] = []
        for at, what, value in self.happenings:
            if what == "change":
                made.append(WaterChange(at_h=at, share_changed=value, source=_water(**self.source)))
            elif what == "feed":
                made.append(Fed(at_h=at, feed_g=value))
            elif what == "handled":
                made.append(Handled(at_h=at, stress_factor=value))
            else:
                made.append({"air stops": AirStops, "air returns": AirReturns}[what](at_h=at))
        return made

    def _hours(self) -> list[float]:
        return [self.every_h * count for count in range(1, round(self.until_h / self.every_h) + 1)]

    def _source(self) -> dict[str, float]:
        alkalinity = self.source["alkalinity_mg"] / odes.CACO3
        tan = self.source.get("tan", 0.0)
        return {
            "temp": self.source["temp"],
            "oxygen": self.source["do"],
            "tan": tan,
            "salt": self.source.get("salt", 0.0),
            "alkalinity": alkalinity,
            "carbon": odes.carbon_of(self.source["ph"], alkalinity, tan, self.source["temp"]),
        }

    def _pieces(self) -> list[tuple[float, str, Any]]:
        """The happenings with meals and handling taken apart into what starts and what ends."""
        pieces: list[tuple[float, str, Any]] = []
        for at, what, value in self.happenings:
            if what == "feed":
                start = 0.0
                for until, share in ((2, 0.15), (6, 0.45), (12, 0.30), (24, 0.10)):  # the table of feed_release
                    rate = value * 0.022 * 1000.0 * share / (until - start)
                    pieces += [(at + start, "digest", rate), (at + until, "digest", -rate)]
                    start = float(until)
                pieces += [(at, "factor", 2.0), (at + 12, "factor", 1.0)]
            elif what == "handled":
                residue = 1 + (value - 1) / 3
                pieces += [(at, "factor", value), (at + 1, "factor", residue), (at + 3, "factor", 1.0)]
            elif what == "change":
                pieces.append((at, what, (value, self._source())))
            else:
                pieces.append((at, what, value))
        return pieces


def _happen(r: odes.Reference, y: np.ndarray, what: str, value: Any) -> np.ndarray:
    y = y.copy()
    if what == "digest":
        r.digested_mg_h += value
    elif what == "factor":
        r.uptake_factor = value
    elif what == "air stops":
        r.kept_air = r.air_l_per_min  # type: ignore[attr-defined]
        r.air_l_per_min = 0.0
    elif what == "air returns":
        r.air_l_per_min = r.kept_air  # type: ignore[attr-defined]
    else:
        share, source = value
        y[0] *= 1 - share
        y[2:9] *= 1 - share
        poured = r.level_l - y[0]
        y[1] = (y[1] * y[0] + source["temp"] * poured) / r.level_l
        y[0] = r.level_l
        for index, name in enumerate(odes.STATES[2:], start=2):
            y[index] += poured * source.get(name, 0.0)
    return y


def _water(
    *, temp: float, do: float, tan: float = 0.0, nitrite: float = 0.0, nitrate: float = 0.0,
    alkalinity_mg: float = 100.0, ph: float = 7.5, salt: float = 0.0,
) -> Water:  # fmt: skip
    return Water(
        water_temp_c=temp,
        do_mg_per_l=do,
        tan_mg_n_per_l=tan,
        nitrite_mg_no2_per_l=nitrite / odes.NO2,
        nitrate_mg_no3_per_l=nitrate / odes.NO3,
        alkalinity_mg_caco3_per_l=alkalinity_mg,
        ph=ph,
        salinity_g_per_l=salt,
    )
