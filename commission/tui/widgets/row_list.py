"""A list of any length, drawn line by line from rows that are fetched as they come into view."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from textual.scroll_view import ScrollView

Row = TypeVar("Row")
Row_co = TypeVar("Row_co", covariant=True)


class RowSource(Protocol[Row_co]):
    """Where a list gets its rows from."""

    def count(self) -> int:
        """Return how many rows there are."""
        ...

    def fetch(self, start: int, stop: int) -> Sequence[Row_co]:
        """Return the rows from `start` up to, not including, `stop`, all of them read to the end."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a list."""

    title: str
    """Its heading."""
    width: int
    """Cells it takes; 0: what is left over."""
    right: bool = False
    """Whether it is set to the right."""
    least: int = 0
    """The width of the whole list below which it is left out."""


class RowList(ScrollView, Generic[Row], can_focus=True):
    """A scrolling list with one row chosen."""

    def show(self, rows: RowSource[Row]) -> None:
        """Show rows of a source from the start; the cursor stays on its row where it can."""
        raise NotImplementedError

    def grown(self) -> None:
        """Look again how many rows there are; a list that stood at its end follows."""
        raise NotImplementedError
