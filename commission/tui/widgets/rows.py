"""How the rows of a bench card are shared out among its bands."""

from dataclasses import dataclass


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

    The do-now band comes first and is never cut while there is room for it at all. Then what is known gets its
    least, the cautions a line and what the stage proves a line; only then do they grow. While the cautions are the
    step they come before what is known.

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

    def give(band: str, rows: int) -> None:
        nonlocal left
        more = max(0, min(left, rows - given[band], wants[band] - given[band]))
        given[band] += more
        left -= more

    give("now", wanted.now)
    if cautions_open:
        give("cautions", 6)
        give("proves", 1)
        give("cautions", wanted.cautions)
    else:
        give("known", known_least)
        give("cautions", 1)
        give("proves", 1)
    give("proves", wanted.proves)
    give("cautions", wanted.cautions)
    give("known", wanted.known)
    return BandRows(**given)
