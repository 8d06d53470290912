"""What asking for a layout and taking it do, from a typed line."""

from functools import partial
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import counted
from commission.bench.ask import command
from commission.bench.deed import Deed
from commission.stages.fan_headers.at_hand import View
from commission.stages.fan_headers.typed.plug import seen_on_the_board

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.model.layout import Layout


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

    def do() -> None:
        hand.view, hand.start_override = View.LAYOUT, bool(word)

    override = ", start currents that no label gives not counted" if word else ""
    return Deed(told=f"find the best layout of {counted(len(hand.plugged.chains), 'chain')}{override}", do=do)


def moves_to(hand: "HeadersAtHand", layout: "Layout") -> list[tuple[str, str]]:
    """Return which chain a layout moves to which header, by their names."""
    names = {header.header_id: header.name for header in hand.plugged.headers}
    seats = hand.plugged.seats()
    now = {chain.name: names.get(seats.get(chain.chain_id, "")) for chain in hand.plugged.chains}
    return [(seat.chain, seat.header) for seat in layout.seats if now.get(seat.chain) != seat.header]


def take_deed(hand: "HeadersAtHand", rest: str) -> Deed:
    """Return what taking a layout does: it is recorded; each chain is then plugged by hand.

    Raises
    ------
    InputError
        If there is no such layout.
    """
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
    choose = partial(hand.work.choose_layout, hand.build_id, layout, why.strip())
    return seen_on_the_board(hand, f"take layout {place}: {told}", choose, answer=f"layout taken: {told}")
