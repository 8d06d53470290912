"""Whether the rows of one table stand in another one: a file that is cut, shifted or spliced is the same file."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator, Sequence

RUN = 8
"""So many rows in a row are looked for elsewhere [1]; our choice: short runs are alike by chance."""
MOVES = 4
"""A run counts where so many of its rows differ from the one before [1]; our choice: two gauges that stand still show
the same rows, two rooms and two displays do not move alike."""
SHARE = 0.5
"""A table with so much of its rows in runs of another is the same one [1]; our choice: cut or spliced, it is."""


def same_rows(rows: Sequence[Hashable], others: Sequence[Hashable]) -> bool:
    """Return whether rows stand in others, in runs that move.

    Parameters
    ----------
    rows, others
        What was read, row by row and without its time, since a file may be cut at its start [as read].

    Notes
    -----
    Source: our choice.

    Examples
    --------
    >>> same_rows(range(5, 30), range(100)), same_rows(range(7), range(7)), same_rows([1] * 30, [1] * 30)
    (True, False, False)
    """
    return len(rows) >= RUN and _shared(rows, others) >= SHARE * len(rows)


def _shared(rows: Sequence[Hashable], others: Sequence[Hashable]) -> int:
    """Return how many rows lie in runs that stand in the others too, and that move."""
    there = set(map(hash, _runs(others)))
    shared: set[int] = set()
    for at, run in enumerate(_runs(rows)):
        if sum(one != after for one, after in pairwise(run)) >= MOVES and hash(run) in there:
            shared.update(range(at, at + RUN))
    return len(shared)


def _runs(rows: Sequence[Hashable]) -> Iterator[tuple[Hashable, ...]]:
    return (tuple(rows[at : at + RUN]) for at in range(len(rows) - RUN + 1))
