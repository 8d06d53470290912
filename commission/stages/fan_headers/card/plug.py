"""What sits where: plugging with its budget and its rules, unplugging, and what sat where at an earlier time."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.ask import command
from commission.bench.card import CardContent, Figure
from commission.bench.deed import Deed
from commission.stages.fan_headers.card.base import View, load_text
from commission.units.show import say

if TYPE_CHECKING:
    from commission.record.machine.seats import Chain, Header, Move
    from commission.stages.fan_headers.card.base import HeadersAtHand

_GRAVE = ("mode_differs", "beyond_specification")
"""Warnings about a seat that stand above everything else."""
_DAY = ("%Y-%m-%d", "%d.%m.%Y")
_MINUTE = ("%Y-%m-%d %H:%M", "%d.%m.%Y %H:%M")
MOST_MOVES = 40
"""Moves that are listed at once."""


def plug_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what plugging a chain into a header does.

    Raises
    ------
    InputError
        If it is not clear what goes where, or a rule forbids it; the message names the rule.
    """
    chain, rest = hand.chain_named(text)
    word, after = command(rest, ("on", "into", "to"))
    header, rest = hand.header_named(after if word else rest)
    override, why = _reasons(rest)
    if hand.header_of(chain) == header:
        raise InputError(f"{chain.name} sits on {header.name} already")
    check = hand.seat_check(chain, header)
    if check.blocked:
        raise InputError(f"BLOCKED. {' '.join(say(phrase) for phrase in check.blocked)}")
    if check.may_override and not override:
        said = " ".join(say(phrase) for phrase in check.may_override)
        raise InputError(f"{said} No rating is exceeded: if you know better, add: override and the reason")
    others = tuple(one for one in hand.plugged.on(header.header_id) if one != chain)
    told = f"{chain.name} on {header.name}: {load_of(hand, header, (*others, chain))}"
    if check.may_override:
        told += f", overridden: {override}"

    def do() -> str:
        logged = hand.book.headers.seats.move(hand.build_id, chain.chain_id, header.header_id, why, override=override)
        hand.view = View.BOARD
        return f"entry {logged.seq} · {told}"

    return Deed(told=_with_warnings(hand, told, chain, header), do=do)


def _with_warnings(hand: "HeadersAtHand", told: str, chain: "Chain", header: "Header") -> str:
    grave = [say(phrase) for phrase in hand.seat_check(chain, header).warnings if phrase.code in _GRAVE]
    return f"{told}. {' '.join(grave)}" if grave else told


def unplug_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what unplugging a chain does.

    Raises
    ------
    InputError
        If there is no such chain, or it sits nowhere.
    """
    chain, rest = hand.chain_named(text)
    header = hand.header_of(chain)
    if header is None:
        raise InputError(f"{chain.name} sits on no header")
    told = f"{chain.name} off {header.name}"

    def do() -> str:
        logged = hand.book.headers.seats.move(hand.build_id, chain.chain_id, None, rest.lstrip("# ").strip())
        hand.view = View.BOARD
        return f"entry {logged.seq} · {told}"

    return Deed(told=told, do=do)


def _reasons(rest: str) -> tuple[str, str]:
    """Part the reason for an override from a note after a hash sign."""
    body, _, why = rest.partition("#")
    word, reason = command(body, ("override",))
    if word and not reason:
        raise InputError("type the reason after override; it stands in every report")
    if not word and body.strip():
        raise InputError(f"{clip(body.strip())} was not expected after the header; a note begins with #")
    return reason, why.strip()


def load_of(hand: "HeadersAtHand", header: "Header", chains: "tuple[Chain, ...]") -> str:
    """Return what chains draw from a header, against what it may give."""
    check = hand.seat_check(chains[-1], header)
    return load_text(check, header, chains, hand.stage.limit("steady_percent"), hand.stage.limit("start_factor"))


# --- how things stand ----------------------------------------------------------------------------------------


def board_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with what sits where now."""
    grave, small = _warnings(hand)
    reasons = [say(phrase) for phrase in hand.verdict.reasons[1:]] if hand.plugged.chains else []
    let_be = [f"Warning: {say(one)}" for one in hand.verdict.reasons[1:] if one.code.endswith("_let_be")]
    reasons = [said for said in reasons if f"Warning: {said}" not in let_be]
    notices = (*let_be, *grave)
    return replace(card, figures=(*_headers(hand), *_loose(hand)), notices=notices, reasons=(*reasons, *small))


def _headers(hand: "HeadersAtHand") -> list[Figure]:
    rows = []
    for header in hand.plugged.headers:
        on_it = hand.plugged.on(header.header_id)
        rating = f"{header.rating_ma} mA{', ASSUMED' if header.rating_assumed else ''}"
        lock = ", locked at full speed" if header.full_speed_lock else ""
        set_to = f"set to {header.set_to}" if header.set_to else "setting not known"
        rows.append(
            Figure(
                label=header.name,
                value=" + ".join(chain.name for chain in on_it) or "empty",
                bounds=load_of(hand, header, on_it) if on_it else rating,
                remark=f"{header.pins}-pin {'/'.join(header.modes)}, {set_to}{lock}{_swept(hand, on_it)}",
            )
        )
    return rows


def _swept(hand: "HeadersAtHand", chains: "tuple[Chain, ...]") -> str:
    words = []
    for chain in chains:
        sweep = hand.swept.sweep_of(chain.chain_id)
        words += [f"{chain.name} {sweep.taken.verdict.said}"] if sweep is not None else []
    return f" · {', '.join(words)}" if words else ""


def _loose(hand: "HeadersAtHand") -> list[Figure]:
    seated = hand.plugged.seats()
    return [
        Figure(label="on no header", value=chain.name, bounds=f"{chain.steady_ma} mA", remark=str(chain.feed))
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
    grave = [f"Warning: {said}" for said, code in found.items() if code in _GRAVE]
    return grave, [said for said, code in found.items() if code not in _GRAVE]


# --- earlier times -------------------------------------------------------------------------------------------


def read_moment(text: str, now_ms: int, offset_min: int) -> int:
    """Return the moment that a date means on the bench's wall clock: the end of that day, or the minute named.

    Raises
    ------
    InputError
        If it is none, or lies ahead.

    Examples
    --------
    >>> read_moment("1970-01-02", 10**12, 0), read_moment("1970-01-01 00:01", 10**12, 0)
    (172799999, 119999)
    """
    zone = timezone(timedelta(minutes=offset_min))
    typed = " ".join(text.replace("T", " ").split())
    today = datetime.fromtimestamp(now_ms / 1000, zone)
    typed = {"today": f"{today:%Y-%m-%d}", "yesterday": f"{today - timedelta(days=1):%Y-%m-%d}"}.get(
        typed.casefold(), typed
    )
    for forms, span in ((_DAY, timedelta(days=1)), (_MINUTE, timedelta(minutes=1))):
        for form in forms:
            try:
                start = datetime.strptime(typed, form).replace(tzinfo=zone)
            except ValueError:
                continue
            if start > today:
                raise InputError(f"{clip(text)} lies ahead; type a day that has been")
            return round((start + span).timestamp() * 1000) - 1
    raise InputError(f"{clip(text)} is no date; type such as 2026-09-14, or 2026-09-14 10:30, or yesterday")


def then_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what asking for an earlier time does: nothing but to show what sat where.

    Raises
    ------
    InputError
        If that is no time.
    """
    mark = hand.book.clock.now()
    at_ms = read_moment(text, mark.wall_ms, mark.offset_min)

    def do() -> str:
        hand.view, hand.then_ms = View.THEN, at_ms
        return ""

    return Deed(told=f"show what sat where on {_time(hand, at_ms)}", do=do)


def then_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with what sat where at an earlier time, and what was moved on that day."""
    plugged = hand.plugged
    seats = plugged.seats(hand.then_ms)
    rows = []
    for header_id in dict.fromkeys(seats.values()):
        header = plugged.header(header_id)
        on_it = [plugged.chain(chain_id) for chain_id, seat in seats.items() if seat == header_id]
        names = " + ".join(chain.name for chain in on_it if chain is not None)
        rows.append(Figure(label=header.name if header is not None else "a header", value=names))
    day_ms = 24 * 3600 * 1000
    lines = [_move_text(hand, move) for move in _moves(hand) if hand.then_ms - day_ms < move.at_ms <= hand.then_ms]
    said = [f"On {_time(hand, hand.then_ms)}:"] if rows else [f"On {_time(hand, hand.then_ms)} nothing was plugged in."]
    head = ["Moved in the 24 hours before:"] if lines else []
    return replace(card, step="then", figures=tuple(rows), notices=tuple(said), reasons=(*head, *lines[-MOST_MOVES:]))


def moves_card(hand: "HeadersAtHand", card: CardContent) -> CardContent:
    """Return the card with every move, the last one first."""
    lines = [_move_text(hand, move) for move in reversed(_moves(hand))]
    return replace(card, step="moves", reasons=tuple(lines[:MOST_MOVES]) or ("Nothing was plugged in yet.",))


def _moves(hand: "HeadersAtHand") -> "list[Move]":
    return sorted(hand.plugged.moves, key=lambda move: (move.at_ms, move.seq))


def _move_text(hand: "HeadersAtHand", move: "Move") -> str:
    chain, header = hand.plugged.chain(move.chain_id), hand.plugged.header(move.header_id)
    where = f"on {header.name}" if header is not None else "off"
    why = f" · {move.why}" if move.why else ""
    return (
        f"{_time(hand, move.at_ms)} · {chain.name if chain is not None else 'a chain'} {where}{why} · entry {move.seq}"
    )


def _time(hand: "HeadersAtHand", at_ms: int) -> str:
    zone = timezone(timedelta(minutes=hand.book.clock.now().offset_min))
    return f"{datetime.fromtimestamp(at_ms / 1000, zone):%Y-%m-%d %H:%M}"
