"""Cautions that are asked: one by one, by the state that is typed, or in one line where they were read before.

A warning that is repeated unchanged is read less each time; so what only informs is folded on a retest and in another
build on that day, and what a hand must do at that moment is asked each time. Our choice, after the literature on
habituation to warnings.
"""

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from commission.base.clock import ClockMark
from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip, counted
from commission.bench.ask import Question, asked_once, asked_word, command, with_reader
from commission.bench.deed import Deed
from commission.bench.figures import clock_time, local_time
from commission.procedure.model import Caution, When
from commission.record.entries import CautionAcknowledged
from commission.record.fold import withdrawn_numbers
from commission.record.logged import Logged
from commission.units.chosen import in_house_units
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.record.build_state import BuildState
    from commission.record.logbook import Logbook
    from commission.record.stage_work import StageWork

DAYS = 30
"""A caution that was read longer ago is asked again [d]; our choice: a month is long enough to forget it."""


class ReadBefore(Frozen):
    """A caution that was read in an earlier attempt."""

    caution: Caution
    """The caution."""
    entry: Logged
    """Where it was answered last."""


class Hand(Protocol):
    """A stage of a build as last read."""

    book: "Logbook"
    build_id: str
    state: "BuildState"
    cautions_opened: bool

    def caution_text(self, caution: Caution) -> str:
        """Return a caution with the figures of this loop in it."""

    def note_deed(self, text: str) -> Deed:
        """Return what writing down something worth remembering does."""


def as_stored(hand: Hand, caution: Caution) -> str:
    """Return a caution as it is stored and compared: in the program's own units, whatever it was read in."""
    with in_house_units():
        return hand.caution_text(caution)


def folded_of(hand: Hand, work: "StageWork", when: When) -> tuple[ReadBefore, ...]:
    """Return the unanswered cautions of a moment that fold: read unchanged by the same person, here or today."""
    missing = work.missing_cautions(hand.state, when)
    candidates = [one for one in work.cautions(hand.state, when) if one.folds and one.id in missing]
    if not candidates:
        return ()
    now, operator = hand.book.clock.now(), hand.book.shop().operator
    found = []
    for caution in candidates:
        entry = last_read(hand, work, caution)
        if entry is None or not isinstance(entry.payload, CautionAcknowledged) or entry.operator != operator:
            continue
        recent = 0 <= now.wall_ms - entry.mark.wall_ms <= DAYS * 86_400_000
        if recent and entry.payload.text == as_stored(hand, caution):
            found.append(ReadBefore(caution=caution, entry=entry))
    return tuple(found)


def last_read(hand: Hand, work: "StageWork", caution: Caution) -> Logged | None:
    """Return where a caution was answered last: in an earlier attempt, else today elsewhere; None where nowhere."""
    entries, attempt = hand.book.entries(hand.build_id), hand.state.run(work.stage_id).attempt
    gone = withdrawn_numbers(entries)
    for entry in reversed(entries):
        payload = entry.payload
        if (
            isinstance(payload, CautionAcknowledged)
            and (payload.stage, payload.caution) == (work.stage_id, caution.id)
            and payload.attempt < attempt
            and entry.seq not in gone
        ):
            return entry
    return _read_today(hand, work, caution)


def _read_today(hand: Hand, work: "StageWork", caution: Caution) -> Logged | None:
    """Return where whoever works now answered a caution on this day in another build; None where nowhere."""
    now, operator = hand.book.clock.now(), hand.book.shop().operator
    today = local_time(now.wall_ms, now.offset_min).date()
    for entry in reversed(hand.book.entries_of_kind(CautionAcknowledged.KIND)):
        payload, mark = entry.payload, entry.mark
        if (
            isinstance(payload, CautionAcknowledged)
            and (payload.stage, payload.caution) == (work.stage_id, caution.id)
            and entry.build != hand.build_id
            and entry.operator == operator
            and local_time(mark.wall_ms, mark.offset_min).date() == today
            and entry.seq not in withdrawn_numbers(hand.book.entries(entry.build))
        ):
            return entry
    return None


def what_changed(template: str, before: str, now: str) -> str:
    """Return which figures of a caution are others than when it was read; empty where its words are others.

    >>> what_changed("Stores {energy}. Cover it.", "Stores 30 J, a fall. Cover it.", "Stores 38 J, a fall. Cover it.")
    'energy was 30 J, is 38 J'
    """
    names = re.findall(r"\{(\w+)\}", template)
    shape = re.compile("(.+?)".join(map(re.escape, re.split(r"\{\w+\}", template))))
    old, new = shape.fullmatch(before), shape.fullmatch(now)
    if old is None or new is None:
        return ""
    pairs = zip(names, old.groups(), new.groups(), strict=True)
    firsts = ((name, was.partition(",")[0], now_.partition(",")[0]) for name, was, now_ in pairs)
    return "; ".join(f"{name} was {was}, is {is_}" for name, was, is_ in firsts if was != is_)


def folded_text(read: tuple[ReadBefore, ...], now: ClockMark) -> str:
    """Return the cautions that fold in one line: who read them, when, and what they are about."""
    last = max((one.entry for one in read), key=lambda entry: entry.seq)
    about = ", ".join(one.caution.id.replace("_", " ") for one in read)
    return f"Read by {last.operator} on {clock_time(last.mark, today=now)}, unchanged: {about}."


def ask_folded(hand: Hand, work: "StageWork", read: tuple[ReadBefore, ...]) -> Question:
    """Ask for all cautions that fold at once; ``cautions`` opens them one by one."""

    def known() -> str:
        for one in read:
            work.acknowledge(hand.build_id, one.caution.id, as_stored(hand, one.caution))
        return "known: " + ", ".join(one.caution.id.replace("_", " ") for one in read)

    def opened() -> None:
        hand.cautions_opened = True

    def deed(text: str) -> Deed:
        word = text.strip().casefold()
        if word in ("cautions", "open"):
            return Deed(told="open them one by one", do=opened)
        if word in ("known", "read", "yes", "ok"):
            return Deed(told="known", do=known)
        raise InputError("Enter where you know them; or type cautions to read each again")

    return asked_once(
        deed,
        key="cautions known",
        ask=f"{counted(len(read), 'caution')} that you read before, unchanged. Still known?",
        hint="cautions opens them one by one",
        proposal="known",
    )


def ask_one(hand: Hand, work: "StageWork", caution: Caution, *, left: int) -> Question:
    """Ask for one caution, by Enter or by the state that is typed; ``left``: how many are unanswered with it."""
    text = as_stored(hand, caution)

    def acknowledge() -> str:
        work.acknowledge(hand.build_id, caution.id, text)
        return f"{left - 1} more to read" if left > 1 else "all cautions are read"

    before = last_read(hand, work, caution)
    changed = ""
    if before is not None and isinstance(before.payload, CautionAcknowledged) and before.payload.text != text:
        since = clock_time(before.mark, today=hand.book.clock.now())
        figures = what_changed(worded(caution.text), before.payload.text, text)
        if before.build == hand.build_id:
            changed = f"It has changed since {since}"
        else:
            changed = f"Not as you read it at {since} for {clip(hand.book.build(before.build).name, 24)}"
        changed = f"{changed}{f': {figures}' if figures else ''}. "
    if caution.state:
        return _ask_state(caution, acknowledge, changed)
    return asked_word(
        "read",
        "yes",
        "ok",
        "done",
        key=f"caution {caution.id}",
        ask=f"{changed}Read the caution marked now, and do what it says.",
        hint="One at a time: press Enter once it is read and done.",
        do=acknowledge,
    )


def _ask_state(caution: Caution, acknowledge: Callable[[], str], changed: str) -> Question:
    word = caution.state.split()[-1]

    def deed(text: str) -> Deed:
        if " ".join(text.casefold().split()) not in (caution.state, word):
            typed = f"{clip(text)} is not the word" if text.strip() else "Enter alone does not answer this one"
            raise InputError(f"{typed}: type {caution.state} once it is so")
        return Deed(told=caution.state, do=acknowledge)

    return asked_once(
        deed,
        key=f"caution {caution.id}",
        ask=f"{changed}Do what the caution marked now says. Once it is so, type: {caution.state}",
        hint=f"{word} is enough; it is typed, since somebody may get hurt",
        placeholder=caution.state,
    )


def note_beside(hand: Hand, asked: Question) -> Question:
    """Return the question for a caution with ``note`` among its answers, which leaves the caution asked."""

    def deed(text: str) -> Deed:
        word, rest = command(text, ("note",))
        try:
            return asked.deed(text)
        except InputError:
            if not word:
                raise
        return hand.note_deed(rest)

    return with_reader(asked.prompt, deed)
