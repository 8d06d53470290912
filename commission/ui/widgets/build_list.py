"""The builds of the workshop: which needs what next, and what is running now."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.message import Message

from commission.base.frozen import Frozen
from commission.ui.widgets.row_list import Column, RowList, Rows

_STATE = 1
_INK = {
    "running": "runs",
    "passed": "good",
    "failed": "bad",
    "stale": "open",
    "overridden": "open",
    "inconclusive": "open",
    "invalid": "open",
}
"""In which ink a state is set; the word says the same."""


class BuildRow(Frozen):
    """One build of the list."""

    key: str
    """Id of the build; never shown."""
    name: str
    """What the builder calls it."""
    state: str
    """The state of its stage as a word, such as ``running`` or ``failed``."""
    needs: str
    """What it needs next, in a few words."""
    last: str = ""
    """When something was last entered, ready to read."""


class BuildList(RowList[BuildRow]):
    """One build a line; what is running is set bold."""

    COLUMNS: ClassVar[tuple[Column, ...]] = (
        Column(title="build", width=22, narrow=14),
        Column(title="state", width=12),
        Column(title="needs next", width=0),
        Column(title="last entry", width=16, least=90),
    )

    @dataclass
    class Chosen(Message):
        """A build was chosen."""

        list: "BuildList"
        """The list."""
        row: BuildRow
        """The build."""

        @property
        def control(self) -> "BuildList":
            """The list."""
            return self.list

    def show_rows(self, rows: Sequence[BuildRow], *, empty: str = "No build yet.") -> None:
        """Show these builds; the cursor stays on the same build."""
        before = self.row_at(self.cursor)
        self.show(Rows(tuple(rows)), empty=empty)
        same = [i for i, row in enumerate(rows) if before is not None and row.key == before.key]
        if same:
            self.cursor = same[0]

    def cells(self, row: BuildRow) -> tuple[str, ...]:
        """Return name, state, what it needs, last entry."""
        return row.name, row.state, row.needs, row.last

    def tone(self, row: BuildRow) -> str:
        """Let what runs stand out."""
        return "strong" if row.state == "running" else "row"

    def inks(self, row: BuildRow) -> Mapping[int, str]:
        """Set the word of the state in its ink."""
        ink = _INK.get(row.state)
        return {_STATE: ink} if ink else {}

    def chosen(self, row: BuildRow) -> None:
        """Tell the screen."""
        self.post_message(self.Chosen(self, row))
