"""The stages of a build in their order, each with a word for its state."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from textual.message import Message
from textual.widget import Widget


class RungState(StrEnum):
    """State of a stage, as the word that is shown."""

    LOCKED = "locked"
    OPEN = "open"
    RUNNING = "running"
    PASSED = "passed"
    FAILED = "failed"
    INCONCLUSIVE = "inconclusive"
    INVALID = "invalid"
    STALE = "stale"
    OVERRIDDEN = "overridden"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One stage of the ladder."""

    key: str
    """Stage of the procedure."""
    name: str
    """Its name on the screen."""
    state: RungState
    """Its state."""


class StageLadder(Widget):
    """Rungs one above the other where there is room; in a single line where there is not."""

    @dataclass
    class Chosen(Message):
        """A stage was chosen."""

        ladder: "StageLadder"
        """The ladder."""
        key: str
        """Stage of the procedure."""

        @property
        def control(self) -> "StageLadder":
            """The ladder."""
            return self.ladder

    def show(self, rungs: Sequence[Rung], current: str = "") -> None:
        """Show the stages and mark the current one."""
        raise NotImplementedError
