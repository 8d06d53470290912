"""A list of any length, drawn line by line from rows that are fetched as they come into view."""

from collections.abc import Mapping, Sequence
from typing import ClassVar, Generic, Protocol, TypeVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Size
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from commission.base.frozen import Frozen
from commission.ui.widgets.words import ascii_only, fit, safe

Row = TypeVar("Row")
Row_co = TypeVar("Row_co", covariant=True)

BLOCK = 64
"""Rows that are fetched at once."""
NARROW = 76
"""Cells below which a list is a narrow one; our choice: a terminal of 80 columns is none."""
BLOCKS_KEPT = 32
"""Blocks that are kept; the oldest is forgotten first."""


class RowSource(Protocol[Row_co]):
    """Where a list gets its rows from."""

    def count(self) -> int:
        """Return how many rows there are."""
        ...

    def fetch(self, start: int, stop: int) -> Sequence[Row_co]:
        """Return the rows from `start` up to, not including, `stop`, all of them read to the end."""
        ...


class Rows(Frozen, Generic[Row], kw_only=False):
    """A source of rows that were all read."""

    rows: Sequence[Row]
    """The rows."""

    def count(self) -> int:
        """Return how many there are."""
        return len(self.rows)

    def fetch(self, start: int, stop: int) -> Sequence[Row]:
        """Return some of them."""
        return self.rows[start:stop]


class Column(Frozen):
    """A column of a list."""

    title: str
    """Its heading."""
    width: int
    """Cells it takes; 0: what is left over."""
    right: bool = False
    """Whether it is set to the right."""
    least: int = 0
    """The width of the whole list below which it is left out."""
    narrow: int = 0
    """Cells it takes in a list of less than `NARROW`; 0: as many as in a wide one."""


class RowList(ScrollView, Generic[Row], can_focus=False):
    """A scrolling list with one row under the cursor, below a heading that stays; the screen moves the cursor."""

    DEFAULT_CSS = """
    RowList {
        height: 1fr;
        scrollbar-size-vertical: 1;
        & > .row-list--heading { color: $text-muted; text-style: bold; }
        & > .row-list--cursor { background: $panel; text-style: bold; }
        & > .row-list--strong { text-style: bold; }
        & > .row-list--weak { color: $text-muted; text-style: italic; }
        & > .row-list--good { color: $success; }
        & > .row-list--bad { color: $error; text-style: bold; }
        & > .row-list--open { color: $warning; }
        & > .row-list--runs { color: $primary; text-style: bold; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "row-list--heading",
        "row-list--cursor",
        "row-list--row",
        "row-list--strong",
        "row-list--weak",
        "row-list--good",
        "row-list--bad",
        "row-list--open",
        "row-list--runs",
    }
    COLUMNS: ClassVar[tuple[Column, ...]] = ()
    """The columns, from the left."""

    cursor = reactive(0, repaint=True)
    """The row under the cursor, from 0."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's word
        super().__init__(id=id, classes=classes)
        self._source: RowSource[Row] = Rows(())
        self._count = 0
        self._blocks: dict[int, Sequence[Row]] = {}
        self._empty = ""

    def show(self, rows: RowSource[Row], *, empty: str = "") -> None:
        """Show the rows of a source; the cursor stays on its number where it can. `empty` is said of none."""
        self._source, self._empty = rows, empty
        self._reload()
        self.cursor = max(0, min(self.cursor, self._count - 1))

    def cells(self, row: Row) -> tuple[str, ...]:
        """Return the texts of a row, one a column."""
        raise NotImplementedError

    def tone(self, row: Row) -> str:
        """Return ``strong``, ``weak`` or ``row``: how the row is set; its words say the same."""
        return "row"

    def inks(self, row: Row) -> Mapping[int, str]:
        """Return which cells have an ink of their own, by column: ``good``, ``bad``, ``open`` or ``runs``."""
        return {}

    def chosen(self, row: Row) -> None:
        """Tell that a row was chosen."""
        raise NotImplementedError

    def row_at(self, number: int) -> Row | None:
        """Return a row, or None where there is none."""
        if not 0 <= number < self._count:
            return None
        block, within = divmod(number, BLOCK)
        if block not in self._blocks:
            if len(self._blocks) >= BLOCKS_KEPT:
                self._blocks.pop(next(iter(self._blocks)))
            self._blocks[block] = self._source.fetch(block * BLOCK, min((block + 1) * BLOCK, self._count))
        rows = self._blocks[block]
        return rows[within] if within < len(rows) else None

    def render_line(self, y: int) -> Strip:
        """Draw the heading, a row, or nothing."""
        width = self.scrollable_content_region.width
        if width <= 0:
            return Strip.blank(0)
        if y == 0:
            heading = self._line(tuple(column.title for column in self.COLUMNS), width)
            return Strip([Segment(heading, self.get_component_rich_style("row-list--heading"))])
        number = self.scroll_offset.y + y - 1
        row = self.row_at(number)
        if row is None:
            text = self._empty if not self._count and y == 1 else ""
            plain = ascii_only(self)
            return Strip([Segment(fit(f" {safe(text, plain)}", width, plain=plain), self.rich_style)])
        style = self.get_component_rich_style(f"row-list--{self.tone(row)}")
        under = self.get_component_rich_style("row-list--cursor") if number == self.cursor else None
        inks = {at: self.get_component_rich_style(f"row-list--{ink}") for at, ink in self.inks(row).items()}
        segments: list[Segment] = []
        for at, text in self._cells(self.cells(row), width):
            ink = style + inks[at] if at in inks else style
            marked = ">" if under and not segments else text  # the row is found without a colour
            segments.append(Segment(marked, ink + Style(bgcolor=under.bgcolor, bold=True) if under else ink))
        return Strip(segments)

    def watch_cursor(self) -> None:
        """Keep the cursor in view."""
        height = self.scrollable_content_region.height - 1
        top = self.scroll_offset.y
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False)

    def action_move(self, by: int) -> None:
        """Move the cursor."""
        self.cursor = max(0, min(self._count - 1, self.cursor + by))

    def action_page(self, by: int) -> None:
        """Move the cursor by a screenful."""
        self.action_move(by * max(1, self.scrollable_content_region.height - 1))

    def action_last(self) -> None:
        """Move to the last row."""
        self.action_move(self._count)

    def action_choose(self) -> None:
        """Choose the row under the cursor."""
        row = self.row_at(self.cursor)
        if row is not None:
            self.chosen(row)

    def on_click(self, event: events.Click) -> None:
        """Put the cursor on a row; choose the one that it stands on."""
        spot = event.get_content_offset(self)
        if spot is None or spot.y == 0:
            return
        number = self.scroll_offset.y + spot.y - 1
        if number >= self._count:
            return
        if number == self.cursor:
            self.action_choose()
        else:
            self.cursor = number

    def on_resize(self) -> None:
        """Keep the cursor in view."""
        self.call_after_refresh(self.watch_cursor)

    def _reload(self) -> None:
        self._blocks.clear()
        self._count = self._source.count()
        self.virtual_size = Size(0, self._count + 1)
        self.refresh()

    def _line(self, texts: tuple[str, ...], width: int) -> str:
        return "".join(text for _, text in self._cells(texts, width))

    def _cells(self, texts: tuple[str, ...], width: int) -> list[tuple[int, str]]:
        """Return the parts of a row as they stand side by side, each with its column; -1 for what lies between."""
        plain = ascii_only(self)
        rooms = {id(c): c.narrow if c.narrow and width < NARROW else c.width for c in self.COLUMNS}
        shown = [(n, c, t) for n, (c, t) in enumerate(zip(self.COLUMNS, texts, strict=True)) if width >= c.least]
        pairs = [(c, t) for _, c, t in shown]
        left = width - 2 - sum(rooms[id(column)] + 2 for column, _ in pairs) + 2
        flexible = [column for column, _ in pairs if not column.width]
        share, spare = divmod(max(0, left), len(flexible)) if flexible else (0, 0)
        parts, left = [(-1, " ")], width - 1
        for number, column, text in shown:
            room = rooms[id(column)] or share + (spare if flexible and column is flexible[-1] else 0)
            part = fit(safe(text, plain), room, right=column.right, plain=plain)
            part = fit(part, min(room, max(0, left)), plain=plain)
            parts += [(number, part), (-1, " " * max(0, min(2, left - room)))]
            left -= room + 2
        return [*parts, (-1, " " * max(0, left))]
