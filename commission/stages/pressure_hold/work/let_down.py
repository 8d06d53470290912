"""When a gauge counts as at zero after a hold, and what to say where it does not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.quantity import Quantity
from commission.record.machine.instrument import GaugeFace
from commission.units.show import show

if TYPE_CHECKING:
    from commission.base.quantity import Measured
    from commission.record.machine.instrument import Instrument


def zero_of(gauge: Instrument) -> float:
    """Return within what a gauge counts as at zero [Pa].

    Returns
    -------
    float
        One step of a digital display, whose last digit may flicker; half of what a dial is read to, for a needle
        nearer to the next mark than to zero is not at zero. Our choice: no finer zero can be read off the gauge.
    """
    return gauge.resolution / 2 if gauge.face is GaugeFace.DIAL else gauge.resolution


def zero_text(gauge: Instrument) -> str:
    """Return what counts as zero on a gauge, in words.

    Examples
    --------
    >>> from commission.record.machine.instrument import Instrument, InstrumentKind
    >>> display = Instrument(
    ...     instrument_id="", kind=InstrumentKind.GAUGE, name="bench gauge", unit="mbar", resolution=10.0,
    ...     accuracy=500.0, low=0.0, high=1e5,
    ... )
    >>> zero_text(display)
    'zero is at most 0.1 mbar: one step of its display'
    """
    what = "half of what its dial is read to" if gauge.face is GaugeFace.DIAL else "one step of its display"
    return f"zero is at most {_shown(gauge, zero_of(gauge))}: {what}"


def _shown(gauge: Instrument, pa: float) -> str:
    """Return a pressure in the unit on the gauge's face, which is what is read off it, whatever unit a person chose."""
    unit = gauge.unit if gauge.quantity is Quantity.GAUGE_PRESSURE else "mbar"
    return show(pa, Quantity.PRESSURE_DIFFERENCE, unit=unit)


def refuse_not_zero(gauge: Instrument, read: Measured, *, valve_open: bool = False) -> None:
    """Refuse a gauge that is not at zero.

    Parameters
    ----------
    valve_open
        Whether the loop stands open to the room; then what the gauge shows is its own error, up to what its maker
        states.

    Raises
    ------
    NotAllowed
        If it shows pressure; the message says what counts as zero.
    """
    if abs(read.si) <= zero_of(gauge) or (valve_open and abs(read.si) <= gauge.accuracy):
        return
    shows = f"the gauge shows {_shown(gauge, read.si)}, and {zero_text(gauge)}"
    if valve_open:
        raise NotAllowed(
            f"{shows}. That is more than its own error ({_shown(gauge, gauge.accuracy)}): look for a blocked hose."
        )
    raise NotAllowed(f'{shows}. Let the pressure down; if it stays there with the valve open, add "valve open".')
