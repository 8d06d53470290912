"""A leak search as rows: each try, and which suspects are left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.card import Figure, raw
from commission.bench.figures import duration, pressure

if TYPE_CHECKING:
    from commission.stages.pressure_hold.entries import SearchTried
    from commission.stages.pressure_hold.state.search import Search

MOST_NAMED = 4
"""More suspects than these are told by the first and the last, for they lie side by side.
Our choice: a row holds four."""


def search_rows(search: Search) -> tuple[Figure, ...]:
    """Return a row for what is left and one for each try."""
    return (
        Figure(label="suspects left", value=left_text(search)),
        *(_row(number, tried, search) for number, tried in enumerate(search.tries, 1)),
    )


def left_text(search: Search) -> str:
    """Return which suspects are left, in words."""
    left = search.left
    if len(left) > MOST_NAMED:
        return f"{len(left)}, from {left[0]} to {left[-1]}"
    if left:
        return ", ".join(left)
    if search.tight_to == len(search.suspects) - 1:
        return "none: the whole loop was tight as it is now"
    return f"none: tight as far as {search.suspects[search.tight_to]}, yet leaking before it"


def parted_text(search: Search, behind: str) -> str:
    """Return what is done to the loop before a try, in words."""
    return "nothing parted off" if behind == search.suspects[-1] else f"parted off behind {behind}"


def _row(number: int, tried: SearchTried, search: Search) -> Figure:
    return Figure(
        label=f"try {number}",
        value=tried.word,
        bounds=f"{pressure(tried.start.si)} to {pressure(tried.end.si)} in {duration(tried.after_s)}",
        remark=parted_text(search, tried.behind),
        raw=raw("Pa", tried.start.si - tried.end.si),
    )
