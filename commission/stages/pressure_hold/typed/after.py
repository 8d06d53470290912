"""What a line does after a hold: the pressure let down."""

import re
from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.deed import Deed, said
from commission.stages.pressure_hold.work.let_down import refuse_not_zero, zero_text
from commission.units.parse import parse
from commission.units.show import show

if TYPE_CHECKING:
    from commission.stages.pressure_hold.at_hand import HoldAtHand


def let_down_deed(hand: "HoldAtHand", text: str) -> Deed:
    """Return what a gauge at zero does, such as ``0 mbar`` or ``3 mbar valve open``.

    Raises
    ------
    InputError
        If it cannot be read.
    NotAllowed
        If no hold was ended yet, or the gauge does not stand at zero.
    """
    gauge = hand.work.last_gauge(hand.state)
    unit = gauge.unit if gauge.quantity is Quantity.GAUGE_PRESSURE else "mbar"
    shows, is_open = _parted(re.sub(r"^\s*vented\b", "", text, flags=re.IGNORECASE))
    value = parse(shows, Quantity.GAUGE_PRESSURE, usual=unit)
    refuse_not_zero(gauge, value, valve_open=is_open)
    shown = show(value.si, Quantity.GAUGE_PRESSURE, unit=unit, resolution=gauge.resolution)
    told = f"gauge {shown}{', valve open' if is_open else ''}; {zero_text(gauge)}"
    return said(
        told,
        lambda: hand.work.let_down(hand.build_id, value, valve_open=is_open),
        answer=f"the pressure is down, {told}",
    )


def _parted(text: str) -> tuple[str, bool]:
    """Part what the gauge shows from the words ``valve open``."""
    shows = text.strip()
    for words in ("valve open", "open"):
        if shows.casefold().endswith(words):
            return shows[: -len(words)].rstrip(" ,;"), True
    return shows, False
