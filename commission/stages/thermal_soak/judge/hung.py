"""Whether the readings of a soak stopped moving, as those of a logger or sensor that hangs do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.stages.thermal_soak.judge import reasons
from commission.stages.thermal_soak.judge.part_limits import is_chip

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from commission.base.quantity import Phrase
    from commission.stages.thermal_soak.judge.columns import Columns

STEPS = 3.0
"""Steps of the display by which it had to climb on [1]; our choice: one is rounding, two may be an odd reading."""
LEAST_EQUAL = 3
"""Equal readings that make a standstill [1]; our choice: two happen on a coarse display."""
FOLLOWS_K = 3.0
"""A chip stands while its coolant climbs by more [K]; our choice: three steps of a display of whole kelvins."""


def hung(columns: Columns, resolution_k: float) -> Phrase | None:
    """Return which column stopped moving though it had to climb on; None where none did.

    Parameters
    ----------
    resolution_k
        One step of the display, above 0 [K].

    Notes
    -----
    By one time constant the climb shrinks from interval to interval by one factor. Where coolant above air climbed in
    two intervals, had to climb by three steps in the next, and stands to the last digit from there to the end, it did
    not settle: it was read no more. The same holds for a chip that stands to the last digit while its coolant climbs.

    Source: our choice; the course as ``approach`` cites it.
    """
    since = _stands_from(columns.above_k)
    if 2 <= since < columns.above_k.size - 1 and _had_to_climb(columns, since) > STEPS * resolution_k:
        return reasons.hung("coolant", float(columns.elapsed_s[-1] - columns.elapsed_s[since]))
    return _chip_that_stands(columns)


def _stands_from(values: NDArray[np.float64]) -> int:
    """Return the index from which all values are the last one; that of the last where too few make no standstill."""
    import numpy as np

    other = np.flatnonzero(values != values[-1])
    since = int(other[-1]) + 1 if other.size else 0
    return since if values.size - since > LEAST_EQUAL else int(values.size) - 1


def _had_to_climb(columns: Columns, since: int) -> float:
    """Return by how much it had to climb in the interval behind an index, by the two before it [K]."""
    t, above = columns.elapsed_s, columns.above_k
    before, last = (float(above[at] - above[at - 1]) / float(t[at] - t[at - 1]) for at in (since - 1, since))
    if before <= 0 or last <= 0:
        return 0.0
    ahead_s, of_s = float(t[since + 1] - t[since]), float(t[since] - t[since - 1])
    shrinks: float = min(1.0, last / before) ** (ahead_s / of_s)
    return shrinks * last * ahead_s


def _chip_that_stands(columns: Columns) -> Phrase | None:
    import numpy as np

    coolant = columns.above_k + columns.air_k
    for name, column in columns.components.items():
        known = ~np.isnan(column)
        if not is_chip(name) or not known.any():
            continue
        t, read, cooled = columns.elapsed_s[known], column[known], coolant[known]
        since = _stands_from(read)
        if float(cooled[-1] - cooled[since]) > FOLLOWS_K:
            return reasons.hung(name, float(t[-1] - t[since]))
    return None
