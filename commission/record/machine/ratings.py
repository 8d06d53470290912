"""No pressure above a rating, and none on a part whose rating nobody knows: one place for screen and shell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.quantity import Quantity
from commission.record.machine.loop import names_of, unrated_parts, weakest_part

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.record.machine.parts import Part


def refuse_unrated(parts: Sequence[Part], *, can_leave_out: bool = True) -> None:
    """Refuse pressure on parts of which nobody knows what they withstand.

    Parameters
    ----------
    can_leave_out
        Whether a part may still be taken out of the way of the pressure.

    Raises
    ------
    NotAllowed
        If one has no rating; the message names all of them.
    """
    unrated = unrated_parts(parts)
    if not unrated:
        return
    each = "it" if len(unrated) == 1 else "each"
    way = f"Rate {each}, or leave {each} out of the test with a reason." if can_leave_out else f"Rate {each} first."
    raise NotAllowed(f"no pressure yet: no rating is known of {names_of(unrated)}. {way}")


def refuse_above_rating(
    parts: Sequence[Part], gauge_pa: float, what: str, *, can_leave_out: bool = True, planned: bool = False
) -> None:
    """Refuse a pressure above the rating of the weakest part; a gauge's error is no excuse, for it can err low too.

    Parameters
    ----------
    gauge_pa
        The pressure [Pa gauge].
    what
        What it is, such as ``the test pressure``.
    can_leave_out
        Whether the weakest part may still be taken out of the way of the pressure.
    planned
        Whether nothing is under pressure yet.

    Raises
    ------
    NotAllowed
        If it is above it.
    """
    weakest = weakest_part(parts)
    if weakest is None or weakest.max_gauge_pa is None or gauge_pa <= weakest.max_gauge_pa:
        return
    way = ", or leave that part out of the test" if can_leave_out else ""
    from commission.units.show import show

    asked, rated = (show(pa, Quantity.GAUGE_PRESSURE, own="mbar", digits=6) for pa in (gauge_pa, weakest.max_gauge_pa))
    do = f"Plan {rated} at the most" if planned else "Let pressure off"
    raise NotAllowed(f"{what} {asked} is above the rating of the weakest part, {weakest.name} ({rated}). {do}{way}.")


def refuse_standing(part: Part, parts: Sequence[Part]) -> None:
    """Refuse to leave a part out of the test that stands it: what is left out was not proved.

    Parameters
    ----------
    parts
        The parts that the pressure reaches so far.

    Raises
    ------
    NotAllowed
        If it has a rating and no other part that has one is rated higher.
    """
    if part.max_gauge_pa is None:
        return
    others = [one.max_gauge_pa for one in parts if one.part_id != part.part_id and one.max_gauge_pa is not None]
    if any(part.max_gauge_pa < one for one in others):
        return
    from commission.units.show import show

    rated = show(part.max_gauge_pa, Quantity.GAUGE_PRESSURE, own="mbar", digits=6)
    raise NotAllowed(
        f"{part.name} is rated {rated} and stands the test. Only a part that is rated lower than another, or not at "
        "all, may be left out"
    )
