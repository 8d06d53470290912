"""The record of a build, entry by entry, of any length."""

from dataclasses import dataclass
from typing import ClassVar

from textual.message import Message

from commission.bench.entry_row import EntryRow
from commission.ui.widgets.row_list import Column, RowList


class EntryTable(RowList[EntryRow]):
    """One entry a line; withdrawn ones say so."""

    COLUMNS: ClassVar[tuple[Column, ...]] = (
        Column(title="entry", width=6, right=True),
        Column(title="entered", width=16, least=70),
        Column(title="who", width=10, least=100),
        Column(title="kind", width=20, least=44),
        Column(title="what", width=0),
    )

    @dataclass
    class Chosen(Message):
        """An entry was chosen."""

        table: "EntryTable"
        """The table."""
        row: EntryRow
        """The entry."""

        @property
        def control(self) -> "EntryTable":
            """The table."""
            return self.table

    @property
    def row(self) -> EntryRow | None:
        """The entry under the cursor; None where there is none."""
        return self.row_at(self.cursor)

    def cells(self, row: EntryRow) -> tuple[str, ...]:
        """Return number, time, who, kind, and what; withdrawn ones begin with that word."""
        what = f"WITHDRAWN · {row.what}" if row.withdrawn else row.what
        return str(row.seq), row.when, row.who, row.kind, what

    def tone(self, row: EntryRow) -> str:
        """Let what was withdrawn step back."""
        return "weak" if row.withdrawn else "row"

    def chosen(self, row: EntryRow) -> None:
        """Tell the screen."""
        self.post_message(self.Chosen(self, row))
