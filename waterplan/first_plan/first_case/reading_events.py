"""The events of a case read: each with what it needs, in order of time, within the stay."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from waterplan.first_plan.first_case.model import CaseEvent, Vessel
from waterplan.first_plan.first_case.schema import Filter
from waterplan.first_plan.first_case.tank_choices import BackUp, Carrier, Happens, MadeOf, Stones

_VESSEL_CHOICES: Mapping[str, Callable[[str], object]] = {"stones": Stones, "made_of": MadeOf, "back_up": BackUp}
_OF_HEATER = frozenset({Happens.HEATER_STICKS, Happens.HEATER_MENDED})
_OF_FILTER = frozenset({Happens.FILTER_DAMAGED, Happens.CLEAN_TEST})
_NEEDS_VOLUME = frozenset({Happens.CHANGE})
_NEEDS_WEIGHT = frozenset({Happens.MEAL, Happens.SALT, Happens.BICARBONATE, Happens.ICE, Happens.FISH_IN})
_NEEDS_WORDS = frozenset({Happens.FILTER_DAMAGED, Happens.FISH_IN, Happens.FISH_OUT})


def vessel_choices(values: dict[str, Any]) -> dict[str, Any]:
    """The values of a vessel with the choices about its air and walls as what they are."""
    return values | {key: make(values[key]) for key, make in _VESSEL_CHOICES.items() if key in values}


def with_choice(values: dict[str, Any]) -> dict[str, Any]:
    """The values of the transport with its choice as what it is."""
    return values | ({"by": Carrier(values["by"])} if "by" in values else {})


class EventReader:
    """Reads the events and tells of those that lack something or stand at a time that cannot be.

    `wrong` adds a mistake, `missing` one of a key that was not told of yet.
    """

    def __init__(
        self,
        wrong: Callable[[str, object, str], None],
        missing: Callable[[str, object, str], None],
        intended: Mapping[str, Any],
        tank: Vessel | None,
    ) -> None:
        self._wrong, self._missing, self._tank = wrong, missing, tank
        self._start: datetime | None = intended.get("operation_at")
        days = intended.get("days")
        self._end = self._start + timedelta(minutes=days.measured.best) if self._start and days else None

    def events(self, found: Sequence[tuple[str, dict[str, Any]]]) -> tuple[CaseEvent, ...]:
        """All events, in the order of the file, which must be that of time."""
        made: list[CaseEvent] = []
        for where, values in found:
            if not {"at", "what"} <= values.keys():
                continue  # told of already
            event = CaseEvent(**values | {"what": Happens(values["what"])})
            self._complete(event, where)
            self._fits_tank(event, where)
            self._in_time(event, where, made[-1] if made else None)
            made.append(event)
        return tuple(made)

    def _complete(self, event: CaseEvent, where: str) -> None:
        name = f"{event.what} at {event.at:%Y-%m-%dT%H:%M}"
        if event.what in _NEEDS_VOLUME and event.volume is None:
            self._missing(
                f"{where}.volume", f"nothing for the {name}", "give the water changed, such as '120 L, marked tub'"
            )
        if event.what in _NEEDS_WEIGHT and event.weight is None:
            self._missing(f"{where}.weight", f"nothing for the {name}", "give its weight, such as '300 g'")
        if event.what in _NEEDS_WORDS and not event.words:
            self._missing(f"{where}.words", f"nothing for the {name}", "name the fish or the treatment")

    def _fits_tank(self, event: CaseEvent, where: str) -> None:
        """Whether the hospital tank has what the event is about, and is as large."""
        tank, name = self._tank, f"{event.what} at {event.at:%Y-%m-%dT%H:%M}"
        if tank is None:
            return
        if event.what in _OF_HEATER and tank.heater is None:
            self._wrong(
                f"{where}.what", f"{name}, and the {tank.name} has no heater", "give its heater, or leave this out"
            )
        if event.what in _OF_FILTER and tank.filter in (None, Filter.UNSEEDED):
            self._wrong(
                f"{where}.what", f"{name}, and the {tank.name} has no filter", "give its filter, or leave this out"
            )
        holds = tank.body.volume
        if event.volume is not None and holds is not None and event.volume.measured.best > holds.measured.best:
            self._wrong(
                f"{where}.volume",
                f"{event.volume.text} for the {name}",
                f"at most what the {tank.name} holds, {holds.text}",
            )

    def _in_time(self, event: CaseEvent, where: str, before: CaseEvent | None) -> None:
        name = f"{event.what} at {event.at:%Y-%m-%dT%H:%M}"
        if before is not None and event.at < before.at:
            self._wrong(
                f"{where}.at",
                name,
                f"put the events in order of time: the one above it is at {before.at:%Y-%m-%dT%H:%M}",
            )
        if self._start is not None and event.at < self._start:
            self._wrong(f"{where}.at", name, f"an event comes after the operation, {self._start:%Y-%m-%dT%H:%M}")
        if self._end is not None and event.at > self._end:
            self._wrong(f"{where}.at", name, f"an event comes before the end of the stay, {self._end:%Y-%m-%dT%H:%M}")
