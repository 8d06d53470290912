"""Whether each wire of a cable leads where it should: readings from end to end against the map."""

from __future__ import annotations

from statistics import median
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.stages.first_power.model.cables import CableTest, ContinuityReading, Meter

OUTLIER = 2.0
"""A wire of more than so many times the median of its cable has a bad crimp [1]; our choice: equal wires of one cable
differ by a few per cent, a bad crimp by several times."""
FEWEST_TO_COMPARE = 3
"""Wires from which on the median tells an outlier [1]; our choice: of two wires neither is the odd one out."""


class MapFound(Frozen):
    """What the readings from end to end show."""

    proven: int
    """Wires that lead where they should."""
    faults: tuple[Phrase, ...]
    """Wires that do not, and connections that should not be."""
    missing: tuple[Phrase, ...]
    """What is still to be measured."""


def true_ohm(ohm: float, meter: Meter) -> float:
    """Return a reading without the meter's leads.

    Parameters
    ----------
    ohm
        What the meter showed [ohm].

    Returns
    -------
    float
        Resistance of the wire; a four-wire meter has no leads to take off [ohm].

    Notes
    -----
    May be slightly negative by the steps of the display.

    Examples
    --------
    >>> from commission.stages.first_power.model.cables import Meter
    >>> round(true_ohm(0.5, Meter(lead_ohm=0.3)), 2)
    0.2
    """
    return ohm if meter.four_wire else ohm - (meter.lead_ohm or 0.0)


def judge_map(test: CableTest, most_ohm: float) -> MapFound:
    """Compare the readings from end to end with the map of a cable.

    Parameters
    ----------
    most_ohm
        Resistance up to which a wire counts as connected [ohm].

    Returns
    -------
    MapFound
        Wires proven, faults, and what is missing [words].

    Notes
    -----
    A connection that is not on the map is a fault, unless both pins carry the same: pins of one rail may be joined.
    Where a pin was read more than once the last reading counts.

    Examples
    --------
    A cable with its two wires swapped:

    >>> from commission.stages.first_power.model.cables import Cable, CableTest, ContinuityReading, Meter
    >>> from commission.procedure.pins import Connector, Net, Pin, Wire
    >>> pins = (Pin(name="1", net=Net.COM), Pin(name="2", net=Net.V12))
    >>> plug = Connector(id="x", title="x", pins=pins, source="", note="")
    >>> wires = (Wire(load="1", supply="1"), Wire(load="2", supply="2"))
    >>> cable = Cable(name="a", connector=plug, wires=wires, gauge=18, length_m=0.6)
    >>> read = [("1", "1", None), ("1", "2", 0.3), ("2", "2", None), ("2", "1", 0.3)]
    >>> readings = tuple(ContinuityReading(load=a, supply=b, ohm=r) for a, b, r in read)
    >>> test = CableTest(cable=cable, meter=Meter(lead_ohm=0.2), unplugged=True, continuity=readings)
    >>> [fault.code for fault in judge_map(test, 0.3).faults]
    ['wrong_pin', 'wrong_pin']
    """
    if test.meter.lead_ohm is None and not test.meter.four_wire:
        said = "Hold the probes together, and write down what the meter shows: its leads are part of every reading."
        return MapFound(proven=0, faults=(), missing=(Phrase("leads_unknown", said),))
    read = {(each.load, each.supply): each for each in test.continuity}
    faults: list[Phrase] = []
    missing: list[Phrase] = []
    proven = 0
    strays = _strays(test, read.values(), most_ohm)
    for wire in test.cable.wires:
        found = read.get((wire.load, wire.supply))
        if found is None:
            said = f"Measure pin {wire.load} to pin {wire.supply} at the supply end."
            missing.append(Phrase("wire_unread", said))
        elif (fault := _fault(found, test.meter, most_ohm)) is None:
            proven += 1
        elif wire.load not in strays:
            faults.append(fault)
    faults += _told(strays, test)
    unsure = _below_leads(read.values(), test.meter)
    return MapFound(proven=proven, faults=(*faults, *_outliers(test)), missing=(*missing, *unsure))


def _fault(found: ContinuityReading, meter: Meter, most_ohm: float) -> Phrase | None:
    wire = f"Pin {found.load} to pin {found.supply} at the supply end"
    if found.ohm is None:
        return Phrase("wire_open", f"{wire} is open: look for a broken wire or a contact that is not home.")
    ohm = true_ohm(found.ohm, meter)
    if ohm <= most_ohm:
        return None
    said = f"{wire} reads {ohm:.3g} ohm without the leads; a sound wire stays within {most_ohm:.2g} ohm."
    return Phrase("wire_high", said)


def _strays(test: CableTest, readings: Iterable[ContinuityReading], most_ohm: float) -> dict[str, list[str]]:
    """Return connections that the map does not have, by the pin at the load end."""
    wanted = {(wire.load, wire.supply) for wire in test.cable.wires}
    carries = {wire.supply: test.cable.connector.net(wire.load) for wire in test.cable.wires}
    strays: dict[str, list[str]] = {}
    for each in readings:
        joined = each.ohm is not None and true_ohm(each.ohm, test.meter) <= most_ohm
        same = test.cable.connector.net(each.load) is carries.get(each.supply)
        if joined and not same and (each.load, each.supply) not in wanted:
            strays.setdefault(each.load, []).append(each.supply)
    return strays


def _told(strays: dict[str, list[str]], test: CableTest) -> list[Phrase]:
    wanted = {wire.load: wire.supply for wire in test.cable.wires}
    found = []
    for load, supplies in strays.items():
        right = wanted.get(load)
        said = f"Pin {load} leads to pin {', '.join(supplies)} at the supply end" + (
            f", not to pin {right}." if right is not None else ", and should lead nowhere."
        )
        found.append(Phrase("wrong_pin", said + " Do not plug it in."))
    return found


def _below_leads(readings: Iterable[ContinuityReading], meter: Meter) -> list[Phrase]:
    """Doubt the leads where a reading is far below what they alone should show."""
    error = meter.step_ohm + meter.accuracy_ohm
    if any(each.ohm is not None and true_ohm(each.ohm, meter) < -error for each in readings):
        said = "A wire reads less than the leads alone: hold the probes together and read them again."
        return [Phrase("leads_doubtful", said)]
    return []


def _outliers(test: CableTest) -> list[Phrase]:
    """Compare wires with each other, for which only a four-wire reading is good enough."""
    wanted = {(wire.load, wire.supply) for wire in test.cable.wires}
    read = [each for each in test.continuity if each.ohm is not None and (each.load, each.supply) in wanted]
    if not test.meter.four_wire or len(read) < FEWEST_TO_COMPARE:
        return []
    middle = median(each.ohm for each in read if each.ohm is not None)
    found = []
    for each in read:
        if each.ohm is not None and each.ohm > OUTLIER * middle:
            said = (
                f"Pin {each.load} reads {1e3 * each.ohm:.1f} milliohm, more than twice the {1e3 * middle:.1f} of its "
            )
            found.append(Phrase("bad_crimp", said + "neighbours: crimp it again."))
    return found
