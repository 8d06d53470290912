"""What comment lines above the rows of a hold's file say of it: they have no time, so they count for the whole."""

import re
from collections.abc import Iterable

from commission.base.quantity import Phrase
from commission.base.text import braced, clip
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.entries import SourceOff
from commission.stages.pressure_hold.judge.note_words import (
    AGAIN,
    EARLIER,
    HEARD,
    PUMPED,
    TIMED,
    TOLD,
    TOUCHED,
    barring,
)
from commission.stages.pressure_hold.model import HoldVerdict

MOST_TOLD = 2
"""So many lines are told beside a pass [1]; our choice: as many as of the notes between the rows."""


def with_head(verdict: HoldVerdict, head: Iterable[str], source: SourceOff | None) -> HoldVerdict:
    """Return a verdict that is no pass where a line above the rows says what bars one; other words of air are told.

    How it began stands there too: that it was pumped up, or that a fitting was seated, bars nothing unless it was done
    again or at a time.

    Parameters
    ----------
    head
        Free comment lines above the first row, or notes that hold several with semicolons between.
    source
        How the source was off.
    """
    lines = [line.strip() for note in head for line in note.split("; ")]
    if verdict.outcome is not Outcome.PASS:
        return verdict
    for pattern, code, then in barring(source):
        found = next((line for line in lines if _bars(line, pattern) and not EARLIER.search(line)), None)
        if found is not None:
            return verdict.undecided(_noted(found, code, then))
    told = [line for line in lines if any(pattern.search(line) for pattern in (TOLD, PUMPED, HEARD))]
    return verdict.telling(*(_noted(line, "noted", "") for line in told[-MOST_TOLD:]))


def _bars(line: str, pattern: re.Pattern[str]) -> bool:
    """Return whether a line bars by a pattern; what may be how the hold began does so where it was done in between.

    >>> _bars("pumped up to 500 mbar", PUMPED), _bars("topped up at 30 min", PUMPED), _bars("seal replaced", TOUCHED)
    (False, True, False)
    """
    if pattern in (PUMPED, TOUCHED) and not TIMED.search(line):
        return pattern is PUMPED and AGAIN.search(line) is not None
    return pattern.search(line) is not None


def _noted(line: str, code: str, then: str) -> Phrase:
    return Phrase(code, f"Noted in the file: {braced(clip(line))}.{then}")
