"""What a note says that bars a pass: air went in or was heard, the gauge was shut off, a hand was at it."""

import re

from commission.stages.pressure_hold.entries import SourceOff

PUMPED = re.compile(
    r"\b(pump(ed)? (it )?up|pumped (again|to)|repumped|topp?(ed)? (it )?(up|to)|refilled|reopened|re-?pressuri[sz]ed"
    r"|(?<!no )strokes?|squeezed"
    r"|(added|let in) (some |more )?air|air (added|let in)|opened (the |a )?valve|valve (was )?opened)\b",
    re.IGNORECASE,
)
"""Notes that say that air went in again; our choice: what a builder writes who had to."""
_OF_THE_LOOP = r"(valve|cock|tap|hose|pump|block|radiator|reservoir|port|plug|cap|joint|fitting|tube|seal|drain)s?"
HEARD = re.compile(
    r"(?<!no )(?<!not )\b(hiss(es|ed|ing)?|bubbles|whistl(es?|ed|ing))\b"
    rf"|\b{_OF_THE_LOOP} ((?!no\b|not\b|never\b)\w+ )?(seep|leak)(s|ed|ing)?\b(?! (test|check|watch|rate|limit)|-)"
    rf"|(?<!no )(?<!not )\bleaks? (at|from) (the )?{_OF_THE_LOOP}\b(?!('s)? pressure)",
    re.IGNORECASE,
)
"""Notes that say that air was heard or seen to come out, or to seep in; our choice: these words, unless denied."""
TOUCHED = re.compile(
    r"(?<!no )(?<!not )\b(re-?(seated|fitted)|(re-?)?tighten(ed|ing)|nipped( up)?"
    r"|swapped|replaced|unscrewed|loosened)\b",
    re.IGNORECASE,
)
"""Notes that say that a hand was at a joint or an instrument; our choice: what a builder writes who could not wait."""
SHUT_OFF = re.compile(
    r"\bgauge('s)? ((valve|cock|tap) )?(was |is )?(shut|closed|isolated|disconnected|off the loop)\b"
    r"|\b(valve|cock|tap)\b[^.;]{0,15}\bgauge\b[^.;]{0,15}\b(shut|closed)\b",
    re.IGNORECASE,
)
"""Notes that say that the gauge did not see the loop; our choice: what a builder writes who shut its valve."""
FED = re.compile(
    r"^(?!.*\b(valve|cock|tap)\b.*\b(shut|closed)\b).*"
    r"\b((source|compressor|regulator|bottle|cylinder) ((is|was|left|stays|stayed|still) ){0,2}(on|open|connected)"
    r"|(pump|hose|line) ((is|was) )?(still|left|stays|stayed) (on|open|connected|running))\b(?! (the|a|its)\b)",
    re.IGNORECASE | re.DOTALL,
)
"""Notes that say that the source still fed the loop; our choice: what a builder writes, where no valve was shut."""
AGAIN = re.compile(
    r"\b(pump(ed)? (it )?(up )?(again|once more)|repumped|re-?pressuri[sz]ed|refilled|reopened)\b", re.IGNORECASE
)
"""Notes above the rows that say that air went in while it was held; our choice: pumped up alone is how it began."""
TIMED = re.compile(r"\b(at|after) \d+ ?(s|min|minutes?|h|hours?)\b", re.IGNORECASE)
"""What puts a note above the rows between them, such as at 30 min."""
EARLIER = re.compile(
    r"\b(before (this|the) (hold|file|rows?|start)|earlier|previous\w*|last (hold|time|try)|first (hold|try)"
    r"|then (began|begun|started)|gone|fixed|mended)\b",
    re.IGNORECASE,
)
"""What puts a note above the rows before them; our choice of words."""
TOLD = re.compile(r"\b(pumped|valve|cock)\b", re.IGNORECASE)
"""Notes above the rows that are told, too; our choice: how air went in, and how it was shut off."""
BARRING = (
    (PUMPED, "noted_pumped_again", " Air that goes in hides what leaks out: hold again."),
    (HEARD, "noted_leaking", " That speaks of a leak: find it, then hold again."),
    (SHUT_OFF, "noted_gauge_shut_off", " The gauge then shows its own hose, not the loop: hold again."),
    (FED, "noted_source_on", " Air that feeds in hides what leaks out: part the source off, then hold again."),
    (TOUCHED, "noted_worked_at", " What was done in the middle is not what stood before: hold again."),
)
"""Notes that are no pass, in this order: what they say, the code of the reason, and what it means."""


def barring(source: SourceOff | None) -> tuple[tuple[re.Pattern[str], str, str], ...]:
    """Return the notes that are no pass; that the pump is on is none where it is part of the loop."""
    return tuple(one for one in BARRING if one[0] is not FED or source is not SourceOff.PUMP_LEFT)


def bars(note: str) -> bool:
    """Return whether a note bars a pass.

    >>> bars("gave it two strokes"), bars("nipped up the cap"), bars("no hiss"), bars("pump off, all still")
    (True, True, False, False)
    >>> bars("valve between gauge and loop shut"), bars("gauge valve shut"), bars("shut the valve at the pump")
    (True, True, False)
    """
    return any(pattern.search(note) for pattern, _, _ in BARRING)
