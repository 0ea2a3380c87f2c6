"""How everything stands at the start: tank, water, room, fish and equipment."""

from dataclasses import dataclass, field

from waterplan.errors import ImpossibleInput
from waterplan.published import Numbers
from waterplan.tank.aeration import Diffuser
from waterplan.tank.biofilter import Biofilter
from waterplan.tank.checked import check
from waterplan.tank.occupants import Fish
from waterplan.tank.water_body import Room, Tank, Water


@dataclass(frozen=True, slots=True, kw_only=True)
class Heater:
    """A heater and its thermostat, acting in proportion over a band about the target, of equal mean power.

    A real thermostat switches; all draws would then switch at times of their own. In proportion, the mean power and
    the mean temperature are the same to within the band.
    """

    heater_w: Numbers
    target_temp_c: Numbers
    band_c: Numbers = 0.5

    def __post_init__(self) -> None:
        check(self, called="heater", above_zero=("band_c",))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """Everything as it stands at the start."""

    tank: Tank
    water: Water
    room: Room = field(default_factory=Room)
    fish: tuple[Fish, ...] = ()
    aeration: tuple[Diffuser, ...] = ()
    heater: Heater | None = None
    filter: Biofilter | None = None
    start_clock_h: float = 0.0

    def __post_init__(self) -> None:
        for what, named in (("aeration", self.aeration), ("fish", self.fish)):
            names = [one.name for one in named]
            if len(set(names)) < len(names):
                raise ImpossibleInput(what, names, "a name of its own for each")
