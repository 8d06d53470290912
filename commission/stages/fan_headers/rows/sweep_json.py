"""The verdict on a sweep as plain data for programs: one JSON object on one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.stages.fan_headers.model.sweep import SweepWord

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.base.quantity import Phrase
    from commission.stages.fan_headers.model.sweep import SweepVerdict


class JudgedSweep(Frozen):
    """What the sweep of one file proves."""

    file: str
    """The file as it was named; ``-`` for standard input."""
    outcome: Outcome
    """What the sweep is worth: pass, fail, inconclusive or invalid."""
    said: str
    """What it shows, with the duty below which the chain stalls where it does."""
    word: SweepWord
    """The same as one of the words alone."""
    stall: str | None
    """Below which duty it stalls, in words; null where no stall was seen."""
    trend_p: float | None
    """Probability of such an order by chance, one-sided [1]; null where no order can be judged."""
    span: float | None
    """Highest less lowest running speed, over the speed at full duty [1]; null where nothing ran."""
    effect: float | None
    """Speed at full duty less speed at the lowest running duty, over the highest [1]; null where nothing ran."""
    stop_duty: float | None
    """Highest duty at which it stood still on the way down [%]; null where none was seen."""
    runs_duty: float | None
    """The next duty above, at which it still ran: the limit lies between the two [%]; null where none was seen."""
    start_duty: float | None
    """Lowest duty from which it turned on the way up after a standstill [%]; null where none was seen."""
    starts_later: bool
    """Whether it needs more duty to start than to keep running."""
    minimum_advised: float | None
    """Smallest duty to leave it at [%]; null where none can be advised."""
    hysteresis: float | None
    """Largest difference of way down and way up at one duty [rpm]; null without both ways."""
    repeat: float | None
    """Difference of the speeds at full duty at the end and at the start [rpm]; null without both."""
    agree_within: float | None
    """Differences of hysteresis and repeat are fine up to this [rpm]; null where nothing ran."""
    full_rpm: float | None
    """Median speed at full duty [rpm]; null where it was not read."""
    noise_rpm: float | None
    """Standard deviation of one reading [rpm]; null where nothing ran."""
    curve_points: float | None
    """Largest distance from the straight curve of the 4-wire specification [%]; null where that does not apply."""
    reasons: tuple[str, ...]
    """Why, in plain words; the one that decided comes first."""
    remarks: tuple[str, ...]
    """What else was seen, then what was asked for against what the file says."""
    causes: tuple[str, ...]
    """Every cause that would explain it, and what to do; none of them is proven."""


def judged_sweep(
    file: str, verdict: SweepVerdict, said: Callable[[Phrase], str], notes: Iterable[str] = ()
) -> JudgedSweep:
    """Return a verdict as plain data.

    Parameters
    ----------
    file
        The file as it was named.
    said
        Returns a phrase as a sentence.
    notes
        What was asked for against what the file says, each as a sentence.
    """
    stops = verdict.stops
    return JudgedSweep(
        file=file,
        outcome=verdict.outcome,
        said=verdict.said,
        word=verdict.word,
        stall=stall_of(verdict),
        trend_p=verdict.trend_p,
        span=verdict.span,
        effect=verdict.effect,
        stop_duty=stops.stop_pct,
        runs_duty=stops.runs_pct,
        start_duty=stops.start_pct,
        starts_later=stops.starts_later,
        minimum_advised=stops.minimum_pct,
        hysteresis=verdict.hysteresis_rpm,
        repeat=verdict.repeat_rpm,
        agree_within=verdict.agree_rpm,
        full_rpm=verdict.full_rpm,
        noise_rpm=verdict.noise_rpm,
        curve_points=verdict.curve_points,
        reasons=tuple(map(said, verdict.reasons)),
        remarks=(*map(said, verdict.findings), *notes),
        causes=tuple(map(said, verdict.causes)),
    )


def stall_of(verdict: SweepVerdict) -> str | None:
    """Return below which duty it stalls, in words; None where that was not seen."""
    stops = verdict.stops
    if stops.stop_pct is None or stops.runs_pct is None:
        return None
    return f"stalls below {stops.runs_pct:g} %"
