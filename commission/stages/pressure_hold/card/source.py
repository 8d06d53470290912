"""How the source of pressure is kept from feeding the loop: answered before the clock can start."""

from collections.abc import Callable

from commission.bench.ask import Question, one_of
from commission.bench.prompt import Prompt
from commission.stages.pressure_hold.entries import SourceOff

_NAMES = {str(how): str(how) for how in SourceOff}
HINT = " · ".join(f"{number} {how}" for number, how in enumerate(SourceOff, 1))
"""The answers, with their numbers."""


def source_of(text: str) -> SourceOff:
    """Return what was answered.

    Raises
    ------
    InputError
        If it is none of the answers.

    Examples
    --------
    >>> source_of("2"), source_of("hose")
    (<SourceOff.VENTED: 'valve shut, line vented'>, <SourceOff.HOSE_OFF: 'hose off'>)
    """
    return SourceOff(one_of(text, _NAMES, "answer"))


def told(how: SourceOff) -> str:
    """Return an answer with what follows from it."""
    if how is SourceOff.VALVE_ONLY:
        return "valve only: no PASS, for a valve that seeps in hides a leak"
    return str(how)


def source_question(record: Callable[[SourceOff], object]) -> Question:
    """Ask how the source is off; there is no proposal, for Enter must not answer it."""

    def act(text: str) -> str:
        how = source_of(text)
        record(how)
        return f"source: {told(how)}"

    return Question(
        prompt=Prompt(
            key="source",
            ask="How is the source off? A source that seeps in hides a leak.",
            hint=HINT,
            placeholder="1 is best: nothing can seep in",
            understand=lambda text: told(source_of(text)),
        ),
        act=act,
    )
