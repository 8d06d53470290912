"""What stands on a card: plain values, the same for the screen and whoever reads it aloud."""

from collections.abc import Iterable
from enum import StrEnum

from commission.base.frozen import Frozen
from commission.bench.prompt import Prompt


class Figure(Frozen):
    """One figure that is known."""

    label: str
    """What it is."""
    value: str
    """The value with its unit."""
    bounds: str = ""
    """Its bounds or uncertainty, such as ``± 0.09 L`` or ``0.003 to 0.011 mbar·L/s``."""
    remark: str = ""
    """What it rests on, or what is odd about it."""

    def line(self, of: str = "") -> str:
        """Return it as a line of its own, behind the name of what it is a figure of.

        >>> Figure(label="air out", value="52 mL", bounds="in 2 cycles", remark="topped up").line("bleed")
        'bleed air out: 52 mL, in 2 cycles; topped up'
        """
        known = ", ".join(part for part in (self.value, self.bounds) if part)
        return f"{of} {self.label}".strip() + ": " + "; ".join(part for part in (known, self.remark) if part)


def typed_rows(pairs: Iterable[tuple[str, str]]) -> tuple[Figure, ...]:
    """Return what was typed or chosen so far in a form, each under its name."""
    return tuple(Figure(label=label, value=value) for label, value in pairs)


class CautionMark(StrEnum):
    """Where a caution stands."""

    OPEN = "open"
    NOW = "now"
    ANSWERED = "answered"


class CautionLine(Frozen):
    """One caution of the stage."""

    text: str
    """The caution, ready to read; empty where only the number of cautions is shown."""
    mark: CautionMark
    """Whether it was answered."""


class VerdictLine(Frozen):
    """A verdict, its word first."""

    word: str
    """pass, fail, inconclusive, invalid, or stale; it is shown in capitals."""
    text: str
    """Why, in one line."""
    final: bool = False
    """Whether the stage was closed with it; else it is the verdict so far."""


class CardContent(Frozen):
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
    """Where in the stage this is, such as ``5 of 9``; it stands under the words "do now"."""
    prompt: Prompt | None = None
    """What is to be done now; None where there is nothing."""
    figures: tuple[Figure, ...] = ()
    """What is known, the most important first."""
    verdict: VerdictLine | None = None
    """The verdict so far or at the end; None where there is none yet."""
    missing: str = ""
    """What is still missing for a verdict, one line."""
    notices: tuple[str, ...] = ()
    """Warnings beside the figures, each one line with its word first."""
    reasons: tuple[str, ...] = ()
    """Sentences beneath the figures, each one line or more: why the verdict is what it is."""
    plot: bool = False
    """Whether the plot has something to show."""
    clock: bool = False
    """Whether the clock has something to show."""
