"""What the band of a figure hangs on: the share of each input in it, from the draws that are there anyway."""

from collections.abc import Mapping

import numpy as np

from waterplan import tables
from waterplan.published import FloatArray
from waterplan.stay.record import HangsOn

# Fewer draws than this tell nothing of their inputs.
_FEWEST = 8


def _mean_ranks(values: FloatArray) -> FloatArray:
    """The rank of each value from 1 on; equal ones share their mean rank."""
    _, which, counts = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - 0.5 * (counts - 1))[which])


class Bins:
    """The draws of a plan's inputs, parted once into bins of equal size, for all the figures that hang on them.

    Parameters
    ----------
    inputs : mapping of str to array
        The draws of each input by its name, shape (draws + 1,), in any unit; element 0, the best value, is left out.

    Notes
    -----
    Draws of one value share a bin, so that an input that takes few values has as few bins. Otherwise there are as many
    bins as the root of the number of draws: 64 for 4,096.
    """

    __slots__ = ("_names", "_order", "_owner", "_sizes", "_starts")

    def __init__(self, inputs: Mapping[str, FloatArray]) -> None:
        self._names = tuple(inputs)
        drawn = np.array([column[1:] for column in inputs.values()]) if inputs else np.empty((0, 0))
        count = drawn.shape[1]
        order = np.argsort(drawn, axis=1)
        wanted = max(2, int(count**0.5))
        edges = np.arange(wanted) * count // wanted
        starts = []
        for ordinal, ordered in enumerate(np.take_along_axis(drawn, order, axis=1)):
            first_of_a_value = np.unique(np.searchsorted(ordered, ordered[edges]))
            starts.append(first_of_a_value + ordinal * count)
        self._order = order.ravel()
        self._starts = np.concatenate([np.empty(0, dtype=np.intp), *starts])
        self._owner = np.repeat(np.arange(len(starts)), np.array([one.size for one in starts], dtype=np.intp))
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
        drawn = values[1:]
        centred = drawn - drawn.mean()
        in_all = float(np.square(centred).sum())
        if not self._names or drawn.size < _FEWEST or in_all <= 0.0:
            return dict.fromkeys(self._names, 0.0)
        sums = np.add.reduceat(centred[self._order], self._starts)
        between = np.bincount(self._owner, weights=sums * sums / self._sizes)
        less_one = np.bincount(self._owner) - 1
        within = (in_all - between) / (drawn.size - 1 - less_one)
        shares = np.clip((between - less_one * within) / in_all, 0.0, 1.0)
        return dict(zip(self._names, shares.tolist(), strict=True))

    def shares(self, figure: FloatArray) -> dict[str, float]:
        """The share of each input in the rank of a figure.

        Parameters
        ----------
        figure : array
            The draws of the figure in any unit, shape (draws + 1,); element 0 is left out. A time that never comes is
            infinite and ranks highest; equal values share their mean rank.

        Returns
        -------
        dict of str to float
            A share between 0 and 1 for each input, in the order of the inputs.

        Notes
        -----
        As `explained`, of the rank: a band is read off ranks, and a few draws far out do not decide.
        """
        return self.explained(np.concatenate([[0.0], _mean_ranks(figure[1:])]))

    def hangs_on(self, figure: FloatArray) -> tuple[HangsOn, ...]:
        """The inputs worth naming of `shares`, the largest first and equal ones by their names, as a figure keeps them."""
        least = tables.row("plan_methods", method="share named").value
        found = [HangsOn(input=name, share=round(share, 2)) for name, share in self.shares(figure).items()]
        return tuple(sorted((one for one in found if one.share >= least), key=lambda one: (-one.share, one.input)))
