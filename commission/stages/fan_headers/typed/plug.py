"""What plugging and unplugging do, from a typed line."""

from functools import partial
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.ask import command
from commission.bench.deed import Deed, numbered
from commission.stages.fan_headers.at_hand import View, load_text
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.logged import Logged
    from commission.record.machine.seats import Chain, Header
    from commission.stages.fan_headers.at_hand import HeadersAtHand


GRAVE = ("mode_differs", "beyond_specification")
"""Warnings about a seat that stand above everything else."""


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
    move = partial(hand.work.seats.move, hand.build_id, chain.chain_id, header.header_id, why, override=override)
    return seen_on_the_board(hand, _with_warnings(hand, told, chain, header), move, answer=told)


def seen_on_the_board(hand: "HeadersAtHand", told: str, do: "Callable[[], Logged]", *, answer: str) -> Deed:
    """Return a deed that stores an entry, after which the board is shown."""

    def done() -> "Logged":
        logged = do()
        hand.view = View.BOARD
        return logged

    return numbered(told, done, answer=answer)


def found_deed(hand: "HeadersAtHand", text: str) -> Deed:
    """Return what recording a plug that sits already does: as it was found, right or wrong.

    Raises
    ------
    InputError
        If it is not clear what sits where.
    """
    chain, rest = hand.chain_named(text)
    word, after = command(rest, ("on", "in", "into"))
    header, rest = hand.header_named(after if word else rest)
    override, why = _reasons(rest)
    if override:
        raise InputError("what was found is recorded as it is; no reason is asked. Leave override out")
    if hand.header_of(chain) == header:
        raise InputError(f"{chain.name} sits on {header.name} already")
    check = hand.seat_check(chain, header)
    against = " ".join(say(phrase) for phrase in (*check.blocked, *check.may_override))
    told = f"{chain.name} found on {header.name}"
    blocks = "It blocks the verdict until it is moved."
    done = f"{told}: WRONG. {blocks}" if against else told
    move = partial(hand.work.seats.move, hand.build_id, chain.chain_id, header.header_id, why, found=True)
    return seen_on_the_board(hand, f"{told}: WRONG. {against} {blocks}" if against else told, move, answer=done)


def _with_warnings(hand: "HeadersAtHand", told: str, chain: "Chain", header: "Header") -> str:
    grave = [say(phrase) for phrase in hand.seat_check(chain, header).warnings if phrase.code in GRAVE]
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
    move = partial(hand.work.seats.move, hand.build_id, chain.chain_id, None, rest.lstrip("# ").strip())
    return seen_on_the_board(hand, told, move, answer=told)


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
