"""What stands on a card: plain values, the same for the screen and whoever reads it aloud."""

import math
from collections.abc import Collection, Iterable
from enum import StrEnum

from commission.base.frozen import Frozen, replace
from commission.base.quantity import K95
from commission.bench.prompt import Prompt


class Raw(Frozen):
    """The number behind a figure, as it was measured or computed."""

    unit: str
    """Its unit: of SI, or % and rpm where that is what was typed; 1 where it has none."""
    value: float
    """The number [unit]."""
    low: float | None = None
    """The least that it may be, at the level that stands in the text [unit]; None where nothing bounds it."""
    high: float | None = None
    """The most that it may be [unit]; None where nothing bounds it."""


def raw(unit: str, value: float | None, low: float | None = None, high: float | None = None) -> Raw | None:
    """Return the number behind a figure; None where there is no finite one, and no bound that is not finite.

    >>> raw("m3", math.nan), raw("m3", 0.001, 0.0, math.inf)
    (None, Raw(unit='m3', value=0.001, low=0.0, high=None))
    """
    if value is None or not math.isfinite(value):
        return None
    finite = (bound if bound is not None and math.isfinite(bound) else None for bound in (low, high))
    least, most = finite
    return Raw(unit=unit, value=value, low=least, high=most)


def raw_within(unit: str, value: float, u: float) -> Raw | None:
    """Return the number behind a figure with its 95 % by a standard uncertainty, as `raw` does."""
    return raw(unit, value, value - K95 * u, value + K95 * u)


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
    raw: Raw | None = None
    """The number behind it, for programs; None where it is a word."""

    def of(self, name: str) -> "Figure":
        """Return it under the name of what it is a figure of."""
        return replace(self, label=f"{name} {self.label}")

    @property
    def text(self) -> str:
        """All that is said of it, in one line."""
        known = ", ".join(part for part in (self.value, self.bounds) if part)
        return "; ".join(part for part in (known, self.remark) if part)

    def line(self) -> str:
        """Return it as a line of its own.

        >>> Figure(label="air out", value="52 mL", bounds="in 2 cycles", remark="topped up").of("bleed").line()
        'bleed air out: 52 mL, in 2 cycles; topped up'
        """
        return f"{self.label}: {self.text}"


Fact = Figure | str
"""One fact of ``show``: a figure, or a line of words that begins with what it speaks of and a colon."""


def chosen(figures: Iterable[Figure], labels: Collection[str]) -> tuple[Figure, ...]:
    """Return the figures that a card has room for, by their labels."""
    return tuple(figure for figure in figures if figure.label in labels)


def with_remark(figure: Figure, more: str) -> Figure:
    """Return a figure with one more remark behind its own; the same where there is nothing to say."""
    return replace(figure, remark="; ".join(part for part in (figure.remark, more) if part)) if more else figure


def typed_rows(pairs: Iterable[tuple[str, str]]) -> tuple[Figure, ...]:
    """Return what was typed or chosen so far in a form, each under its name."""
    return tuple(Figure(label=label, value=value) for label, value in pairs)


class CautionMark(StrEnum):
    """Where a caution stands."""

    OPEN = "to read"
    NOW = "now"
    ANSWERED = "read"


class CautionLine(Frozen):
    """One caution of the stage."""

    text: str
    """The caution, ready to read; empty where it is only counted."""
    mark: CautionMark
    """Whether it was answered."""


class VerdictLine(Frozen):
    """A verdict, its word first."""

    word: str
    """pass, fail, inconclusive, invalid, or stale; it is shown in capitals."""
    text: str
    """Why, in one line."""
    final: bool = False
    """Whether nothing that may still come changes it, as when the stage has ended; else it is the verdict so far."""


class Table(Frozen):
    """Rows in columns that never wrap: a cell that has no room is cut."""

    heads: tuple[str, ...]
    """What stands in each column."""
    rows: tuple[tuple[str, ...], ...]
    """A cell for each column."""
    whole: int = -1
    """The column that is cut last, such as the one that says what is assumed; -1 where all are alike."""


class CardContent(Frozen):
    """Everything that a bench card shows, as plain text ready to read."""

    proves: str
    """What this stage proves, one line."""
    rests_on: str = ""
    """What it rests on that has not passed, one line; empty where all has."""
    cautions: tuple[CautionLine, ...] = ()
    """The cautions of the stage, in order."""
    cautions_open: bool = False
    """Whether they are the step now and are shown in full; else one line counts them."""
    safety: tuple[str, ...] = ()
    """Cautions of this moment that are shown and not asked; they stay as long as it lasts."""
    step: str = ""
    """Where in the stage this is, such as ``5 of 9``; it stands under the words "do now"."""
    prompt: Prompt | None = None
    """What is to be done now; None where there is nothing."""
    figures: tuple[Figure, ...] = ()
    """What is known, the most important first."""
    table: Table | None = None
    """What stands in place of the figures until all details are asked for; None where they stand themselves."""
    verdict: VerdictLine | None = None
    """The verdict so far or at the end; None where there is none yet."""
    missing: str = ""
    """What is still missing for a verdict, one line."""
    assumed: str = ""
    """What nobody measured and the verdict takes as given, one line; it stands beside the verdict at every size."""
    notices: tuple[str, ...] = ()
    """Warnings above the figures: danger now, or a spoiled result; each one line with its word first."""
    remarks: tuple[str, ...] = ()
    """What is good to know, each one line; more than two wait behind details."""
    listed: tuple[str, ...] = ()
    """Lines that were asked for, such as every move; all of them are shown."""
    reasons: tuple[str, ...] = ()
    """Sentences behind the remarks: why else the verdict is what it is; they, too, wait behind details."""
    plot: bool = False
    """Whether the plot has something to show."""
    clock: bool = False
    """Whether the clock has something to show."""


_COURSE = {"pass": "on course to pass", "fail": "on course to fail", "inconclusive": "running"}
_NO_VERDICT = (
    *("open", "locked", "running", "failed", "overridden"),
    *("can decide", "cannot decide yet", "best layout", "no layout"),
)
"""Words that say where a stage stands, or what a plan can do, and no verdict; they are shown as they are, and small."""


def verdict_word(verdict: VerdictLine) -> str:
    """Return the word of a verdict in capitals: where the stage still runs, what it is on course to.

    >>> verdict_word(VerdictLine(word="pass", text="", final=False))
    'ON COURSE TO PASS'
    """
    word = verdict.word.casefold()
    if verdict.final or word in _NO_VERDICT:
        return verdict.word.upper()
    return _COURSE.get(word, f"{word} so far").upper()


def goal_text(proves: str) -> str:
    """Return what a stage proves as its goal.

    >>> goal_text("Whether it leaks.")
    'Goal: whether it leaks.'
    """
    return f"Goal: {proves[:1].lower()}{proves[1:]}" if proves else ""


def warning_text(warning: str) -> str:
    """Return a warning with its word first and in capitals.

    >>> warning_text("Defect: drip at the pump"), warning_text("the pump is loud: look")
    ('DEFECT: drip at the pump', 'WARNING: the pump is loud: look')
    """
    head, colon, said = warning.partition(": ")
    return f"{head.upper()}{colon}{said}" if colon and " " not in head else f"WARNING: {warning}"
