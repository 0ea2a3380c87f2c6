"""What came in and what went out, by cause, for every draw."""

from collections.abc import Iterator
from enum import StrEnum

import numpy as np

from waterplan.published import FloatArray, Numbers


class Quantity(StrEnum):
    """What is kept account of; the value is the words, with the unit of its ledger."""

    WATER = "water, L"
    HEAT = "heat, kJ"
    SALT = "salt, g"
    NITROGEN = "ammonia, nitrite and nitrate, mg N"
    OXYGEN = "oxygen, mg"
    ALKALINITY = "alkalinity, meq"
    CARBON = "inorganic carbon, mmol"


class Ledger:
    """Amounts in and out by cause, as arrays of draws, counted from the start; what goes out is negative."""

    def __init__(self, draws: int) -> None:
        self._draws = draws
        self._entries: dict[Quantity, dict[str, FloatArray]] = {quantity: {} for quantity in Quantity}
        self._missed: dict[str, FloatArray] = {}

    def add(self, quantity: Quantity, cause: str, amount: Numbers) -> None:
        """Enters an amount."""
        _add(self._entries[quantity], cause, amount, self._draws)

    def add_missed(self, who: str, amount_mg: Numbers) -> None:
        """Enters oxygen that was wanted and could not be had [mg]."""
        _add(self._missed, who, amount_mg, self._draws)

    def of(self, quantity: Quantity, cause: str) -> FloatArray:
        """The amount of one cause so far; zeros where there was none."""
        return self._entries[quantity].get(cause, np.zeros(self._draws))

    def missed_oxygen_mg(self) -> dict[str, FloatArray]:
        """Oxygen that was wanted and could not be had, by who wanted it [mg]."""
        return self._missed

    def total(self, quantity: Quantity) -> FloatArray:
        """What all causes add up to."""
        return np.asarray(np.sum([np.zeros(self._draws), *self._entries[quantity].values()], axis=0))

    def turnover(self, quantity: Quantity) -> FloatArray:
        """The sum of all amounts without their signs: the measure of an error in the balance."""
        return np.asarray(np.sum([np.zeros(self._draws), *map(np.abs, self._entries[quantity].values())], axis=0))

    def __iter__(self) -> Iterator[tuple[Quantity, str, FloatArray]]:
        for quantity, causes in self._entries.items():
            for cause, amount in causes.items():
                yield quantity, cause, amount

    def entries(self) -> dict[tuple[Quantity, str], FloatArray]:
        """A copy of all amounts so far."""
        return {(quantity, cause): amount.copy() for quantity, cause, amount in self}


def _add(account: dict[str, FloatArray], cause: str, amount: Numbers, draws: int) -> None:
    if cause in account:
        account[cause] += amount
    else:
        account[cause] = np.array(np.broadcast_to(np.asarray(amount, dtype=np.float64), (draws,)))
