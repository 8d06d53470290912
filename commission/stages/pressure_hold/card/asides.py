"""Questions that a running hold asks back: whether to end it early, and why a reading or the hold is given up."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from commission.bench.ask import Question, asked_word, some_text
from commission.bench.asked_back import LastEntry, latest
from commission.bench.asked_back import why_undone as ask_why
from commission.bench.figures import duration
from commission.bench.prompt import Prompt
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import hold_of

if TYPE_CHECKING:
    from commission.stages.pressure_hold.card.base import HoldBase
    from commission.stages.pressure_hold.state.attempt import TimedReading


def really_end(flow: "HoldBase", left_s: float, answered: Callable[[], None]) -> Question:
    """Ask whether to end a hold before its planned end."""

    def do() -> str:
        said = close(flow, Ending.BY_HAND)
        answered()
        return said

    return asked_word(
        "end",
        "yes",
        key="really end",
        ask=f"End it {duration(left_s)} before its planned end? Enter ends and judges it.",
        hint="Only the planned end keeps the odds: an early end seldom decides. Esc goes on with the hold.",
        do=do,
    )


def why_undone(flow: "HoldBase", answered: Callable[[], None]) -> Question:
    """Ask why the last reading is withdrawn."""
    return ask_why(flow.book, last_reading(flow), answered)


def why_abandoned(flow: "HoldBase", answered: Callable[[], None]) -> Question:
    """Ask why a hold is broken off."""

    def act(text: str) -> str:
        flow.book.hold.read(flow.build_id, pressure=None, note=f"broken off: {text.strip()}")
        said = close(flow, Ending.ABANDONED)
        answered()
        return said

    return Question(
        prompt=Prompt(
            key="abandon",
            ask="Why is the hold broken off? It becomes invalid and another is needed.",
            hint="Esc goes on with the hold.",
            understand=some_text("a reason"),
        ),
        act=act,
    )


def close(flow: "HoldBase", ending: Ending) -> str:
    """End the hold and say what it proved."""
    verdict = flow.book.hold.close(flow.build_id, ending)
    return f"the hold is closed: {verdict.outcome.upper()}"


def last_reading(flow: "HoldBase") -> LastEntry:
    """Return the reading that was typed last, as it was typed.

    Raises
    ------
    InputError
        If there is none.
    """
    return latest([_told(one) for one in hold_of(flow.state).readings], "there is no typed reading to withdraw")


def _told(one: "TimedReading") -> LastEntry:
    reading = one.reading
    typed = [value.typed for value in (reading.pressure, reading.air, reading.barometer) if value is not None]
    return LastEntry(seq=one.seq, what=" ".join(typed) or reading.note)
