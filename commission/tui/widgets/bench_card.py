"""The bench card: four bands in the same places for every stage."""

from dataclasses import dataclass
from enum import StrEnum

from textual.containers import Vertical
from textual.widget import Widget

from commission.tui.widgets.do_now import DoNowLine, Prompt


class CautionMark(StrEnum):
    """Where a caution stands."""

    OPEN = "open"
    NOW = "now"
    ANSWERED = "answered"


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionLine:
    """One caution of the stage."""

    text: str
    """The caution, ready to read."""
    mark: CautionMark
    """Whether it was answered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure that is known."""

    label: str
    """What it is."""
    value: str
    """The value with its unit."""
    bounds: str = ""
    """Its bounds or uncertainty, such as ``± 0.09 L`` or ``0.003 to 0.011 mbar·L/s``."""
    remark: str = ""
    """What it rests on, or what is odd about it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictLine:
    """A verdict, its word first."""

    word: str
    """pass, fail, inconclusive, invalid, or stale; it is shown in capitals."""
    text: str
    """Why, in one line."""
    final: bool = False
    """Whether the stage was closed with it; else it is the verdict so far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardContent:
    """Everything that a bench card shows, as plain text ready to read."""

    proves: str
    """What this stage proves, one line."""
    rests_on: str = ""
    """What it rests on, one line."""
    cautions: tuple[CautionLine, ...] = ()
    """The cautions of the stage, in order."""
    cautions_open: bool = False
    """Whether they are the step now and are shown in full; else one line counts them."""
    step: str = ""
    """Where in the stage this is, such as ``step 5 of 9``."""
    prompt: Prompt | None = None
    """What is to be done now; None where there is nothing."""
    idle: str = ""
    """Why there is nothing to do, and what to press instead."""
    figures: tuple[Figure, ...] = ()
    """What is known, the most important first."""
    verdict: VerdictLine | None = None
    """The verdict so far or at the end; None where there is none yet."""
    missing: str = ""
    """What is still missing for a verdict, one line."""
    notices: tuple[str, ...] = ()
    """Warnings beside the figures, each one line with its word first."""
    plot: bool = False
    """Whether the plot has something to show."""
    clock: bool = False
    """Whether the clock has something to show."""


class BenchCard(Vertical):
    """Proves, cautions, do now, known: the card of a stage.

    The do-now band is never cut: on a small screen the others give way, what it proves and the cautions first.
    """

    def __init__(
        self,
        *,
        plot: Widget | None = None,
        clock: Widget | None = None,
        id: str | None = None,  # noqa: A002 - Textual's word
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.plot = plot
        self.clock = clock

    @property
    def line(self) -> DoNowLine:
        """The line in which everything is typed."""
        raise NotImplementedError

    def show(self, content: CardContent) -> None:
        """Show all of it; text being typed stays where the prompt's key is the same."""
        raise NotImplementedError
