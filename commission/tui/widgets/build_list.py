"""The builds of the workshop: which needs what next, and what is running now."""

from collections.abc import Sequence
from dataclasses import dataclass

from textual.message import Message

from commission.tui.widgets.row_list import RowList


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow:
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
    """One build a line."""

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
        raise NotImplementedError
