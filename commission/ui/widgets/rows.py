"""How the rows of a bench card are shared out among its bands."""

from commission.base.frozen import Frozen
from commission.ui.widgets.words import wrap

SOME = 8
"""Rows of the details that come before the cautions and the goal."""
STAYS = 3
"""Rows of a caution that stays once it was read: they come before more of the details."""


class BandRows(Frozen):
    """Rows of each band."""

    result: int
    """The verdict with its reason; before there is one, what the stage proves."""
    safety: int
    """The cautions of the stage."""
    now: int
    """What is to be done now."""
    details: int
    """What is known."""
    shown: int = 0
    """Rows of what is to be done now that come before cautions which are shown and not asked; 0 where none are."""
    assumes: bool = False
    """Whether the result says what was assumed, of which any row is worth having."""


def share_rows(height: int, wanted: BandRows, *, cautions_open: bool = False, judged: bool = False) -> BandRows:
    """Return the rows that each band gets of `height`.

    The do-now band comes first and is never cut while there is room for it at all; then a verdict with its reason. Then
    the details get some rows, a caution that stays its own, and the goal the rows that it takes, or none; only then do
    all grow. While the cautions are the step they come before the details. Cautions that are shown and not asked are
    cut after all else: nobody asks for them again.

    Examples
    --------
    >>> share_rows(20, BandRows(result=2, safety=1, now=5, details=14))
    BandRows(result=2, safety=1, now=5, details=12, shown=0, assumes=False)
    >>> share_rows(9, BandRows(result=5, safety=1, now=4, details=14), judged=True)
    BandRows(result=5, safety=0, now=4, details=0, shown=0, assumes=False)
    >>> share_rows(16, BandRows(result=2, safety=9, now=7, details=14, shown=5))
    BandRows(result=0, safety=9, now=7, details=0, shown=0, assumes=False)
    """
    given = {"result": 0, "safety": 0, "now": 0, "details": 0}
    wants = {"result": wanted.result, "safety": wanted.safety, "now": wanted.now, "details": wanted.details}
    left = height
    order = [("now", wanted.shown or wanted.now), ("result", wanted.result if judged else 0)]
    if wanted.shown:
        order += [("safety", wanted.safety), ("now", wanted.now), ("result", wanted.result)]
    elif cautions_open:
        order += [("safety", 6), ("result", wanted.result), ("safety", wanted.safety)]
    else:
        order += [("details", SOME), ("safety", min(wanted.safety, STAYS)), ("result", wanted.result)]
    order += [("details", wanted.details), ("safety", wanted.safety)]
    for band, rows in order:
        more = max(0, min(left, rows - given[band], wants[band] - given[band]))
        if band == "result" and not (judged or wanted.assumes) and more < wanted.result:
            continue  # half a sentence says less than a row of what comes next
        given[band] += more
        left -= more
    given["result"] += max(0, min(left, wants["result"] - given["result"]))  # nobody else wants them
    return BandRows(result=given["result"], safety=given["safety"], now=given["now"], details=given["details"])


def share_line(rows: int, width: int, ask: str, hint: str, note: str) -> tuple[int, int, int]:
    """Return the rows of instruction, hint and what is said, beside the one in which is typed: the hint goes first."""
    left = rows - 1
    note_rows = max(0, min(left - 1, max(1, len(wrap(note, width)))))
    left -= note_rows
    ask_rows = min(left, len(wrap(ask, width)))
    return ask_rows, min(left - ask_rows, len(wrap(hint, width)) if hint else 0), note_rows
