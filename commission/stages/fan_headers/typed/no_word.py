"""A line that begins with a chain and lacks its word: what is refused names the words that may be meant."""

import re
from contextlib import suppress
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.ask import command

if TYPE_CHECKING:
    from commission.stages.fan_headers.at_hand import HeadersAtHand

_DUTY = re.compile(r"(?:at\s+)?[0-9]+(?:[.,][0-9]+)?\s*%?(?:[\s,]+[0-9]+\s*(?:rpm)?)?", re.IGNORECASE)


def refuse_without_its_word(hand: "HeadersAtHand", text: str) -> None:
    """Refuse a line such as ``front on SYS1`` or ``front 50 750``.

    Neither is taken by itself: what is plugged now and what sat there already are two entries, and a duty with its
    speed is also how a level of a sweep is typed.

    Raises
    ------
    InputError
        If it is such a line; the message is the line with its word.
    """
    seat = duty = ""
    with suppress(InputError):  # where no chain or header is meant, the line is another one
        chain, rest = hand.chain_named(text)
        if _DUTY.fullmatch(rest):
            duty = f"leave {chain.name} {rest}"
        else:
            header, rest = hand.header_named(command(rest, ("on", "into", "to", "in"))[1])
            seat = "" if rest else f"{chain.name} on {header.name}"
    if duty:
        raise InputError(f"{clip(text)} lacks its word; type {duty}")
    if seat:
        raise InputError(f"{clip(text)} lacks its word; type plug {seat}, or found {seat} where it sat there before")
