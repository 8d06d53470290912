"""What is asked of a mishap before it is written down: where it came from, where it was, what was seen, how much."""

from collections.abc import Callable

from commission.base.errors import InputError
from commission.base.frozen import Frozen, replace
from commission.base.quantity import Measured, Quantity
from commission.bench.ask import one_of, some_text
from commission.bench.mishap.told import Told
from commission.record.mishap import Mishap
from commission.units.worded import worded

BEYOND = 200
"""Longest answer [characters]; our choice: two lines and a half of a terminal."""

SOURCES = {
    "bottle": "from the bottle, beside the loop: no proof is lost",
    "filler": "out of the filler: the fill must be judged again",
    "joint": "from a joint: that is a leak",
}
"""Where a spill came from, and what follows."""

WET = (Mishap.LEAK, Mishap.SPILL, Mishap.BURST)
"""Where coolant may have reached something electrical."""


class Asked(Frozen):
    """One question of the story."""

    key: str
    """Which."""
    ask: str
    """The question, one line."""
    hint: str
    """What a good answer looks like."""
    read: Callable[[str], Told]
    """Returns the story with the answer in it; raises InputError."""
    proposal: str | None = None
    """What Enter on the empty line enters."""


def next_asked(what: str, known: Told) -> Asked | None:
    """Return what is still to be asked of a mishap; None where it can be written down."""
    if what == Mishap.SPILL and known.from_bottle is None:
        return _source(known)
    if not known.where:
        return _where(known)
    if not known.seen:
        return _seen(known)
    if what in WET and known.on_electronics is None:
        return _electronics(known)
    return _amount(known) if what == Mishap.SPILL and not known.measured else None


def _source(known: Told) -> Asked:
    def read(text: str) -> Told:
        word = one_of(text, {each: each for each in SOURCES}, "source")
        if word == "joint":
            return replace(known, what=Mishap.LEAK, last=SOURCES[word])
        return replace(known, from_bottle=word == "bottle", last=SOURCES[word])

    return Asked(
        key="source",
        ask="Where did it come from: bottle, filler or joint?",
        hint="bottle: it never was in the loop · filler: out of the open loop · joint: that is a leak",
        read=read,
    )


def _where(known: Told) -> Asked:
    def read(text: str) -> Told:
        where = some_text("a part, a joint or a place", BEYOND)(text)
        return replace(known, where=where, last=where)

    ask = "Where was it? Type a part, a joint or a place."
    return Asked(key="where", ask=ask, hint="such as: lower radiator port", read=read)


def _seen(known: Told) -> Asked:
    def read(text: str) -> Told:
        if text.strip().casefold() in ("yes", "no"):
            raise InputError("what was seen is asked here; type it in a few words")
        seen = some_text("what was seen", BEYOND)(text)
        return replace(known, seen=seen, last=seen)

    ask = f"{known.where}: what was seen?"
    return Asked(key="seen", ask=ask, hint="such as: a drop every ten seconds", read=read, proposal=known.proposal)


def _electronics(known: Told) -> Asked:
    def read(text: str) -> Told:
        word = {"y": "yes", "n": "no"}.get(text.strip().casefold(), text.strip().casefold())
        if word not in ("yes", "no"):
            raise InputError("type yes or no; yes where you cannot tell")
        wet = "electronics got wet: no power before they are clean" if word == "yes" else "nothing electrical got wet"
        return replace(known, on_electronics=word == "yes", last=wet)

    return Asked(
        key="electronics",
        ask="Did coolant reach a board, card, drive, the supply or a plug: yes or no?",
        hint="yes where you cannot tell",
        read=read,
    )


def _amount(known: Told) -> Asked:
    def read(text: str) -> Told:
        amount = amount_of(text)
        last = "nobody knows how much" if amount is None else f"about {amount.typed}"
        return replace(known, amount=amount, measured=True, last=last)

    ask = "About how much was it?"
    return Asked(key="amount", ask=ask, hint=worded("such as 5 mL · ? where nobody knows"), read=read)


def amount_of(text: str) -> Measured | None:
    """Return a volume; None for ``?``, where nobody knows.

    Raises
    ------
    InputError
        If it is no volume above 0.
    """
    from commission.units.parse import parse

    if text.strip() == "?":
        return None
    amount = parse(text, Quantity.VOLUME)
    if amount.si <= 0:
        raise InputError(worded("type about how much it was, such as 5 mL, or ? where nobody knows"))
    return amount
