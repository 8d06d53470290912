"""What a line does in a leak search: the suspects, the gauge pumped up, and the gauge at the end of a try."""

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed
from commission.base.quantity import Measured, Quantity
from commission.base.text import counted
from commission.bench.ask import some_text
from commission.bench.deed import Deed, said
from commission.stages.pressure_hold.entries import TryWord
from commission.stages.pressure_hold.state.attempt import HoldAttempt, judged_hold
from commission.stages.pressure_hold.typed.after import let_down_deed
from commission.stages.pressure_hold.work.holds import PLACES
from commission.stages.pressure_hold.work.searches import Searches
from commission.units.parse import parse

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand


def search_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what a line does where the search stands now: begin, pump up behind the next cut, read, or vent.

    Raises
    ------
    InputError
        If it cannot be understood.
    NotAllowed
        If it is not its turn.
    """
    hold = searched(hand)
    search = hold.search
    if search is None:
        return begin_deed(hand, text)
    if search.pumped is not None:
        return try_deed(hand, text)
    if not hold.let_down:
        return let_down_deed(hand, text)
    if text.strip().casefold().startswith("behind "):
        return behind_deed(hand, text.strip()[len("behind ") :])
    if not search.next_cut:
        raise NotAllowed("the search is at its end; write down what was found, or type behind and where to part it off")
    return pump_deed(hand, search.next_cut, text)


def searched(hand: "HoldAtHand") -> HoldAttempt:
    """Return the hold whose leak is searched for; raises NotAllowed where none was ended."""
    judged = judged_hold(hand.state)
    if judged is None:
        raise NotAllowed("no hold was ended yet")
    return judged


def begin_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what naming the suspects does, such as ``pump, cpu block, top radiator``."""
    asked = some_text("the parts and joints from the gauge on, such as pump, cpu block, top radiator")(text)
    parts = [part.name for part in hand.state.tested_parts]
    own = {name.casefold(): name for name in parts}
    names = [own.get(name.casefold(), name) for name in _names(asked, parts)]
    if not names:
        raise InputError("name the parts and joints from the gauge on, such as pump, cpu block, top radiator")
    return said(
        " > ".join(names),
        lambda: hand.book.work(Searches).begin(hand.build_id, names),
        answer=f"leak search: {counted(len(names), 'suspect')} and the test rig",
    )


def _names(text: str, known: Iterable[str]) -> list[str]:
    """Return the names between commas; one of a part that has a comma itself stays whole.

    >>> _names("pump, fittings, a dozen, tube", ["tube", "fittings, a dozen"])
    ['pump', 'fittings, a dozen', 'tube']
    """
    whole = sorted((re.escape(name) for name in known if "," in name), key=len, reverse=True)
    one = "|".join((*whole, "[^,]*[^,\\s]"))
    return [" ".join(name.split()) for name in re.findall(rf"(?:^|,)\s*({one})\s*(?=,|$)", text, re.IGNORECASE)]


def behind_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what parting off at a place of one's own does, such as ``cpu block 500 mbar``."""
    search = searched(hand).search
    names = () if search is None else sorted(search.suspects, key=len, reverse=True)
    folded = text.strip().casefold()
    name = next((one for one in names if folded.startswith(one.casefold() + " ")), "")
    if not name:
        raise InputError(f"type behind, one of {', '.join(names)}, and what the gauge shows")
    return pump_deed(hand, name, text.strip()[len(name) :])


def pump_deed(hand: "HoldAtHand", behind: str, text: str) -> Deed:
    """Return what the gauge does once the loop is parted off behind a suspect and pumped up."""
    gauge = _gauge(hand, text)
    return said(
        f"parted off behind {behind}, gauge {gauge.typed}",
        lambda: hand.book.work(Searches).pump(hand.build_id, behind, gauge),
        answer=f"parted off behind {behind}, gauge {gauge.typed}: the clock of this try runs",
    )


def try_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what the gauge at the end of a try does, a word of its own behind it, or ``vented 0 mbar``."""
    if text.strip().casefold().startswith("vented"):
        return let_down_deed(hand, text)
    shows, word = _worded(text)
    gauge, searches = _gauge(hand, shows), hand.book.work(Searches)
    says = word or searches.says(hand.state, gauge)
    return said(
        f"gauge {gauge.typed}: {says}", lambda: searches.tried(hand.build_id, gauge, word), answer=f"this try: {says}"
    )


def seen_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what a leak does that was seen or heard under pressure, such as ``cpu block bubbles at the lower port``.

    Raises
    ------
    InputError
        If it names no place or says nothing of it.
    """
    parts = {part.name: part.part_id for part in hand.state.parts}
    said = " ".join(text.split())
    names = sorted([*parts, *PLACES], key=len, reverse=True)
    name = next((one for one in names if said.casefold().startswith(one.casefold() + " ")), "")
    if not name:
        raise InputError(f"type seen, where ({', '.join([*parts, *PLACES])}), and what was seen or heard")
    part_id, note = parts.get(name), said[len(name) :].strip()

    def do() -> str:
        where = name if part_id is None else "part"
        hand.work.raise_finding(hand.build_id, where=where, part_id=part_id, note=note)
        return f"defect: {name}, {note}"

    return Deed(told=f"{name}: {note}", do=do)


def _worded(text: str) -> tuple[str, TryWord | None]:
    """Part what the gauge shows from the word behind it."""
    folded = text.strip().casefold()
    for word in TryWord:
        if folded == word or folded.endswith(f" {word}"):
            return text.strip()[: -len(word)].strip(" ,;"), word
    return text.strip(), None


def _gauge(hand: "HoldAtHand", text: str) -> Measured:
    if not text.strip():
        raise InputError("type what the gauge shows")
    gauge = hand.work.last_gauge(hand.state)
    unit = gauge.unit if gauge.quantity is Quantity.GAUGE_PRESSURE else "mbar"
    shown = f"{text.strip()} {unit}" if text.strip()[-1:].isdecimal() else text.strip()
    return parse(shown, Quantity.GAUGE_PRESSURE, usual=unit)
