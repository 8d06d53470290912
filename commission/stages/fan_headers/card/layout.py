"""The best layout: proposed with what speaks for and against it, taken, and then plugged move by move."""

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.ask import Question, asked_once, command
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.deed import Deed
from commission.bench.prompt import Prompt
from commission.stages.fan_headers.card.base import View
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.stages.fan_headers.card.base import HeadersAtHand
    from commission.stages.fan_headers.model.layout import Layout, LayoutAnswer

MOST_OPTIMA = 9
"""Layouts of equal cost that can be taken by their number."""


def layout_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what asking for the best layout does: nothing but to show it.

    Raises
    ------
    InputError
        If there is nothing to lay out.
    """
    word, rest = command(text, ("override",))
    if rest or (text and not word):
        raise InputError("type layout alone, or layout override to leave out start currents that no label gives")
    if not hand.plugged.headers or not hand.plugged.chains:
        raise InputError("write down headers and chains first; then the best layout can be found")

    def do() -> str:
        hand.view, hand.start_override = View.LAYOUT, bool(word)
        return ""

    override = ", start currents that no label gives not counted" if word else ""
    return Deed(told=f"find the best layout of {len(hand.plugged.chains)} chains{override}", do=do)


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
    hint = f"take 2 takes another of the {count} of equal cost · board leaves it" if count > 1 else "board leaves it"

    def deed(text: str) -> Deed:
        word, rest = command(text, ("take",))
        return _take(hand, rest) if word else line(text)

    return asked_once(Prompt(key="layout", ask=ask, hint=hint, proposal=proposal), deed)


def _same(hand: "HeadersAtHand", layout: "Layout") -> bool:
    return not moves_to(hand, layout)


def moves_to(hand: "HeadersAtHand", layout: "Layout") -> list[tuple[str, str]]:
    """Return which chain a layout moves to which header, by their names."""
    names = {header.header_id: header.name for header in hand.plugged.headers}
    seats = hand.plugged.seats()
    now = {chain.name: names.get(seats.get(chain.chain_id, "")) for chain in hand.plugged.chains}
    return [(seat.chain, seat.header) for seat in layout.seats if now.get(seat.chain) != seat.header]


def _take(hand: "HeadersAtHand", rest: str) -> Deed:
    number, _, why = rest.partition("#")
    answer = hand.answer_layout
    if answer is None or answer.best is None:
        raise InputError("no layout is possible, so none can be taken")
    place = number.strip() or "1"
    listed = min(len(answer.optima), MOST_OPTIMA)
    if not place.isdecimal() or not 1 <= int(place) <= listed:
        raise InputError(f"type take, or take and a number from 1 to {listed}")
    layout = answer.optima[int(place) - 1]
    moves = moves_to(hand, layout)
    told = ", ".join(f"{chain} on {header}" for chain, header in moves) or "nothing is to be moved"

    def do() -> str:
        logged = hand.book.headers.choose_layout(hand.build_id, layout, why.strip())
        hand.view = View.BOARD
        return f"entry {logged.seq} · layout taken: {told}"

    return Deed(told=f"take layout {place}: {told}", do=do)


def layout_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with the best layout, or with why there is none."""
    answer = hand.answer_layout
    if answer is None:
        return replace(card, step="layout", notices=("No layout can be asked for with what is written down.",))
    if answer.best is None:
        return _impossible(answer, card)
    best = answer.best
    said = f"{best.cost} cm of cable and penalties"
    said += f", {answer.optima_count} layouts of that cost" if answer.optima_count > 1 else ", no other is as good"
    rows = [
        Figure(
            label=load.header,
            value=" + ".join(load.chains),
            bounds=f"steady {load.steady_ma}, start {load.start_ma} of {load.rating_ma} mA",
        )
        for load in best.loads
    ]
    moves = [f"{chain} on {header}" for chain, header in moves_to(hand, best)]
    reasons = [f"To move: {', '.join(moves)}." if moves else "Nothing is to be moved."]
    for number, other in enumerate(answer.optima[1:MOST_OPTIMA], 2):
        reasons.append(f"Equal, {number}: {_seats(other)}.")
    if answer.runner_up is not None:
        reasons.append(f"Next best, {answer.runner_up.cost} cm: {_seats(answer.runner_up)}.")
    reasons += [say(phrase) for phrase in answer.notes]
    verdict = VerdictLine(word="can decide", text=said, final=True)
    return replace(
        card,
        step="layout",
        verdict=replace(verdict, word="best layout"),
        figures=tuple(rows),
        reasons=(*reasons, *_refused(answer)),
    )


def _impossible(answer: "LayoutAnswer", card: CardContent) -> CardContent:
    first, *rest = (say(one.what) for one in answer.relaxations)
    return replace(
        card,
        step="layout",
        verdict=VerdictLine(word="no layout", text=f"Smallest change: {first}", final=True),
        reasons=(*(f"Or: {said}" for said in rest), *(say(phrase) for phrase in answer.notes), *_refused(answer)),
    )


def _seats(layout: "Layout") -> str:
    return ", ".join(f"{seat.chain} on {seat.header}" for seat in layout.seats)


def _refused(answer: "LayoutAnswer") -> list[str]:
    return [f"{one.chain} not on {one.header}, {one.rule}: {say(one.why)}" for one in answer.refusals]
