"""Attempts at a stage in words: which it is, when it was closed, what of it no longer holds."""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.bench.card import Fact, Figure, VerdictLine
from commission.bench.figures import clock_time
from commission.bench.moment import moment
from commission.record.build_state import BuildState, StageRun
from commission.record.done_at import done_mark, done_ms
from commission.units.show import say

E = TypeVar("E")


def attempt_title(state: BuildState, stage: str, what: str, *, after: bool) -> str:
    """Return the build's name, the stage in words, and which attempt it is where it is not the first.

    >>> attempt_title(BuildState(build_id="b", name="Desk loop"), "fill", "fill", after=False)
    'Desk loop · fill'
    """
    judged = state.judged_run(stage) if after else None
    attempt = (judged or state.run(stage)).attempt
    return f"{state.name} · {what}{f', attempt {attempt}' if attempt > 1 else ''}"


def ended_by(state: BuildState, stage: str, kind: type[E]) -> tuple[StageRun, E]:
    """Return the last attempt at a stage that was ended and judged, with the entry that did; there must be one."""
    run = state.judged_run(stage)
    assert run is not None  # asked only once one was judged
    assert run.closed is not None
    assert isinstance(run.closed.payload, kind)
    return run, run.closed.payload


def advice(run: StageRun, *, stale: str, fail: str, undecided: str, unusable: str) -> str:
    """Return what stands before another attempt: the text for how the last one ended, or for what made it stale."""
    told: dict[Outcome | None, str] = {Outcome.FAIL: fail, Outcome.INCONCLUSIVE: undecided}
    return stale if run.stale_by is not None else told.get(run.outcome, unusable)


def judged_line(run: StageRun, outcome: Outcome, text: str) -> VerdictLine:
    """Return the verdict on an attempt that was ended: a pass that no longer counts is stale, and says that instead."""
    if run.stale_by is not None and outcome is Outcome.PASS:
        said = f"No longer counts since entry {run.stale_by}{run.stale_kind and f': {run.stale_kind}'}."
        return VerdictLine(word="stale", text=said, final=True)
    return VerdictLine(word=str(outcome), text=text, final=True)


def stale_since(run: StageRun, text: str = "") -> tuple[str, ...]:
    """Return since when a verdict is stale, as lines of its reasons; nothing where it is not.

    The reason of a pass that no longer counts stands here, as what was said then.
    """
    if run.stale_by is None:
        return ()
    if run.outcome is Outcome.PASS:
        return (f"Before that it passed: {text}",) if text else ()
    return (f"Stale since entry {run.stale_by}: what was judged is no longer what is there.",)


def closed_row(run: StageRun, how: str = "") -> tuple[Figure, ...]:
    """Return when an attempt was ended, for its card; nothing while it goes on."""
    return () if run.closed is None else (Figure(label="ended", value=clock_time(done_mark(run.closed)), bounds=how),)


def ended_lines(
    state: BuildState,
    stage: str,
    kind: type[E] | None = None,
    told: Callable[[E], tuple[Iterable[Figure], Iterable[str]]] | None = None,
) -> Iterator[Fact]:
    """Yield every attempt at a stage that was ended: what it proved, when, and whether that still holds.

    Parameters
    ----------
    state, stage
        The build, and the stage.
    kind, told
        What ends an attempt, and its figures and reasons: told of each whose own stand nowhere else, as stored then.
    """
    shown = None if state.run(stage).started is not None else state.judged_run(stage)
    for run in state.runs.get(stage, ()):
        if run.outcome is None or run.closed is None:
            continue
        name, closed = f"{stage.replace('_', ' ')} {run.attempt}", run.closed.payload
        yield f"{name}: {run.outcome}{closed_text(run)}"
        if kind is not None and told is not None and isinstance(closed, kind) and run is not shown:
            figures, reasons = told(closed)
            yield from (figure.of(name) for figure in figures)
            yield from (f"{name} reason: {reason}" for reason in reasons)


def closed_text(run: StageRun) -> str:
    """Return when an attempt was ended and what took away its worth, behind its word; empty while it goes on."""
    if run.closed is None:
        return ""
    stale = f"; STALE since entry {run.stale_by}" if run.stale_by is not None else ""
    return f", ended {moment(done_ms(run.closed), run.closed.mark.offset_min)}{stale}"


def phrase_lines(name: str, phrases: Iterable[Phrase]) -> Iterator[str]:
    """Yield sentences of a verdict, each behind what it is of."""
    for phrase in phrases:
        yield f"{name}: {say(phrase)}"
