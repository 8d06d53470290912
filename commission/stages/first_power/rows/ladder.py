"""The supply and the rungs as rows: what each proved, or what it waits for."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.bench.card import Figure
from commission.record.machine.rungs import Rung
from commission.stages.first_power.at_hand import NUMBERS
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand
    from commission.stages.first_power.model.ladder import RungState


def shown_so_far(outcome: Outcome | None) -> str:
    """Return the word of what is still being measured: not whole yet is no verdict.

    >>> shown_so_far(Outcome.FAIL), shown_so_far(Outcome.INCONCLUSIVE), shown_so_far(None)
    ('FAIL', 'under way', '')
    """
    return "under way" if outcome is Outcome.INCONCLUSIVE else str(outcome or "").upper()


def rung_row(state: "RungState", locked: Phrase | None = None, *, here: bool = False) -> Figure:
    """Return a rung: its outcome, or what it waits for, and whether it is the one now."""
    waits = None if state.outcome is Outcome.PASS else locked
    word = shown_so_far(state.outcome) if here else str(state.outcome or "").upper()
    return Figure(
        label=f"{NUMBERS[state.rung]} {state.rung}",
        value=word or ("locked" if waits else "open"),
        bounds="now" if here else "",
        remark="" if waits is None else say(waits),
    )


def rung_rows(rungs: "Iterable[RungState]", lock_of: Callable[[Rung], Phrase | None]) -> tuple[Figure, ...]:
    """Return every rung with all that it waits for."""
    return tuple(rung_row(state, lock_of(state.rung)) for state in rungs)


def rung_figures(hand: "PowerAtHand") -> tuple[Figure, ...]:
    """Return a row for each rung on its card: a lock is told once, and none that is only the rung below."""
    rows: list[Figure] = []
    told = {"rung_below"}
    for state in hand.verdict.rungs:
        locked = None if state.outcome is Outcome.PASS else hand.lock_of(state.rung)
        row = rung_row(state, locked, here=state.rung is hand.at)
        rows.append(row if locked is None or locked.code not in told else replace(row, remark=""))
        told |= {locked.code} if locked is not None else set()
    return tuple(rows)


def supply_row(name: str, revision: str, made: Iterable[str] | None = None) -> Figure:
    """Return the supply; where its cables are known, which of them were made by hand."""
    remark = "" if made is None else f"made by hand: {', '.join(made) or 'none'}"
    return Figure(label="supply", value=name, bounds=f"windows of {revision}", remark=remark)
