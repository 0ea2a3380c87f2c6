"""What the band of a figure hangs on: the share of each input in it, from the draws that are there anyway."""

from collections.abc import Mapping

import numpy as np
from scipy.stats import rankdata

from waterplan import tables
from waterplan.errors import ImpossibleInput
from waterplan.published import FloatArray
from waterplan.stay.record import HangsOn

# Fewer draws than this tell nothing of their inputs.
_FEWEST = 8


class Bins:
    """The draws of a plan's inputs, parted once into bins of equal size, for all the figures that hang on them.

    Parameters
    ----------
    inputs : mapping of str to array
        The draws of each input by its name, shape (draws + 1,), in any unit; element 0, the best value, is left out.

    Raises
    ------
    ImpossibleInput
        The inputs are not equally long or hold a NaN.

    Notes
    -----
    Draws of one value share a bin, so that an input that takes few values has as few bins. Otherwise there are as many
    bins as the root of the number of draws: 64 for 4,096.
    """

    __slots__ = ("_count", "_names", "_order", "_owner", "_sizes", "_starts")

    def __init__(self, inputs: Mapping[str, FloatArray]) -> None:
        self._names = tuple(inputs)
        columns = [_drawn(name, column) for name, column in inputs.items()]
        self._count = columns[0].size if columns else 0
        for name, column in zip(self._names, columns, strict=True):
            if column.size != self._count:
                raise ImpossibleInput(name, f"{column.size} draws", f"{self._count}, as many as the other inputs")
        wanted = max(2, int(self._count**0.5))
        orders, starts, owners = [], [], []
        for ordinal, column in enumerate(columns):
            order = np.argsort(column)
            ordered = column[order]
            edges = np.arange(wanted) * self._count // wanted
            first_of_a_value = np.unique(np.searchsorted(ordered, ordered[edges]))
            orders.append(order)
            starts.append(first_of_a_value + ordinal * self._count)
            owners.append(np.full(first_of_a_value.size, ordinal))
        self._order = np.concatenate(orders) if orders else np.empty(0, dtype=np.intp)
        self._starts = np.concatenate(starts) if starts else np.empty(0, dtype=np.intp)
        self._owner = np.concatenate(owners) if owners else np.empty(0, dtype=np.intp)
        self._sizes = np.diff(self._starts, append=self._order.size)

    def explained(self, values: FloatArray) -> dict[str, float]:
        """The share of the variance of some values that each input explains by itself.

        Parameters
        ----------
        values : array
            Finite values in any unit, shape (draws + 1,); element 0 is left out.

        Returns
        -------
        dict of str to float
            A share between 0 and 1 for each input, in the order of the inputs; all 0 where the values do not vary, and of
            fewer than eight draws, which tell nothing.

        Raises
        ------
        ImpossibleInput
            There are not as many values as draws of the inputs, or one is not finite.

        Notes
        -----
        The first-order index from given data: the variance of the means in the bins of an input, over the variance of
        all (Plischke, Borgonovo & Smith 2013). Bins of nothing but chance have means that differ too: as many squares
        as there are bins less one are taken off, each as large as the scatter within bins (epsilon squared). What two
        inputs do only together belongs to neither; what inputs that move together do belongs to both.

        Checked against the indices of Ishigami's function, of sums of normal inputs and of a product.

        Examples
        --------
        >>> steps = np.arange(65.0)
        >>> Bins({"half": steps % 2.0, "none": np.zeros(65)}).explained(3.0 * (steps % 2.0))
        {'half': 1.0, 'none': 0.0}
        """
        drawn = _drawn("values", values)
        if self._names and drawn.size != self._count:
            raise ImpossibleInput("values", f"{drawn.size} draws", f"{self._count}, as many as the inputs")
        if not np.isfinite(drawn).all():
            raise ImpossibleInput("values", "inf", "finite in every draw")
        centred = drawn - drawn.mean() if drawn.size else drawn
        in_all = float(np.square(centred).sum())
        if self._count < _FEWEST or in_all <= 0.0:
            return dict.fromkeys(self._names, 0.0)
        sums = np.add.reduceat(centred[self._order], self._starts)
        between = np.bincount(self._owner, weights=sums * sums / self._sizes)
        less_one = np.bincount(self._owner) - 1
        within = (in_all - between) / (self._count - 1 - less_one)
        shares = np.clip((between - less_one * within) / in_all, 0.0, 1.0)
        return dict(zip(self._names, shares.tolist(), strict=True))

    def shares(self, figure: FloatArray) -> dict[str, float]:
        """The share of each input in the rank of a figure, or in whether a limit is kept.

        Parameters
        ----------
        figure : array
            The draws of the figure in any unit, or of whether something holds (bool), shape (draws + 1,); element 0 is
            left out. A time that never comes is infinite and ranks highest; equal values share their mean rank.

        Returns
        -------
        dict of str to float
            A share between 0 and 1 for each input, in the order of the inputs.

        Raises
        ------
        ImpossibleInput
            There are not as many values as draws of the inputs, or one is NaN.

        Notes
        -----
        As `explained`, of the rank: a band is read off ranks, and a few draws far out do not decide.
        """
        drawn = np.asarray(figure)
        if drawn.dtype == np.bool_:
            return self.explained(drawn.astype(np.float64))
        return self.explained(np.concatenate([[0.0], rankdata(_drawn("figure", drawn))]))

    def hangs_on(self, figure: FloatArray) -> tuple[HangsOn, ...]:
        """The inputs worth naming of `shares`, the largest first, as a figure keeps them."""
        least = tables.row("plan_methods", method="share named").value
        found = [HangsOn(input=name, share=round(share, 2)) for name, share in self.shares(figure).items()]
        return tuple(sorted((one for one in found if one.share >= least), key=lambda one: -one.share))


def shares(figure: FloatArray, inputs: Mapping[str, FloatArray]) -> dict[str, float]:
    """As `Bins.shares`, for a single figure."""
    return Bins(inputs).shares(figure)


def _drawn(name: str, draws: FloatArray) -> FloatArray:
    """The draws without the best value."""
    drawn = np.asarray(draws, dtype=np.float64)[1:]
    if drawn.ndim != 1:
        raise ImpossibleInput(name, f"draws of shape {drawn.shape}", "in one row")
    if np.isnan(drawn).any():
        raise ImpossibleInput(name, "nan", "a number in every draw")
    return drawn
