"""How the rows of a bench card are shared out among its bands."""

from dataclasses import dataclass

from commission.ui.widgets.words import wrap

SOME = 8
"""Rows of what is known that come before the cautions and what the stage proves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRows:
    """Rows of each band."""

    proves: int
    """What the stage proves."""
    cautions: int
    """Its cautions."""
    now: int
    """What is to be done now."""
    known: int
    """What is known."""


def share_rows(height: int, wanted: BandRows, *, cautions_open: bool = False, known_least: int = 8) -> BandRows:
    """Return the rows that each band gets of `height`.

    The do-now band comes first and is never cut while there is room for it at all. Then what is known gets some
    rows, the cautions one and what the stage proves one; then what is known its least; only then do the others grow.
    While the cautions are the step they come before what is known.

    Examples
    --------
    >>> share_rows(20, BandRows(proves=2, cautions=1, now=5, known=14))
    BandRows(proves=2, cautions=1, now=5, known=12)
    >>> share_rows(9, BandRows(proves=2, cautions=1, now=5, known=14))
    BandRows(proves=0, cautions=0, now=5, known=4)
    """
    given = {"proves": 0, "cautions": 0, "now": 0, "known": 0}
    wants = {"proves": wanted.proves, "cautions": wanted.cautions, "now": wanted.now, "known": wanted.known}
    left = height
    order = [("now", wanted.now)]
    if cautions_open:
        order += [("cautions", 6), ("proves", 1), ("cautions", wanted.cautions)]
    else:
        order += [("known", SOME), ("cautions", 1), ("proves", 1), ("known", known_least)]
    order += [("proves", wanted.proves), ("cautions", wanted.cautions), ("known", wanted.known)]
    for band, rows in order:
        more = max(0, min(left, rows - given[band], wants[band] - given[band]))
        given[band] += more
        left -= more
    return BandRows(**given)


def share_line(rows: int, width: int, ask: str, hint: str, note: str) -> tuple[int, int, int]:
    """Return the rows of instruction, hint and what is said, beside the one in which is typed: the hint goes first."""
    left = rows - 1
    note_rows = max(0, min(left - 1, max(1, len(wrap(note, width)))))
    left -= note_rows
    ask_rows = min(left, len(wrap(ask, width)))
    return ask_rows, min(left - ask_rows, len(wrap(hint, width)) if hint else 0), note_rows
