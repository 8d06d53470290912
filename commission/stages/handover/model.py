"""A handover and the years after it: who has the machine, what is due, what is lost, what is compared."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Bounded, Outcome
from commission.record.taken_back import TakenBack

OWN_USE = "own use"
"""What stands in place of a name where the builder keeps the machine."""
MOST_SPARES = 40
"""Most spare parts that are named [1]; our choice: more is a shop."""
LONGEST_TEXT = 200
"""Longest name of a spare part, a person, a reason [characters]; our choice: two lines of a terminal."""


class ServiceItem(StrEnum):
    """What is done in the years after handover."""

    LOOK = "look"
    """At level and joints."""
    CLEANING = "cleaning"
    """Of filters and radiators."""
    COOLANT = "coolant change"
    SOAK = "soak again"


DONE_ON_A_VISIT = (ServiceItem.LOOK, ServiceItem.CLEANING)
"""What a visit says by a word alone; the others are told by the stages that do them."""


class StageStands(Frozen):
    """Where a stage stands that the handover rests on."""

    title: str
    """Its name."""
    passed: bool
    """Whether its last verdict is a pass that still counts, and nothing goes on there."""
    overridden: str = ""
    """Why its lock was overridden; empty where it was not."""
    judged: bool = False
    """Whether it was ever judged."""


class HandoverFacts(Frozen):
    """What is known before a machine is handed over."""

    stages: tuple[StageStands, ...]
    """The stages that it rests on."""
    defects: tuple[tuple[int, str], ...] = ()
    """Defects that are open: number of the entry, and as told."""
    spares_named: bool = False
    """Whether spare parts and bottle were named."""
    planned: bool = False
    """Whether it was said what the bottle states of the coolant's life."""
    left_out: tuple[str, ...] = ()
    """Parts that were left out of the last pressure hold."""
    taken: tuple[str, ...] = ()
    """Top-ups of the last visit that were withdrawn, each in a few words."""
    seen_low: str = ""
    """What was seen of a level that was down on the last visit, with nothing topped up; empty where it is not so."""
    spared: tuple[TakenBack, ...] = ()
    """What took a proof away since the machine was handed over last, and was withdrawn."""
    level_hides: tuple[float, float] | None = None
    """By how much the level fell since the bleed, and how much of it warmth that was not read may be [m3]; None where
    nothing is hidden."""
    other_bottles: tuple[str, ...] = ()
    """Bottles that were topped up from on the last visit, other than the one that the papers name."""
    overdue: tuple[tuple[str, int], ...] = ()
    """What is overdue on the day of the handover, and by how many days."""
    clock_behind_s: float = 0.0
    """How far the clock stands before an entry of the build [s]; 0 where it does not."""


class HandoverVerdict(Frozen):
    """Whether a machine may be handed over."""

    outcome: Outcome
    """Pass, or inconclusive while something is to be done."""
    reasons: tuple[Phrase, ...]
    """Why; the first is the one thing to do next."""
    overridden: tuple[str, ...] = ()
    """Stages that stood on a reason alone, in a verdict of before that was refused; empty since."""


class Interval(Frozen):
    """How often something is due."""

    item: ServiceItem
    """What."""
    every_s: float
    """After so long [s]."""
    why: str = ""
    """Where that comes from, in a few words."""


class DueItem(Frozen):
    """When something is due next."""

    item: ServiceItem
    """What."""
    since_ms: int
    """When it was done last [ms since 1970 UTC]."""
    due_ms: int
    """When it is due [ms since 1970 UTC]."""
    every_s: float
    """How often [s]."""
    why: str = ""
    """Where that comes from, in a few words."""


class Topped(Frozen):
    """A top-up with the time in which it was lost."""

    gone_m3: float
    """What it took to reach the mark again [m3]."""
    from_s: float
    """When the level stood at the mark before, since handover [s]."""
    to_s: float
    """When it was topped up, since handover [s]."""


class LossWord(StrEnum):
    """How a loss goes on."""

    STEADY = "steady"
    GROWING = "growing"
    SHRINKING = "shrinking"
    CANNOT_TELL = "too early to tell whether it grows"


class Loss(Frozen):
    """Coolant that is lost over the years."""

    rate_m3_s: float
    """Loss [m3/s]."""
    low_m3_s: float
    """At least so much (95 %, both sides) [m3/s]."""
    high_m3_s: float
    """At most so much [m3/s]."""
    word: LossWord
    """How it goes on."""
    top_ups: int
    """From how many top-ups [1]."""
    total_m3: float
    """All of them [m3]."""
    span_s: float
    """Time in which that was lost [s]."""


class SinceWord(StrEnum):
    """What a figure of later years says beside the one at handover."""

    SAME = "as good as at handover"
    WORSE = "worse than at handover"
    BETTER = "better than at handover"
    CANNOT_TELL = "too uncertain to compare"


class PerWatt(Frozen):
    """Coolant above air per watt, at handover and last."""

    first: Bounded
    """At handover [K/W]."""
    last: Bounded
    """Last [K/W]."""
    change: float
    """Last minus first over first [1]."""
    low: float
    """At least so much (95 %, both sides) [1]."""
    high: float
    """At most so much [1]."""
    word: SinceWord
    """What that says."""
    soaks: int
    """How many soaks there are [1]."""
    per_year: float | None = None
    """Change per year by a straight line through all [1/year]; None with fewer than three."""
    u_per_year: float | None = None
    """Half-width of its 95 % interval [1/year]; None likewise."""


class PartIn(Frozen):
    """A bottle of which something is in the loop."""

    name: str
    """The bottle."""
    lot: str
    """Its lot; empty where none is known."""
    volume_m3: float
    """How much went in [m3]."""
    since_ms: int
    """When its first amount went in [ms since 1970 UTC]."""
