"""What the width of a drop is made from: quantiles of Student's t, and means of blocks of readings."""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist
from typing import TYPE_CHECKING

from commission.statistics.regression import column

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.statistics.regression import Column

BLOCKS = 20
"""Blocks into which a long series is averaged [1]; our choice: few enough to be independent, enough for a line."""
FEWEST_FOR_BLOCKS = 40
"""Fewer readings than this are not averaged [1]; our choice: two readings a block at least."""


@lru_cache(maxsize=1024)
def t_quantile(probability: float, dof: float) -> float:
    """Return a quantile of Student's t distribution.

    Parameters
    ----------
    probability
        Probability to lie below the answer, above 0 and below 1 [1]. A one-sided 95 % bound takes 0.95.
    dof
        Degrees of freedom, above 0, not necessarily whole [1].

    Returns
    -------
    float
        The quantile [1].

    Raises
    ------
    ValueError
        If the probability or the degrees of freedom are out of range.

    Notes
    -----
    Infinite degrees of freedom give the normal quantile. One judgement asks for the same few a hundred times: kept.

    Source: JCGM 100:2008, Table G.2, which lists two-sided 90 % = one-sided 95 %.

    Examples
    --------
    JCGM 100:2008 Table G.2, 10 degrees of freedom, 90 % two-sided, prints 1.81:

    >>> f"{t_quantile(0.95, 10):.2f}"
    '1.81'
    """
    from scipy.special import stdtrit

    if not (0 < probability < 1 and dof > 0):
        raise ValueError("the probability must lie between 0 and 1, the degrees of freedom above 0")
    return NormalDist().inv_cdf(probability) if math.isinf(dof) else float(stdtrit(dof, probability))


def block_means(values: Column, blocks: int) -> NDArray[np.float64]:
    """Average consecutive values into blocks whose counts differ by at most one.

    Parameters
    ----------
    values
        Values in order, shape (n,) [any].
    blocks
        Number of blocks m, 1 to n [1].

    Returns
    -------
    numpy.ndarray
        Means, shape (m,), in the unit of the values.

    Raises
    ------
    ValueError
        If there are no blocks or more blocks than values, or a value is not finite.

    Notes
    -----
    The means are taken about the first value, so a large offset costs no digits. Block i takes the values from
    ⌊i·n/m⌋ to before ⌊(i+1)·n/m⌋.

    Source: arithmetic.

    Examples
    --------
    >>> block_means([1, 3, 5, 7, 9], 2).tolist()
    [2.0, 7.0]
    """
    import numpy as np

    array = column(values, "values")
    n = array.size
    if not 1 <= blocks <= n:
        raise ValueError(f"{n} values cannot make {blocks} blocks")
    starts = np.arange(blocks) * n // blocks
    counts = np.diff(np.append(starts, n))
    means: NDArray[np.float64] = array[0] + np.add.reduceat(array - array[0], starts) / counts
    return means
