"""What happened between the readings of a pass: nobody knows of two, and a note may say what no reading shows."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced, clip
from commission.base.verdict import Outcome

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.pressure_hold.model import HoldVerdict

PUMPED = re.compile(
    r"\b(pump(ed)? (it )?up|pumped again|repumped|topp?(ed)? (it )?up|refilled|reopened|re-?pressuri[sz]ed"
    r"|(added|let in) (some |more )?air|air (added|let in)|opened (the |a )?valve|valve (was )?opened)\b",
    re.IGNORECASE,
)
"""Notes that say that air went in again; our choice: what a builder writes who had to."""
HEARD = re.compile(r"(?<!no )(?<!not )\b(hiss(es|ed|ing)?|bubbles)\b", re.IGNORECASE)
"""Notes that say that air was heard or seen to come out; our choice: these two words, unless denied."""
FEWEST_TO_PASS = 3
"""Readings that a pass needs [1]; our choice: of two, nobody sees whether the pressure fell and was pumped up again."""
TOLD_NOTES = 2
"""So many notes are told beside a pass [1]; our choice: they stand in the log in full."""


def with_between(verdict: HoldVerdict, notes: Sequence[tuple[float, str]], first_s: float) -> HoldVerdict:
    """Return a verdict that is no pass by two readings, or where a note says that it was pumped up again.

    Other notes are told beside a pass.

    Parameters
    ----------
    verdict
        What the readings prove.
    notes
        When something was noted [s], and what, in order.
    first_s
        Time of the first reading [s]: what was noted by then is how the hold began.

    Returns
    -------
    HoldVerdict
        Anything but a pass stands as it is.

    Raises
    ------
    ValueError
        Never.
    """
    if verdict.outcome is Outcome.PASS and verdict.readings < FEWEST_TO_PASS:
        few = Phrase(
            "too_few_to_pass",
            "Two readings do not show what happened between them. Hold again, and read at least once in between.",
        )
        return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(few, *verdict.reasons), hold_needed_s=None)
    noted = [(at, text) for at, text in notes if at > first_s and text.strip()]
    if verdict.outcome is not Outcome.PASS or not noted:
        return verdict
    again = next(((at, text) for at, text in noted if PUMPED.search(text)), None)
    if again is not None:
        said = _told(*again, "noted_pumped_again", " Air that goes in hides what leaks out: hold again.")
        return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(said, *verdict.reasons), hold_needed_s=None)
    heard = next(((at, text) for at, text in noted if HEARD.search(text)), None)
    if heard is not None:
        said = _told(*heard, "noted_leaking", " That speaks of a leak: find it, then hold again.")
        return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(said, *verdict.reasons), hold_needed_s=None)
    told = [_told(at, text, "noted", "") for at, text in noted[-TOLD_NOTES:]]
    return replace(verdict, reasons=(*verdict.reasons[:1], *told, *verdict.reasons[1:]))


def _told(at_s: float, text: str, code: str, then: str) -> Phrase:
    noted = braced(clip(text))
    return Phrase(code, f"Noted at {{0}}: {noted}.{then}", (Amount(Quantity.DURATION, at_s),))
