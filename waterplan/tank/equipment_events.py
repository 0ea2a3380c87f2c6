"""What happens to the equipment: air, power, heater, lid."""

from dataclasses import dataclass
from typing import ClassVar

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.tank.body import Body
from waterplan.tank.checked import over_draws
from waterplan.tank.events import Event


@dataclass(frozen=True, slots=True, kw_only=True)
class AirStops(Event):
    """The air pump stops; a fall and bottled oxygen go on."""

    words: ClassVar[str] = "air stops"

    def happen(self, body: Body) -> None:
        """Stops the air."""
        body.air_on = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AirReturns(Event):
    """The air pump runs again."""

    words: ClassVar[str] = "air returns"

    def happen(self, body: Body) -> None:
        """Starts the air."""
        body.air_on = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerFails(Event):
    """Air, pumps, filter and heater stop; bottled oxygen goes on."""

    words: ClassVar[str] = "power fails"

    def happen(self, body: Body) -> None:
        """Cuts the power."""
        body.power_on = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerReturns(Event):
    """Everything that was on runs again."""

    words: ClassVar[str] = "power returns"

    def happen(self, body: Body) -> None:
        """Brings the power back."""
        body.power_on = True


def _require_heater(event: Event, body: Body) -> None:
    if body.heater is None:
        raise ImpossibleInput(event.called, "no heater", "a tank that has a heater")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterSticksOn(Event):
    """The thermostat fails closed: full power until it is mended."""

    words: ClassVar[str] = "heater sticks on"

    def happen(self, body: Body) -> None:
        """Leaves the heater on."""
        _require_heater(self, body)
        body.heater_stuck = True


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterFails(Event):
    """The heater gives no heat until it is mended."""

    words: ClassVar[str] = "heater fails"

    def happen(self, body: Body) -> None:
        """Cuts the heater."""
        _require_heater(self, body)
        body.heater_cut = True


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterMended(Event):
    """The heater and its thermostat work again."""

    words: ClassVar[str] = "heater mended"

    def happen(self, body: Body) -> None:
        """Gives the heater back to its thermostat."""
        _require_heater(self, body)
        body.heater_stuck = body.heater_cut = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermostatSet(Event):
    """The thermostat is set to another temperature."""

    words: ClassVar[str] = "thermostat set"
    target_temp_c: Numbers

    def happen(self, body: Body) -> None:
        """Sets the target."""
        _require_heater(self, body)
        body.target_temp_c = over_draws(self.target_temp_c, body.draws)


@dataclass(frozen=True, slots=True, kw_only=True)
class LidOn(Event):
    """The lid is laid on."""

    words: ClassVar[str] = "lid on"

    def happen(self, body: Body) -> None:
        """Covers the surface."""
        body.lid_on = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LidOff(Event):
    """The lid is taken off."""

    words: ClassVar[str] = "lid off"

    def happen(self, body: Body) -> None:
        """Uncovers the surface."""
        body.lid_on = False
