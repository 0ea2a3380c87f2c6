"""The desk on which a plan is made: the case's quantities as draws, each with the trail that led to it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import TypeVar, TypeVarTuple, cast

import numpy as np

from waterplan import tables
from waterplan.errors import ImpossibleInput, Refused, Unanswerable
from waterplan.findings import Caution, Finding, Moment, Step, Verdict, Who
from waterplan.first_plan import volumes
from waterplan.first_plan.answers import Answer, answer
from waterplan.first_plan.first_case.model import Body, Case, Logged, OtherFish, Vessel, Water
from waterplan.first_plan.first_case.schema import Filter, Shape, Use, Walls
from waterplan.first_plan.first_case.shaping import Progress
from waterplan.first_plan.first_case.values import Reading
from waterplan.fish import excretion, size, uptake
from waterplan.fish.species import Species, species
from waterplan.published import FloatArray, Trail, relay, remark, watch
from waterplan.spread import Draws, Measured
from waterplan.vessel import shapes
from waterplan.water import ammonia, atmosphere, oxygen

T = TypeVar("T")
Ts = TypeVarTuple("Ts")
_LATELY = timedelta(days=5)
HOME, MAINS = "home water", "mains water"


@dataclass(frozen=True, slots=True)
class _Traced:
    """Draws that tell whoever takes them how they came about."""

    draws: FloatArray
    trail: Trail

    def take(self) -> FloatArray:
        relay(self.trail)
        return self.draws


@dataclass(slots=True)
class Desk:
    """A case laid out for planning: ask it for a quantity, or give it a sum to make a finding of.

    Every quantity is an array of draws (the best value first) in the unit of its name. A quantity that the case does
    not give is taken from the nearest thing that it does give, and the plan says so; where nothing stands in for it,
    `Unanswerable` names what to give.
    """

    case: Case
    draws: Draws
    logged: tuple[Logged, ...] = ()
    as_of: datetime | None = None
    assumed_filter: Filter | None = None
    progress: Progress | None = None
    assumed_ph_shift: float | None = None
    findings: list[Finding] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    cautions: list[tuple[Moment, Caution]] = field(default_factory=list)
    _cache: dict[str, _Traced] = field(default_factory=dict)
    _kept: dict[str, tuple[object, Trail]] = field(default_factory=dict)
    _measured: dict[str, volumes.Water | None] = field(default_factory=dict)

    # -- making findings ----------------------------------------------------------------------------------------

    def answer(
        self, moment: Moment, key: str, title: str, make: Callable[["Desk", *Ts], Answer], *args: *Ts
    ) -> Finding:
        """Makes the sum `make(desk, *args)` into a finding of the plan."""
        finding = answer(moment, key, title, lambda: make(self, *args))
        self.findings.append(finding)
        return finding

    def step(self, moment: Moment, who: Who, what: str, at: datetime | None = None) -> None:
        """Adds something to be done."""
        self.steps.append(Step(moment=moment, who=who, what=what, at=at))

    def caution(self, moment: Moment, text: str, *, serious: bool = False) -> None:
        """Adds a caution that belongs to a moment and not to one finding."""
        self.cautions.append((moment, Caution(text=text, serious=serious)))

    def _once(self, name: str, make: Callable[[], FloatArray]) -> FloatArray:
        """The draws of a name, computed once and traced each time they are taken."""
        if name not in self._cache:
            with watch() as trail:
                made = make()
            self._cache[name] = _Traced(np.asarray(made, dtype=np.float64), trail)
            return self._cache[name].draws
        return self._cache[name].take()

    def kept(self, name: str, make: Callable[[], T]) -> T:
        """Whatever a sum made of the case, worked out once and traced each time it is taken."""
        if name not in self._kept:
            with watch() as trail:
                self._kept[name] = (make(), trail)
        else:
            relay(self._kept[name][1])
        return cast(T, self._kept[name][0])

    def drawn(self, name: str, measured: Measured) -> FloatArray:
        """The draws of a measured input under a name of its own."""
        return self.draws.of(name, measured)

    def drawn_row(self, name: str, row: tables.Row) -> FloatArray:
        """The draws of a table row that gives a value with its range."""
        if row.low == row.value == row.high:
            return self.drawn(name, Measured.exact(row.value))
        return self.drawn(name, Measured.from_range(row.low, row.value, row.high))

    def drawn_reading(self, name: str, reading: Reading) -> FloatArray:
        """The draws of a reading of the case; what was read with one meter shares the meter's error."""
        relay(reading.trail)
        return self.drawn(reading.meter or name, reading.measured)

    # -- the fish -----------------------------------------------------------------------------------------------

    @property
    def species(self) -> Species:
        """The patient's species."""
        return species(self.case.patient.species)

    def weight_kg(self) -> FloatArray:
        """The patient's weight."""
        patient = self.case.patient

        def make() -> FloatArray:
            if patient.weight is not None:
                return self.drawn_reading("patient.weight", patient.weight)
            remark("The patient was not weighed: its weight is reckoned from its length. Weigh it before any dose.")
            scatter = self.drawn(
                "patient.weight from length", Measured.within_factor(1.0, size.LENGTH_WEIGHT_RELATIVE_SD)
            )
            return np.asarray(size.weight_of_species_kg(self.length_cm(), species=patient.species) * scatter)

        return self._once("weight_kg", make)

    def length_cm(self) -> FloatArray:
        """The patient's length."""
        patient = self.case.patient

        def make() -> FloatArray:
            if patient.length is not None:
                return self.drawn_reading("patient.length", patient.length)
            remark("The patient was not measured: its length is reckoned from its weight.")
            scatter = self.drawn(
                "patient.length from weight", Measured.within_factor(1.0, size.LENGTH_WEIGHT_RELATIVE_SD / 3)
            )
            return np.asarray(size.length_of_species_cm(self.weight_kg(), species=patient.species) * scatter)

        return self._once("length_cm", make)

    def other_fish_kg(self) -> FloatArray:
        """The weight of the other fish of the home pond; Unanswerable where the case names none."""
        others = self.case.other_fish
        if not others:
            raise Unanswerable("the other fish of the home pond in [[other_fish]] (count = 0 if there are none)")
        total = np.zeros(self.draws.count + 1)
        for number, sort in enumerate(others, 1):
            total = total + self.sort_kg(number, sort)
        return total

    def sort_kg(self, number: int, sort: OtherFish) -> FloatArray:
        """The weight of all fish of a sort of the home pond."""
        name = f"other_fish[{number}]"

        def make() -> FloatArray:
            if sort.weight is not None:
                return self.drawn_reading(f"{name}.weight", sort.weight) * sort.count
            if sort.count == 0:
                return np.zeros(self.draws.count + 1)
            if sort.length is None:
                raise Unanswerable(f"{name}.weight")
            length = self.drawn_reading(f"{name}.length", sort.length)
            scatter = self.drawn(f"{name} from length", Measured.within_factor(1.0, size.LENGTH_WEIGHT_RELATIVE_SD))
            return np.asarray(size.weight_of_species_kg(length, species=sort.species) * scatter * sort.count)

        return self._once(f"{name}_kg", make)

    def demand_mg_per_h(self, water_temp_c: FloatArray, *, state: str) -> FloatArray:
        """Oxygen that the patient takes in an hour, "at rest" or "handled"."""
        model = self.species.uptake_model
        per_kg = uptake.UPTAKE_MODELS[model](self.weight_kg(), water_temp_c=water_temp_c)
        scatter = self.drawn_row("uptake spread", tables.row("oxygen_uptake", model=model))
        factor = self.drawn_row(f"stress factor {state}", tables.row("stress_factors", state=state))
        return np.asarray(per_kg * scatter * factor * self.weight_kg())

    def ammonia_mg_n_per_day(self, water_temp_c: FloatArray) -> FloatArray:
        """Ammonia that the patient gives off in a day: fasted or lately fed, and what the intended feed adds."""
        base = self.drawn_row("excretion", tables.row("excretion", state=self.fed_state()))
        q10 = self.drawn_row("excretion q10", tables.row("temperature_effect", process="ammonia excretion Q10"))
        rate = excretion.excretion_at_temperature_mg_n_per_kg_h(base, water_temp_c=water_temp_c, q10=q10)
        feed = self.case.intended.feed
        if feed is not None and feed.measured.best > 0.0:
            per_feed = self.drawn_row("feed nitrogen", tables.row("feed_nitrogen", basis="ammonia nitrogen per feed"))
            rate = rate + excretion.fed_excretion_mg_n_per_kg_h(feed.measured.best, ammonia_kg_n_per_kg_feed=per_feed)
        return np.asarray(rate * self.weight_kg() * 24.0)

    def fed_state(self) -> str:
        """Whether the patient ate lately, as the table of ammonia has it."""
        fed, begin = self.case.patient.last_fed, self.start()
        if fed is None or begin is None:
            remark(
                "When it last ate was not given: it is taken as fasted. Within five days of a meal ammonia is higher."
            )
            return "fasted"
        return "lately fed" if begin - fed < _LATELY else "fasted"

    # -- the place and the waters -------------------------------------------------------------------------------

    def air_pressure_kpa(self) -> FloatArray:
        """Air pressure at the place."""
        place = self.case.place

        def make() -> FloatArray:
            if place.station_pressure is not None:
                return self.drawn_reading("place.station_pressure", place.station_pressure)
            if place.altitude is not None:
                altitude_m = self.drawn_reading("place.altitude", place.altitude)
            else:
                assumed = tables.row("defaults", what="altitude")
                remark("The altitude was not given: sea level is assumed. At 1,000 m water holds a ninth less oxygen.")
                altitude_m = np.full(self.draws.count + 1, assumed.value)
            swing_kpa = tables.row("defaults", what="weather").value
            weather = self.drawn("weather", Measured.plus_minus(0.0, swing_kpa))
            return np.asarray(atmosphere.air_pressure_kpa(altitude_m) + weather)

        return self._once("air_pressure_kpa", make)

    def latest(self, water: str, key: str, *, until: datetime | None = None) -> Reading | None:
        """The newest reading of a water: from the log up to `as_of` (or an earlier `until`), or the case's own."""
        own = self._water(water).readings.get(key)
        last = min((time for time in (self.as_of, until) if time is not None), default=None)
        rows = [
            logged.reading
            for logged in self.logged
            if logged.water == water and logged.key == key and (last is None or logged.taken <= last)
        ]
        if not rows:
            return own
        newest = rows[-1]
        if own is not None and own.taken is not None and newest.taken is not None and own.taken > newest.taken:
            return own
        return newest

    def _water(self, water: str) -> Water:
        found = self.case.water(water)
        if found is None:
            raise LookupError(f"no water named {water}")
        return found

    def water(self, water: str, key: str) -> FloatArray:
        """A quantity of one water: its own reading, or that of the water it was filled with, said as a remark."""
        reading = self.latest(water, key)
        if reading is not None:
            return self._once(f"{_known_as(water)}.{key}", lambda: self._of_reading(water, key, reading))
        vessel = next((vessel for vessel in self.case.vessels if vessel.name == water), None)
        if vessel is None:
            raise Unanswerable(f"[{water.replace(' ', '_')}] {key}")
        stand_in = vessel.filled_with if self.latest(vessel.filled_with, key) is not None else None
        if key == "temperature" and stand_in is None and self.latest(HOME, key) is not None:
            stand_in = HOME
        if stand_in is None:
            raise Unanswerable(f"{_word(key)} of the {water}, or of the {vessel.filled_with}")
        source = stand_in

        def make() -> FloatArray:
            remark(f"The {_word(key)} of the {water} was not measured: that of the {source} is taken.")
            return self.water(source, key)

        return self._once(f"{_known_as(water)}.{key}", make)

    def _of_reading(self, water: str, key: str, reading: Reading) -> FloatArray:
        if reading.basis_unknown:
            remark(
                f"The basis of the {_word(key)} reading of the {water} is not known: the worse reading is taken, "
                "as nitrogen. Ask what the kit reports."
            )
        return self.drawn_reading(f"{_known_as(water)}.{key}", reading)

    def temperature_c(self, water: str) -> FloatArray:
        """Temperature of a water."""
        return self.water(water, "temperature")

    def temperature_on_the_day_c(self, water: str) -> FloatArray:
        """Temperature of a water when the operation began: what was logged after it does not count."""
        reading = self.latest(water, "temperature", until=self.case.intended.operation_at)
        if reading is None or reading is self.latest(water, "temperature"):
            return self.temperature_c(water)
        name = f"{_known_as(water)}.temperature on the day"
        return self._once(name, lambda: self._of_reading(water, "temperature", reading))

    def hospital_water(self) -> str:
        """The name of the water that the patient is kept in: the hospital tank's, or the home water without one."""
        tanks = self.case.vessels_for(Use.HOSPITAL)
        return tanks[0].name if tanks else HOME

    def hospital_temperature_c(self) -> FloatArray:
        """The temperature at which the patient will be kept: the intended one, or that of its water as it is."""
        intended = self.case.intended.temperature
        if intended is None:
            return self.temperature_c(self.hospital_water())
        return self._once("intended.temperature", lambda: self.drawn_reading("intended.temperature", intended))

    def salinity_g_per_l(self, water: str) -> FloatArray:
        """Salt in a water, none where it was not measured, said as a remark."""
        try:
            return self.water(water, "salinity")
        except Unanswerable:
            remark(
                f"The salt in the {water} was not measured: none is counted. Each g/L holds off half a per cent of oxygen."
            )
            return np.full(self.draws.count + 1, tables.row("defaults", what="salinity").value)

    def saturation_mg_per_l(self, water: str, *, water_temp_c: FloatArray | None = None) -> FloatArray:
        """Oxygen of the water at saturation with air."""
        temp = self.temperature_c(water) if water_temp_c is None else water_temp_c
        salinity = self.salinity_g_per_l(water)
        pressure = self.air_pressure_kpa()
        return np.asarray(oxygen.saturation_mg_per_l(temp, salinity_g_per_kg=salinity, air_pressure_kpa=pressure))

    def start_oxygen_mg_per_l(self, water: str, *, water_temp_c: FloatArray | None = None) -> FloatArray:
        """Oxygen with which a vessel starts: as measured in it, or a share of saturation."""
        if self.latest(water, "oxygen") is not None and water_temp_c is None:
            return self.water(water, "oxygen")
        share = tables.row("hospital_demands", demand="start of saturation").value
        if water_temp_c is None:
            remark(
                f"The oxygen of the {water} was not measured: {100 * share:.0f} % of saturation is assumed. Measure it."
            )
        return np.asarray(share * self.saturation_mg_per_l(water, water_temp_c=water_temp_c))

    def tan_limit_mg_n_per_l(
        self, water: str, *, water_temp_c: FloatArray | None = None, ph_shift: float = 0.0
    ) -> FloatArray:
        """The total ammonia at which this water's un-ionised ammonia, or total ammonia itself, reaches its limit.

        `ph_shift` is how far the pH will have moved from what was measured.
        """
        nh3 = tables.row("water_limits", quantity="nh3", group=self.species.law_group, level="limit").value
        cap = tables.row("water_limits", quantity="tan", group="any", level="cap").value
        temp = self.temperature_c(water) if water_temp_c is None else water_temp_c
        by_nh3 = ammonia.tan_giving_nh3_mg_n_per_l(nh3, ph=self.water(water, "ph") + ph_shift, water_temp_c=temp)
        return np.minimum(by_nh3, cap)

    # -- the volumes --------------------------------------------------------------------------------------------

    def vessel_l(self, vessel: Vessel) -> FloatArray:
        """Litres in a vessel."""
        return self._once(f"{_known_as(vessel.name)}.litres", lambda: self._litres(vessel, vessel.body))

    def free_l(self, vessel: Vessel) -> FloatArray:
        """Litres in a vessel less the patient's own (1 kg/L); Unanswerable where the fish does not fit."""
        free = self.vessel_l(vessel) - self.weight_kg()
        if free[0] <= 0.0:
            raise Unanswerable(f"the size of the {vessel.name} again: it is smaller than the fish")
        return np.maximum(free, 1e-3)

    def pond_l(self) -> FloatArray:
        """Litres in the home pond."""
        pond = self.case.home_pond
        body = pond.body if pond else Body()
        if not body.is_given and self.measured_water(None) is None:
            raise Unanswerable("[home_pond] its shape and sizes, or its volume and how that was found, or [[volumes]]")
        return self._once(f"{volumes.POND}.litres", lambda: self._litres(None, body))

    def litres_of(self, vessel: Vessel | None) -> FloatArray:
        """Litres in a vessel, or in the home pond where there is none."""
        return self.pond_l() if vessel is None else self.vessel_l(vessel)

    def is_known(self, vessel: Vessel | None) -> bool:
        """Whether the litres of a vessel, or of the home pond, come out at all."""
        try:
            self.litres_of(vessel)
        except (Unanswerable, Refused, ImpossibleInput):
            return False
        return True

    def measured_water(self, vessel: Vessel | None) -> volumes.Water | None:
        """All the ways in which a water was measured in [[volumes]], with what its section says; None without any."""
        name = volumes.POND if vessel is None else vessel.name
        known = _known_as(name) if vessel else name
        if known not in self._measured:
            # The pond goes by that name even where a tub is called so too.
            given = [one for one in self.case.volumes if one.of == name and (vessel is None or name != volumes.POND)]
            body, before = self._body(vessel), None
            if body.is_given:
                before = partial(volumes.before_it_was_measured, name, body, partial(self._plain_litres, vessel, body))
            self._measured[known] = (
                volumes.measured_water(name, given, draws=self.draws, before=before, progress=self.progress)
                if given
                else None
            )
        return self._measured[known]

    def surface_m2(self, vessel: Vessel | None) -> FloatArray:
        """Area of a water's surface; Unanswerable where nothing gives it."""
        water, body = self.measured_water(vessel), self._body(vessel)
        found = volumes.surface_of(water, self.draws) if water else None
        if found is None and body.has_surface:
            return self.area_m2(_known_as(vessel.name) if vessel else volumes.POND, body)
        if found is None:
            raise Unanswerable("the size of the water's surface")
        return found

    def _body(self, vessel: Vessel | None) -> Body:
        pond = self.case.home_pond
        return vessel.body if vessel else pond.body if pond else Body()

    def _litres(self, vessel: Vessel | None, body: Body) -> FloatArray:
        water = self.measured_water(vessel)
        return self._plain_litres(vessel, body) if water is None else water.taken()

    def _plain_litres(self, vessel: Vessel | None, body: Body) -> FloatArray:
        if vessel is not None:
            return self._body_l(_known_as(vessel.name), body, None)
        pond = self.case.home_pond
        return self._body_l(volumes.POND, body, pond.walls.value if pond and pond.walls else "unknown")

    def _body_l(self, name: str, body: Body, walls: str | None) -> FloatArray:
        if body.volume is not None:
            return self.drawn_reading(f"{name}.volume", body.volume)
        if body.shape is None or body.depth is None:
            raise Unanswerable(f"the shape and depth, or the volume, of the {name}")
        depth_m = self.drawn_reading(f"{name}.depth", body.depth)
        litres = np.asarray(shapes.prism_volume_l(self.area_m2(name, body), depth_m=depth_m))
        if walls is None:
            return litres
        if walls == "unknown":
            remark("How the pond's sides go down was not said: its volume is uncertain by a third. Give walls.")
        share = tables.row("pond_walls", walls=walls)
        drawn = self.drawn(f"{name}.walls", Measured.from_range(share.low, share.value, share.high))
        return np.asarray(litres * (np.minimum(drawn, 1.0) if walls == Walls.VERTICAL else drawn))

    def area_m2(self, name: str, body: Body) -> FloatArray:
        """Surface of a body of water whose shape was given."""
        if body.shape is Shape.ROUND:
            assert body.diameter is not None  # the reader has seen to it
            return np.asarray(shapes.circle_area_m2(self.drawn_reading(f"{name}.diameter", body.diameter)))
        assert body.length is not None
        assert body.width is not None
        length_m = self.drawn_reading(f"{name}.length", body.length)
        width_m = self.drawn_reading(f"{name}.width", body.width)
        area = shapes.ellipse_area_m2 if body.shape is Shape.OVAL else shapes.rectangle_area_m2
        return np.asarray(area(length_m, width_m=width_m))

    # -- odds and ends ------------------------------------------------------------------------------------------

    def hospital_tank(self) -> Vessel:
        """The first hospital tank; Unanswerable where the case names none."""
        tanks = self.case.vessels_for(Use.HOSPITAL)
        if not tanks:
            raise Unanswerable('a vessel with use = "hospital"')
        return tanks[0]

    def filter_state(self) -> Filter:
        """What the hospital tank's filter can be counted on for: unseeded where the case does not say."""
        tanks = self.case.vessels_for(Use.HOSPITAL)
        if not tanks and self.assumed_filter is not None:
            return self.assumed_filter
        if not tanks or tanks[0].filter is None:
            remark("The filter of the hospital tank was not described: it is counted as none.")
            return Filter.UNSEEDED
        return tanks[0].filter

    def start(self) -> datetime | None:
        """The time from which clock times are counted: `as_of`, or when the operation begins."""
        return self.as_of or self.case.intended.operation_at

    def not_measured(self, moment: Moment, key: str, title: str, what: str) -> None:
        """Adds the grey finding of something that nobody measured."""
        text = f"Not measured: nothing is known of the {_word(what)}."
        self.answer(moment, key, title, lambda _: Answer(text=text, verdict=Verdict.NOT_MEASURED))


def _known_as(water: str) -> str:
    """The name under which the draws of a water are kept: a tub may be called whatever its owner likes."""
    return water if water in {HOME, MAINS} else f"vessel {water}"


def _word(key: str) -> str:
    return {"ph": "pH", "tan": "total ammonia", "oxygen": "oxygen"}.get(key, key)
