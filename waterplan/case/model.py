"""A case: what was measured, what is intended, what was done. All its records can be had from here."""
# mypy: implicit-reexport

from collections.abc import Container, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from datetime import timezone as FixedOffset  # noqa: N812 - a key of a case has the other name
from functools import cached_property
from typing import Annotated, TypeAlias
from zoneinfo import ZoneInfo

from pydantic import Field
from pydantic.json_schema import SkipJsonSchema

from waterplan.case.choices import Filter, Use
from waterplan.case.fishes import CaseEvent, Intended, OtherFish, OxygenCylinder, Patient, Transport
from waterplan.case.kinds import Flag
from waterplan.case.minded import Given, Meant, Note
from waterplan.case.names import Names
from waterplan.case.part import Fault, Part
from waterplan.case.seen import Seen
from waterplan.case.tank_choices import Happens
from waterplan.case.times import OFFSET, TO_THE_MINUTE, ZONE
from waterplan.case.treatments import DRUGS, Already, Done, Dose, Injection
from waterplan.case.values import Reading
from waterplan.case.volume.measurement import Contours, DrawDown, Grid, Lines, Meter, Soundings, TimedFill, Tracer
from waterplan.case.volume.sizes import ShapeGiven
from waterplan.case.waters import HomePond, MainsWater, Place, Vessel, Water

Measured: TypeAlias = Annotated[
    ShapeGiven | Soundings | Grid | Lines | Contours | Tracer | TimedFill | Meter | DrawDown, Field(discriminator="by")
]
_OF_HEATER = frozenset({Happens.HEATER_STICKS, Happens.HEATER_FAILS, Happens.HEATER_MENDED})
_OF_FILTER = frozenset({Happens.FILTER_DAMAGED, Happens.CLEAN_TEST})


class Case(Part):
    """The fish, the place, the waters, the vessels, and what is intended."""

    invented: Annotated[bool, Flag()] = False
    """is the case invented, as a demonstration is: `false`"""
    utc_offset: Annotated[FixedOffset, OFFSET] = Field(default_factory=lambda: UTC)
    """how far the clock of the place is from universal time: `+02:00`"""
    timezone: Annotated[ZoneInfo | None, ZONE] = None
    """in place of utc_offset the name of the zone: `Europe/Vienna`"""
    patients: tuple[Patient, ...] = ()
    """the fish that are treated, a table for each; one alone may stand under the heading patient"""
    place: Place = Place()
    """where the water is"""
    home_pond: HomePond | None = None
    """the pond the fish comes from and goes back to"""
    other_fish: tuple[OtherFish, ...] = ()
    """the other fish of the home pond, a table for each sort"""
    home_water: Water = Water()
    """what was measured in the home pond"""
    mains_water: MainsWater = MainsWater()
    """the new water: of the tap, a well, rain"""
    vessels: tuple[Vessel, ...] = ()
    """the tubs and tanks at hand, a table for each"""
    intended: Intended = Intended()
    """what is meant to happen"""
    oxygen_cylinder: OxygenCylinder | None = None
    """the oxygen cylinder at hand"""
    transports: tuple[Transport, ...] = ()
    """how the fish travel, a table for each bag or box; one alone may stand under the heading transport"""
    seen: tuple[Seen, ...] = ()
    """what was seen at a water, a table for each sign"""
    meant: tuple[Meant, ...] = ()
    """what somebody means to do, a table for each thing"""
    given: tuple[Given, ...] = ()
    """drugs that the patients were given before, a table for each"""
    notes: tuple[Note, ...] = ()
    """notes and pictures that are kept and change nothing in the plan, a table for each"""
    events: tuple[CaseEvent, ...] = ()
    """what happens to a water beside the daily change and meals, a table for each"""
    doses: tuple[Dose, ...] = ()
    """what is meant to go into a water, a table for each"""
    injections: tuple[Injection, ...] = ()
    """what is meant to go into the fish, a table for each"""
    already: tuple[Already, ...] = ()
    """what is already in the water, the filter or the fish, a table for each"""
    done: tuple[Done, ...] = ()
    """what has been done already, a table for each"""
    volumes: tuple[Measured, ...] = ()
    """how much water there is, measured: a table for each way; several ways on one water are weighed together"""
    file: SkipJsonSchema[str] = "case"

    @property
    def zone(self) -> tzinfo:
        """The zone of the clock of the place."""
        return self.timezone or self.utc_offset

    @cached_property
    def names(self) -> Names:
        """Who and what can be named."""
        vessels = {vessel.path: vessel.name for vessel in self.vessels}
        return Names(patients=tuple(patient.name for patient in self.patients), vessels=vessels)

    @property
    def drugs_given(self) -> tuple[Given, ...]:
        """The drugs that the patients had before, as they were given or among what has been done."""
        done = (one for one in self.done if one.substance in DRUGS)
        told = (Given.model_construct(drug=str(one.substance), at=one.at, patients=one.patients) for one in done)
        return (*self.given, *told)

    def patients_among(self, fish: Container[str]) -> tuple[Patient, ...]:
        """The patients of which the path is among some."""
        return tuple(patient for patient in self.patients if patient.path in fish)

    def vessels_for(self, *uses: Use) -> tuple[Vessel, ...]:
        """The vessels of some uses, in the file's order."""
        return tuple(vessel for vessel in self.vessels if vessel.use in uses)

    @property
    def vat(self) -> Vessel | None:
        """The vat that is home and hospital in one, where there is one."""
        return next(iter(self.vessels_for(Use.VAT)), None)

    @property
    def is_operated_in(self) -> tuple[Vessel, ...]:
        """The vessels in which a fish is under an anaesthetic."""
        return self.vessels_for(Use.INDUCTION, Use.IRRIGATION)

    def vessel(self, path: str) -> Vessel | None:
        """The vessel of a path; the first in which fish are held for the empty one."""
        if not path:
            return next(iter(self.vessels_for(Use.HOSPITAL, Use.VAT)), None)
        return next((vessel for vessel in self.vessels if vessel.path == path), None)

    def faults(self) -> Iterator[Fault]:
        """A vat that is home and hospital in one, and another of either, or a journey."""
        yield from super().faults()
        if self.vat is None:
            return
        for key, there, say in (
            ("home_pond", self.home_pond is not None, "leave it out: the vat is the home"),
            ("home_water", bool(self.home_water.readings), "write what was read in the vat under its own heading"),
            ("transports", bool(self.transports), "leave them out: the fish stays in its vat"),
            ("vessels", len(self.vessels_for(Use.HOSPITAL, Use.VAT)) > 1, "name one tank in which fish are held"),
        ):
            if there:
                yield Fault(key, f"it beside the {self.vat.name}, which is home and hospital", say)

    def event_faults(self) -> Iterator[tuple[int, Fault]]:
        """What is wrong with an event, by its number: one that its tank cannot have, or outside the stay."""
        start, days = self.intended.operation_at, self.intended.days
        end = start + timedelta(minutes=days.measured.best) if start and days else None
        for number, event in enumerate(self.events, 1):
            tank = self.vessel(event.water)
            found = list(_unfit(event, tank)) if tank is not None else []
            if not event.water and start is not None and event.at < start:
                say = f"an event comes after the operation, {start:{TO_THE_MINUTE}}, or name its water"
                found.append(Fault("at", event.told, say))
            if not event.water and end is not None and event.at > end:
                say = f"an event comes before the end of the stay, {end:{TO_THE_MINUTE}}"
                found.append(Fault("at", event.told, say))
            yield from ((number, fault) for fault in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """One row of a readings file: the water by its path, the key of what was read."""

    taken: datetime
    water: str
    key: str
    reading: Reading


def _unfit(event: CaseEvent, tank: Vessel) -> Iterator[Fault]:
    """Whether a tank has what an event is about, and is as large."""
    for of_it, has_it, it in (
        (_OF_HEATER, tank.heater is not None, "heater"),
        (_OF_FILTER, tank.filter not in (None, Filter.UNSEEDED), "filter"),
    ):
        if event.what in of_it and not has_it:
            yield Fault("what", f"{event.told}, and the {tank.name} has no {it}", f"give its {it}, or leave this out")
    holds = tank.volume
    if event.volume is not None and holds is not None and event.volume.measured.best > holds.measured.best:
        say = f"at most what the {tank.name} holds, {holds.text}"
        yield Fault("volume", f"{event.volume.text} for the {event.told}", say)
