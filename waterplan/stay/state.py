"""A water at one time: every quantity as draws, with where it comes from and what in it was only assumed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.case.values import Reading
from waterplan.published import FloatArray, Numbers
from waterplan.stay.figures import ALL, Parts
from waterplan.stay.inputs import Inputs
from waterplan.stay.quantities import COURSE_STATES, Q
from waterplan.stay.record import Origin
from waterplan.tank.through_time import NITROGEN
from waterplan.tank.water_body import Water as TankWater
from waterplan.water import ammonia, carbonate, carbonate_system, gas, nitrite, oxygen, supersaturation

# Calcium carbonate by its equivalent weight [mg/eq], and what must be left beside the hydroxide.
_MG_CACO3_PER_EQ, _SPARE = 50043.0, 1.05
_GAS_LAWS_TO_C, _GAS_LAWS_TO_G_PER_KG = 60.0, 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """One quantity at one time; shape of `draws` (draws + 1,), the best value first.

    `assumed` names the assumptions that it hangs on (`mains/chlorine`): with one of them it is not known, however it
    was worked out; `read_at` when each reading behind it was taken, by its path. `against` is a second reading that
    contradicts the first, as it was written; `censored` says that the kit showed nothing. `doubts` are readings behind it,
    by their paths, that clear nothing, each with its reason; `either` which of several of one time each draw takes.
    """

    draws: FloatArray
    origin: Origin
    measured_with: str | None = None
    taken: datetime | None = None
    came_from: str | None = None
    why: str | None = None
    text: str | None = None
    assumed: frozenset[str] = frozenset()
    against: str | None = None
    rows: tuple[str, ...] = ()
    censored: bool = False
    read_at: frozenset[tuple[str, datetime]] = frozenset()
    doubts: frozenset[tuple[str, str]] = frozenset()
    either: Mapping[str, NDArray[np.intp]] = field(default_factory=dict)

    @property
    def is_known(self) -> bool:
        """Whether nothing in it was only assumed."""
        return not self.assumed

    @classmethod
    def of_reading(cls, path: str, reading: Reading, inputs: Inputs, came_from: str | None = None) -> "Known":
        """What was read, in its draws."""
        return cls(
            draws=inputs.of_reading(path, reading),
            origin=Origin.MEASURED,
            measured_with=reading.how,
            taken=reading.taken,
            came_from=came_from,
            text=reading.text,
            censored=reading.measured.censored,
            read_at=frozenset() if reading.taken is None else frozenset({(path, reading.taken)}),
            doubts=frozenset((path, doubt) for doubt in reading.doubts),
        )

    @classmethod
    def not_measured(cls, draws: FloatArray, path: str, row: tables.Row, came_from: str | None = None) -> "Known":
        """What nobody measured, in draws over a row of the tables; `path` names the assumption."""
        return cls(
            draws=draws,
            origin=Origin.ASSUMED,
            came_from=came_from or row.id,
            why="not measured",
            assumed=frozenset({path}),
            rows=(row.id,),
        )

    @classmethod
    def made(cls, draws: Numbers, came_from: str | None, *of: "Known") -> "Known":
        """What was made or follows, assumed where anything that it was made of was."""
        assumed = frozenset[str]().union(*(one.assumed for one in of))
        read_at = frozenset[tuple[str, datetime]]().union(*(one.read_at for one in of))
        doubts = frozenset[tuple[str, str]]().union(*(one.doubts for one in of))
        either = {path: which for one in of for path, which in one.either.items()}
        origin = Origin.ASSUMED if assumed else Origin.WORKED_OUT
        drawn = np.asarray(draws, dtype=np.float64)
        more: dict[str, Any] = {"assumed": assumed, "read_at": read_at, "doubts": doubts, "either": either}
        return cls(draws=drawn, origin=origin, came_from=came_from, **more)

    def worked_out(self, draws: Numbers, came_from: str | None, *others: "Known") -> "Known":
        """What follows from this one, and from others mixed into it."""
        of = (self, *others)
        made = Known.made(draws, came_from, *of)
        # Of waters in which a kit showed nothing, or there is nothing, the mixture is one of which that is known too.
        unseen = any(one.censored for one in of) and all(one.censored or not np.any(one.draws) for one in of)
        return replace(made, why=self.why if made.assumed else None, rows=self.rows, censored=unseen)


def parts(of: Iterable[Known]) -> Parts:
    """The draws parted by which of several readings they take, the best value in every part; all where each has one."""
    which = {path: which for one in of for path, which in one.either.items()}
    told = np.stack([*which.values()], axis=1)[1:] if which else None
    found = ALL if told is None else [np.all(told == one, axis=1) for one in np.unique(told, axis=0)]
    return tuple(one if isinstance(one, slice) else np.concatenate([[True], one]) for one in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A water at one time. `contents` are substances by name, in mg/L; `air_pressure_kpa` is that of its place."""

    known: Mapping[Q, Known]
    air_pressure_kpa: FloatArray
    at_h: float | None = None
    contents: Mapping[str, Known] = field(default_factory=dict)
    after: tuple[str, ...] = ()
    hypothetical: bool = False

    def __getitem__(self, quantity: Q) -> FloatArray:
        return self.known[quantity].draws

    def holds_the_same(self, other: "State") -> bool:
        """Whether every quantity and every substance is the same in each draw, wherever it comes from."""
        return _the_same(self.known, other.known) and _the_same(self.contents, other.contents)

    def has(self, quantity: Q) -> bool:
        """Whether the quantity is there at all, if only as an assumption."""
        return quantity in self.known

    @property
    def size(self) -> int:
        """The length of every array."""
        return self.known[Q.TEMPERATURE].draws.size

    @property
    def gas_temp_c(self) -> FloatArray:
        """The temperature as far as gas laws reach; hotter water is judged for its heat."""
        return np.minimum(self[Q.TEMPERATURE], _GAS_LAWS_TO_C)

    @property
    def saturation_mg_per_l(self) -> FloatArray:
        """Oxygen of this water in equilibrium with air [mg/L, shape (draws + 1,)]."""
        return np.asarray(
            oxygen.saturation_mg_per_l(
                self.gas_temp_c,
                salinity_g_per_kg=np.minimum(self[Q.SALT], _GAS_LAWS_TO_G_PER_KG),
                air_pressure_kpa=self.air_pressure_kpa,
            )
        )

    def with_known(self, changed: Mapping[Q, Known], *, done: str | None = None) -> "State":
        """The state with some quantities replaced, and what follows from them (ammonia, carbon dioxide, gas) anew."""
        own = _OF_CARBON.isdisjoint(changed)  # then carbon dioxide that was read stays as it was read
        kept = {key: one for key, one in self.known.items() if key not in _DERIVED or (own and key is Q.CARBON_DIOXIDE)}
        after = self.after if done is None else (*self.after, done)
        return derived(replace(self, known={**kept, **changed}, after=after))


def _the_same(mine: Mapping[Any, Known], theirs: Mapping[Any, Known]) -> bool:
    return mine.keys() == theirs.keys() and all(np.array_equal(mine[one].draws, theirs[one].draws) for one in mine)


_DERIVED = (Q.UNIONISED_AMMONIA, Q.CARBON_DIOXIDE, Q.GAS_PRESSURE)
_OF_CARBON = frozenset({Q.TEMPERATURE, Q.PH, Q.ALKALINITY})


def derived(state: State) -> State:
    """The state with what follows from the rest: un-ionised ammonia, carbon dioxide, total gas pressure."""
    known = dict(state.known)
    temp, ph, tan = known[Q.TEMPERATURE], known[Q.PH], known[Q.AMMONIA]
    alkalinity = known[Q.ALKALINITY] = _with_the_ph(known[Q.ALKALINITY], ph, temp)
    rise = [known[Q.PH_RISE]] if Q.PH_RISE in known else []
    worst_ph = ph.draws + sum(one.draws for one in rise)
    nh3 = ammonia.nh3_mg_n_per_l(tan.draws, ph=worst_ph, water_temp_c=temp.draws)
    known[Q.UNIONISED_AMMONIA] = ph.worked_out(nh3, None, tan, temp, *rise)
    if Q.CARBON_DIOXIDE not in known or known[Q.CARBON_DIOXIDE].origin is not Origin.MEASURED:
        co2 = carbonate.co2_mg_per_l(ph.draws, alkalinity_mg_caco3_per_l=alkalinity.draws, water_temp_c=temp.draws)
        known[Q.CARBON_DIOXIDE] = ph.worked_out(co2, None, alkalinity, temp)
    if Q.NITROGEN in known:
        gases = total_gas_percent(state)
        known[Q.GAS_PRESSURE] = known[Q.NITROGEN].worked_out(gases, None, known[Q.OXYGEN], temp)
    return replace(state, known=known)


def _with_the_ph(alkalinity: Known, ph: Known, temp: Known) -> Known:
    """Alkalinity that is at least what the pH's own hydroxide makes: a lower reading contradicts that of the pH."""
    _, _, water = carbonate_system.equilibrium_constants(temp.draws)
    least = _MG_CACO3_PER_EQ * _SPARE * np.asarray(water) * 10.0**ph.draws
    if np.all(alkalinity.draws >= least):
        return alkalinity
    return replace(alkalinity, draws=np.maximum(alkalinity.draws, least), against=ph.text or alkalinity.against)


def total_gas_percent(state: State) -> FloatArray:
    """Total gas pressure from the oxygen and the nitrogen that are in the water [% of the air pressure]."""
    percent = 100.0 * state[Q.OXYGEN] / state.saturation_mg_per_l
    nitrogen = 100.0 * state[Q.NITROGEN] / np.asarray(gas.nitrogen_umol_per_kg(state.gas_temp_c))
    over = supersaturation.delta_p_of_gases_mmhg(
        percent, nitrogen_percent_sat=nitrogen, water_temp_c=state.gas_temp_c, air_pressure_kpa=state.air_pressure_kpa
    )
    return np.asarray(gas.total_gas_pressure_percent(over, air_pressure_kpa=state.air_pressure_kpa))


# Chloride in sodium chloride, by mass.
CHLORIDE_OF_SALT = 1.0 / float(nitrite.salt_for_chloride_mg_per_l(1.0))


def chloride_mg_per_l(state: State) -> FloatArray:
    """Chloride that the nitrite guard may count on [mg/L]: as it was read, and of salt known to have gone in; else none.

    What a conductivity meter calls salt may be the minerals of hard water.
    """
    return np.maximum(state[Q.CHLORIDE], 0.0) if state.has(Q.CHLORIDE) else np.zeros(state.size)


def of_salt_mg_per_l(salt_g_per_l: Numbers) -> FloatArray:
    """The chloride [mg/L] of sodium chloride [g/L], by its share of the mass."""
    return np.asarray(np.maximum(salt_g_per_l, 0.0) * 1000.0 * CHLORIDE_OF_SALT)


# The states that the tank's engine takes a water by, and what it takes none below.
_TAKEN = tuple(quantity for quantity in COURSE_STATES if quantity.state in {one.name for one in fields(TankWater)})
_NEVER_BELOW = {Q.TEMPERATURE: -np.inf, Q.PH: -np.inf, Q.ALKALINITY: 1.0}
# Chlorine, chloride and nitrogen go as solutes beside the substances; a substance may not be called as they are.
SOLUTES: Mapping[Q, str] = {Q.CHLORINE: "/chlorine", Q.CHLORIDE: "/chloride", Q.NITROGEN: NITROGEN}


def as_tank_water(state: State) -> TankWater:
    """The state as the tank's engine takes a water."""
    taken: dict[str, Any] = {one.state: np.maximum(state[one], _NEVER_BELOW.get(one, 0.0)) for one in _TAKEN}
    solutes = {name: state[quantity] for quantity, name in SOLUTES.items() if state.has(quantity)}
    return TankWater(**taken, solutes_per_l=solutes | {name: one.draws for name, one in state.contents.items()})


def solute_levels(solutes: Mapping[str, FloatArray]) -> tuple[dict[Q, FloatArray], dict[str, FloatArray]]:
    """The engine's solutes as quantities and as substances."""
    quantities = {quantity: solutes[name] for quantity, name in SOLUTES.items() if name in solutes}
    substances = {name: level for name, level in solutes.items() if name not in SOLUTES.values()}
    return quantities, substances
