"""The verdicts of a record from outside, judged once more: each by the work of its stage, as the record then stood.

What was done is done again on a record that ends just before it, with the clocks of its entry. So all that the work
refuses is refused here as well. Where this program wrote the entry, its own verdict stands in its place for what rests
on it: whatever else was written into the stored one does not count.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable
from typing import TYPE_CHECKING, cast

from commission.base.errors import CommissionError
from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.record.entries import SessionOpened
from commission.record.payload import Ending, kind_shown
from commission.record.so_far import SoFar, as_judged
from commission.units.show import say

if TYPE_CHECKING:
    from commission.record.face import Registry
    from commission.record.logged import Logged, SampleColumns
    from commission.record.payload import Verdict

_WORTH = {Outcome.FAIL: 0, Outcome.INVALID: 1, Outcome.INCONCLUSIVE: 1, Outcome.PASS: 2}
"""Which word says more for what was judged [1]; our choice: only a pass opens a stage, only a fail bars one."""


class Again(Frozen):
    """What came of judging verdicts again, each in one line."""

    refusals: tuple[str, ...] = ()
    """Verdicts that what stands before them does not support."""
    told: tuple[str, ...] = ()
    """Those of another program, where they are to stay as stored."""


def judge_again(
    registry: Registry,
    program: str,
    entries: Iterable[Logged],
    samples: Callable[[str], SampleColumns],
    wanted: Container[int] | None = None,
    *,
    as_stored: bool = False,
) -> Again:
    """Judge the verdicts of a record again, in order.

    Whoever changes a bundle can change the name of the program in it, too: another name is no reason to trust a word.

    Parameters
    ----------
    registry
        The stages; their ``again`` says what is done once more.
    program
        Version of this program.
    entries, samples
        The record: all its entries in order, and what returns the samples of a series.
    wanted
        Numbers of the entries whose verdicts are looked at; None: all.
    as_stored
        Whether verdicts of another program that this one would not give stay as stored, since somebody wishes so.
    """
    so_far = SoFar(registry, program, samples)
    refusals, told, session = list[str](), list[str](), ""
    for entry in entries:
        if isinstance(entry.payload, SessionOpened):
            session = entry.payload.program
        if stored_word(registry, entry) in (None, Outcome.FAIL) or (wanted is not None and entry.seq not in wanted):
            so_far.grow(entry)
            continue
        by = getattr(entry.payload, "program", "") or session
        own = by == program
        so_far.book.program = by  # what the first version did not ask is not missing in what it judged
        found, said = _judged(so_far, entry, "" if own else f" by program {by or 'not named'}")
        if said and as_stored and not own:
            told.append(said)
        elif said:
            refusals.append(said if own else f"{said} (--as-stored takes it as it stands)")
        so_far.grow(as_judged(entry, found) if own and found is not None else entry)
    return Again(refusals=tuple(refusals), told=tuple(told))


def stored_word(registry: Registry, entry: Logged) -> Outcome | None:
    """Return the word of the verdict that an entry holds; None where no stage can judge that again."""
    face = registry.of(entry.payload)
    if face is None or type(entry.payload) not in face.again:
        return None
    return cast(Ending, entry.payload).verdict.outcome


def _judged(so_far: SoFar, entry: Logged, by: str) -> tuple[Verdict | None, str]:
    """Return the verdict that the work finds, and what is to be said where the stored one says more."""
    face, stored = so_far.book.registry.of(entry.payload), cast(Ending, entry.payload).verdict.outcome
    assert face is not None  # it has judged before
    word = face.id.replace("_", " ") if isinstance(entry.payload, face.ends) else kind_shown(entry.payload)
    said = f"entry {entry.seq}: {word} stored as {stored}{by}"
    try:
        with so_far.before(entry) as aside:
            face.again[type(entry.payload)](so_far.book, entry)
    except (CommissionError, ArithmeticError, ValueError) as error:
        return None, f"{said}, but this program refuses it: {error}"
    found = next(cast(Ending, one).verdict for one in reversed(aside) if one.KIND == entry.payload.KIND)
    if _WORTH[stored] <= _WORTH[found.outcome]:
        return found, ""
    why = "".join(f": {say(reason)}" for reason in found.reasons[:1])
    return found, f"{said}, what stands before it judges {found.outcome}{why}"
