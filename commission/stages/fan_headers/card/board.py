"""The board on the card: what sits where with its budget, what sat where at an earlier time, every move."""

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.card import CardContent, Figure
from commission.stages.fan_headers.rows.board import (
    board_table,
    chain_facts,
    current_text,
    header_row,
    loose_row,
    seat_row,
    swept_text,
)
from commission.stages.fan_headers.typed.looked_at import time_text
from commission.stages.fan_headers.typed.plug import GRAVE, load_of
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.machine.seats import Chain, Move
    from commission.stages.fan_headers.at_hand import HeadersAtHand

MOST_MOVES = 40
"""Moves that are listed at once."""


# --- how things stand ----------------------------------------------------------------------------------------


def board_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with what sits where now."""
    grave, small = _warnings(hand)
    reasons = [say(phrase) for phrase in hand.verdict.reasons[1:]] if hand.plugged.chains else []
    let_be = [f"Warning: {say(one)}" for one in hand.verdict.reasons[1:] if one.code.endswith("_let_be")]
    reasons = [said for said in reasons if f"Warning: {said}" not in let_be]
    notices = (*card.notices, *let_be, *grave)
    figures = (*_headers(hand), *_loose(hand))
    table = board_table(_map(hand)) if figures else None
    return replace(card, figures=figures, table=table, notices=notices, reasons=(*reasons, *small))


def _map(hand: "HeadersAtHand") -> "Iterator[tuple[str, str, str, str, str]]":
    for header in hand.plugged.headers:
        on_it = hand.plugged.on(header.header_id)
        check = hand.seat_check(on_it[-1], header) if on_it else None
        drawn = None if check is None else (check.steady_ma, check.start_ma)
        name, current = header.name, current_text(drawn, header.rating_ma, assumed=header.rating_assumed)
        if not on_it:
            yield name, "empty", current, "", ""
        for chain in on_it:
            word = "WRONG" if check is not None and check.blocked else _word(hand, chain)
            yield name, chain.name, current, _duty(hand, chain), word
            name = current = ""
    seated = hand.plugged.seats()
    for chain in hand.plugged.chains:
        if chain.chain_id not in seated:
            where, word = ("no header", "not plugged") if chain.needs_header else ("supply", "no sweep")
            drawn_ma = f"{chain.steady_ma}/{chain.start_ma(hand.stage.limit('start_factor'))}"
            yield where, chain.name, drawn_ma, _duty(hand, chain), word


def _duty(hand: "HeadersAtHand", chain: "Chain") -> str:
    left = dict(hand.swept.duties).get(chain.chain_id)
    return "" if left is None else f"{left.duty_pct:g} %"


def _word(hand: "HeadersAtHand", chain: "Chain") -> str:
    if chain.pump and not chain.control_wanted:
        return "no sweep"
    sweep = hand.swept.sweep_of(chain.chain_id)
    if sweep is not None:
        return sweep.taken.verdict.said
    return "not swept" if hand.last_sweep(chain.chain_id) is None else "STALE"


def _headers(hand: "HeadersAtHand") -> list[Figure]:
    rows = []
    for header in hand.plugged.headers:
        on_it = hand.plugged.on(header.header_id)
        load = load_of(hand, header, on_it) if on_it else ""
        rows.append(header_row(header, [chain.name for chain in on_it], load, _swept(hand, on_it)))
    return rows


def _swept(hand: "HeadersAtHand", chains: "tuple[Chain, ...]") -> list[str]:
    sweeps = ((chain.name, hand.swept.sweep_of(chain.chain_id)) for chain in chains)
    return [swept_text(name, sweep.taken.verdict.said) for name, sweep in sweeps if sweep is not None]


def _loose(hand: "HeadersAtHand") -> list[Figure]:
    seated = hand.plugged.seats()
    return [
        loose_row(
            chain.name,
            chain_facts(len(chain.devices), chain.drive, pump=chain.pump),
            bounds=f"{chain.steady_ma} mA",
            more=str(chain.feed) if chain.needs_header else "from the power supply, nothing on a header",
        )
        for chain in hand.plugged.chains
        if chain.chain_id not in seated
    ]


def _warnings(hand: "HeadersAtHand") -> tuple[list[str], list[str]]:
    """Return the warnings about all seats, the grave ones first, each once."""
    found = {}
    for header in hand.plugged.headers:
        load = hand.load_of(header)
        for phrase in load.warnings if load is not None else ():
            found[say(phrase)] = phrase.code
    grave = [f"Warning: {said}" for said, code in found.items() if code in GRAVE]
    return grave, [said for said, code in found.items() if code not in GRAVE]


# --- earlier times -------------------------------------------------------------------------------------------


def then_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with what sat where at an earlier time, and what was moved on that day."""
    plugged = hand.plugged
    seats = plugged.seats(hand.then_ms)
    rows = []
    for header_id in dict.fromkeys(seats.values()):
        header = plugged.header(header_id)
        on_it = [plugged.chain(chain_id) for chain_id, seat in seats.items() if seat == header_id]
        names = [chain.name for chain in on_it if chain is not None]
        rows.append(seat_row(header.name if header is not None else "a header", names))
    day_ms = 24 * 3600 * 1000
    lines = [_move_text(hand, move) for move in _moves(hand) if hand.then_ms - day_ms < move.at_ms <= hand.then_ms]
    when = time_text(hand, hand.then_ms)
    said = [f"On {when}:" if rows else f"On {when} nothing was plugged in."]
    head = ["Moved in the 24 hours before:"] if lines else []
    return replace(card, step="then", figures=tuple(rows), listed=(*said, *head, *lines[-MOST_MOVES:]))


def moves_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with every move, the last one first."""
    lines = [_move_text(hand, move) for move in reversed(_moves(hand))]
    return replace(card, step="moves", listed=tuple(lines[:MOST_MOVES]) or ("Nothing was plugged in yet.",))


def _moves(hand: "HeadersAtHand") -> "list[Move]":
    return sorted(hand.plugged.moves, key=lambda move: (move.at_ms, move.seq))


def _move_text(hand: "HeadersAtHand", move: "Move") -> str:
    chain, header = hand.plugged.chain(move.chain_id), hand.plugged.header(move.header_id)
    where = f"on {header.name}" if header is not None else "off"
    why = f" · {move.why}" if move.why else ""
    name = chain.name if chain is not None else "a chain"
    return f"{time_text(hand, move.at_ms)} · {name} {where}{why} · entry {move.seq}"
