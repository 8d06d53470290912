"""Whether pins of a cable that must be apart are apart: every rail against every other and against COM."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.procedure.pins import Net
from commission.stages.first_power.model.cables import OPEN_OHM

if TYPE_CHECKING:
    from commission.procedure.pins import Connector
    from commission.stages.first_power.model.cables import CableTest, ShortReading

FINGERS_OHM = 100e3
"""Between this and open, fingers or moisture are as likely as a fault [ohm]; our choice: between this and open, dry
skin and damp plugs read too."""
SENSE_OHM = 10.0
"""A sense pin within this of COM is connected [ohm]; our choice: far above any wire, far below any resistor."""


class ShortsFound(Frozen):
    """What the readings between pins show."""

    faults: tuple[Phrase, ...]
    """Pins that are joined and must not be, or that are apart and must not be."""
    missing: tuple[Phrase, ...]
    """What is still to be measured."""


def must_be_apart(first: Net | None, second: Net | None) -> bool:
    """Tell whether two pins must not be joined.

    Parameters
    ----------
    first, second
        What the pins carry; None where the connector has no such pin [word].

    Returns
    -------
    bool
        Whether a joint would be a short [yes or no].

    Notes
    -----
    Pins that carry the same may be joined at the supply end. Sense pins belong to COM; sideband pins may be tied to
    COM or left open.

    Examples
    --------
    >>> must_be_apart(Net.V12, Net.COM), must_be_apart(Net.V12, Net.V12), must_be_apart(Net.SENSE, Net.COM)
    (True, False, False)
    """
    if first is None or second is None or first is second or Net.UNUSED in (first, second):
        return False
    low = {Net.COM, Net.SENSE, Net.SIDEBAND}
    return not {first, second} <= low


def judge_shorts(test: CableTest) -> ShortsFound:
    """Judge the readings between pins of one end.

    Returns
    -------
    ShortsFound
        Faults, and what is missing [words].

    Notes
    -----
    Needed: each pin with a voltage or signal against some COM pin, each pair of rails once, each sense pin against
    COM. Joining all COM pins with a clip makes that one touch a pin. Above 10 megohm counts as open.

    Source: practice of the cable trade, tables of its standard not read; thresholds our own choice.

    Examples
    --------
    A sense pin that reads 0 to COM is as it should be; a supply pin is not:

    >>> from commission.stages.first_power.model.cables import Cable, CableTest, Meter, ShortReading
    >>> from commission.procedure.pins import Connector, Pin
    >>> pins = (Pin(name="1", net=Net.V12), Pin(name="4", net=Net.SENSE), Pin(name="5", net=Net.COM))
    >>> plug = Connector(id="x", title="x", pins=pins, source="", note="")
    >>> cable = Cable(name="a", connector=plug, wires=(), gauge=18, length_m=0.6)
    >>> read = tuple(ShortReading(first=pin, second="5", ohm=0.3) for pin in "14")
    >>> found = judge_shorts(CableTest(cable=cable, meter=Meter(lead_ohm=0.2), unplugged=True, shorts=read))
    >>> [fault.code for fault in found.faults], found.missing
    (['short'], ())
    """
    plug = test.cable.connector
    faults, missing = [], []
    for each in test.shorts:
        nets = plug.net(each.first), plug.net(each.second)
        if set(nets) == {Net.SENSE, Net.COM}:
            if each.ohm is None or each.ohm > SENSE_OHM:
                said = f"Pins {each.first} and {each.second} are apart: the sense pin must go to COM."
                faults.append(Phrase("sense_open", said))
        elif must_be_apart(*nets) and each.ohm is not None and each.ohm < OPEN_OHM:
            said = f"Pins {each.first} ({nets[0]}) and {each.second} ({nets[1]}) read {_shown(each.ohm)}"
            if each.ohm < FINGERS_OHM:
                faults.append(Phrase("short", f"{said}: they must be apart. Do not plug it in."))
            else:
                said += ": keep fingers off the probes, dry the plug, and measure again; above 10 megohm is open."
                missing.append(Phrase("not_quite_open", said))
    return ShortsFound(faults=tuple(faults), missing=(*missing, *_unread(plug, test.shorts)))


def _shown(ohm: float) -> str:
    if ohm >= 1e6:
        return f"{ohm / 1e6:.3g} megohm"
    return f"{ohm / 1e3:.3g} kilohm" if ohm >= 1e3 else f"{ohm:.3g} ohm"


def _unread(plug: Connector, readings: tuple[ShortReading, ...]) -> list[Phrase]:
    """Return the pins that were not measured against COM, and the pairs of rails that were not against each other."""
    pairs = [((a.first, a.second), {plug.net(a.first), plug.net(a.second)}) for a in readings]
    against_com = {pin for pins, nets in pairs if Net.COM in nets for pin in pins}
    needed = [pin for pin in plug.pins if pin.net not in {Net.COM, Net.UNUSED, Net.SIDEBAND}]
    unread = [pin.name for pin in needed if pin.name not in against_com]
    found = []
    if unread:
        said = f"Measure against COM: pin {', '.join(unread)}. A clip that joins all COM pins saves touches."
        found.append(Phrase("unread_against_com", said))
    nets = list(dict.fromkeys(pin.net for pin in needed if pin.net is not Net.SENSE))
    seen = [nets for _, nets in pairs]
    apart = [f"{a} and {b}" for a, b in combinations(nets, 2) if {a, b} not in seen]
    if apart:
        found.append(Phrase("unread_rails", f"Measure against each other, one pin each: {'; '.join(apart)}."))
    return found
