"""The best layout: proposed with what speaks for and against it, taken, and then plugged move by move."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.ask import Question, asked_once, command
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.stages.fan_headers.rows.board import load_row
from commission.stages.fan_headers.typed.layout import MOST_OPTIMA, moves_to, take_deed
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.model.layout import Layout, LayoutAnswer


def ask_layout(hand: "HeadersAtHand", line: "Callable[[str], Deed]") -> Question:
    """Ask whether the layout that is shown is taken; any other line is done as ever."""
    answer = hand.answer_layout
    best = answer.best if answer is not None else None
    if best is None:
        ask, proposal = "No layout is possible: the least that would help stands below. Enter goes back.", "board"
    elif _same(hand, best):
        ask, proposal = "Everything sits as in the best layout already. Enter goes back.", "board"
    else:
        ask, proposal = "Take this layout? Each chain is then plugged by hand, one after the other.", "take"
    count = answer.optima_count if answer is not None else 0
    hint = (
        f"take 2 takes another of the {count} of equal cost · board: back, nothing changed"
        if count > 1
        else "board: back, nothing changed"
    )

    def deed(text: str) -> Deed:
        word, rest = command(text, ("take",))
        return take_deed(hand, rest) if word else line(text)

    return asked_once(deed, key="layout", ask=ask, hint=hint, proposal=proposal)


def _same(hand: "HeadersAtHand", layout: "Layout") -> bool:
    return not moves_to(hand, layout)


def layout_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with the best layout, or with why there is none."""
    answer = hand.answer_layout
    if answer is None:
        return replace(card, step="layout", remarks=("No layout can be asked for with what is written down.",))
    if answer.best is None:
        return _impossible(answer, card)
    best = answer.best
    said = f"{best.cost} cm of cable and penalties"
    said += f", {answer.optima_count} layouts of that cost" if answer.optima_count > 1 else ", every other costs more"
    moves = [f"{chain} on {header}" for chain, header in moves_to(hand, best)]
    reasons = [f"To move: {', '.join(moves)}." if moves else "Nothing is to be moved."]
    for number, other in enumerate(answer.optima[1:MOST_OPTIMA], 2):
        reasons.append(f"Equal, {number}: {_seats(other)}.")
    if answer.runner_up is not None:
        reasons.append(f"Next best, {answer.runner_up.cost} cm: {_seats(answer.runner_up)}.")
    reasons += [say(phrase) for phrase in answer.notes]
    return replace(
        card,
        step="layout",
        verdict=VerdictLine(word="best layout", text=said),
        figures=tuple(load_row(load.header, load) for load in best.loads),
        listed=tuple(reasons),
        reasons=tuple(_refused(answer)),
    )


def _impossible(answer: "LayoutAnswer", card: CardContent) -> CardContent:
    first, *rest = (say(one.what) for one in answer.relaxations)
    return replace(
        card,
        step="layout",
        verdict=VerdictLine(word="no layout", text=f"Smallest change: {first}"),
        listed=tuple(f"Or: {said}" for said in rest),
        reasons=(*(say(phrase) for phrase in answer.notes), *_refused(answer)),
    )


def _seats(layout: "Layout") -> str:
    return ", ".join(f"{seat.chain} on {seat.header}" for seat in layout.seats)


def _refused(answer: "LayoutAnswer") -> list[str]:
    return [f"{one.chain} not on {one.header}, {one.rule}: {say(one.why)}" for one in answer.refusals]
