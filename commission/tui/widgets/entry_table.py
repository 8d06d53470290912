"""The record of a build, entry by entry, of any length."""

from dataclasses import dataclass

from textual.message import Message

from commission.tui.widgets.row_list import RowList


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow:
    """One entry of the record."""

    seq: int
    """Its number."""
    when: str
    """When it was entered, ready to read."""
    who: str
    """Who entered it."""
    kind: str
    """What kind of entry it is."""
    what: str
    """What it says."""
    withdrawn: bool = False
    """Whether it was withdrawn and no longer counts."""


class EntryTable(RowList[EntryRow]):
    """One entry a line; withdrawn ones say so."""

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
        raise NotImplementedError
