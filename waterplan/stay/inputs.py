"""The inputs of a plan as columns of draws: each by its path, so that a figure's band can be traced to them."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from waterplan import tables
from waterplan.case.values import Reading
from waterplan.published import FloatArray
from waterplan.spread import Draws, Measured
from waterplan.water import atmosphere

# An assumed quantity stands at each end of its defensible range in this share of the draws, so that corners are met.
_AT_AN_END = 0.12
ALTITUDE = "altitude"
ALTITUDE_OF_POND = f"home-pond/{ALTITUDE}"


@dataclass(slots=True)
class Inputs:
    """Draws by path: the seed, the number of draws and the path decide a column, and no name that a person gave.

    `columns` are what has been drawn, for what a band hangs on; `rows` the table rows that were taken.
    """

    draws: Draws
    columns: dict[str, FloatArray] = field(default_factory=dict)
    rows: dict[str, None] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """Length of every array: the best value and the draws."""
        return self.draws.count + 1

    def of(self, path: str, measured: Measured, *, meter: str = "") -> FloatArray:
        """A measured input under its path; what was read with one meter shares its calibration, not its reading error."""
        if path not in self.columns:
            self.columns[path] = self.drawn(path, measured, meter=meter)
        return self.columns[path]

    def drawn(self, name: str, measured: Measured, *, meter: str) -> FloatArray:
        """The draws of what was read, which stand in no band under a path of their own."""
        if not meter:
            return self.draws.of(name, measured)
        share = self.value(tables.row("plan_methods", method="calibration in a meter's error"))
        return self.draws.of(name, measured, common=meter, share=share)

    def of_reading(self, path: str, reading: Reading) -> FloatArray:
        """A reading of the case, with the rows that gave its error."""
        self.rows |= dict.fromkeys(reading.rows)
        return self.of(path, reading.measured, meter=reading.meter)

    def or_default(self, what: str, reading: Reading | None) -> FloatArray:
        """A reading of the case, else what the defaults say of it with its range."""
        return self.of_reading(what, reading) if reading else self.of_row(what, tables.row("defaults", what=what))

    def or_value(self, path: str, reading: Reading | None, row: tables.Row) -> FloatArray:
        """A reading of the case, else a row's figure without a spread."""
        return np.full(self.size, self.value(row)) if reading is None else self.of_reading(path, reading)

    def of_row(self, path: str, row: tables.Row) -> FloatArray:
        """A table row that gives a value with its range."""
        self.rows[row.id] = None
        exact = not row.low < row.high
        return self.of(path, Measured.exact(row.value) if exact else Measured.from_range(row.low, row.value, row.high))

    def over_range(self, path: str, row: tables.Row) -> FloatArray:
        """What nobody measured: anywhere in a row's range, and at each of its ends in a share of the draws of their own."""
        self.rows[row.id] = None
        if path not in self.columns:
            inside = np.clip((self.draws.probabilities(path) - _AT_AN_END) / (1.0 - 2.0 * _AT_AN_END), 0.0, 1.0)
            middle = (row.low + row.high) / 2.0 if np.isnan(row.value) else row.value
            self.columns[path] = np.concatenate([[middle], row.low + (row.high - row.low) * inside])
        return self.columns[path]

    def half(self, path: str) -> FloatArray:
        """True in half of the draws, at random: which of two readings that contradict each other is taken."""
        return np.concatenate([[True], self.draws.probabilities(f"{path}: which") < 0.5])

    def which(self, path: str, count: int) -> NDArray[np.intp]:
        """Which of several readings each draw takes, an equal share of the draws each."""
        return np.concatenate([[0], (self.draws.probabilities(f"{path}: which") * count).astype(np.intp)])

    def weighed(self, kilograms: FloatArray) -> FloatArray:
        """The weight of a fish as it is, with the row that says so where no figure here comes from one so heavy."""
        heaviest = tables.row("water_limits", quantity="scope_weight")
        if kilograms[0] > heaviest.value:
            self.rows[heaviest.id] = None
        return kilograms

    def value(self, row: tables.Row) -> float:
        """A row's figure without a spread."""
        self.rows[row.id] = None
        return row.value


def by_altitude_kpa(altitude_m: FloatArray, inputs: Inputs) -> FloatArray:
    """Air pressure [kPa] by the altitude [m], with the weather's swing."""
    swing = Measured.plus_minus(0.0, tables.row("defaults", what="weather").value)
    return np.asarray(atmosphere.air_pressure_kpa(altitude_m) + inputs.of("weather", swing))
