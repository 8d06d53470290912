"""Whether a hand-made cable connects what it should and nothing else: the verdict on continuity and shorts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.physics.wire import wire_resistance
from commission.stages.first_power.judge.cable_map import judge_map
from commission.stages.first_power.judge.cable_shorts import judge_shorts
from commission.stages.first_power.model.cables import CableVerdict

if TYPE_CHECKING:
    from commission.stages.first_power.model.cables import Cable, CableTest, Meter

LEAST_THRESHOLD_OHM = 0.2
"""A wire within this counts as connected [ohm]; our choice: usual meters show tenths."""
TIMES_EXPECTED = 3.0
"""So many times the expected resistance still count as connected [1]; our choice: contacts and probes differ by as
much; a broken wire by thousands."""


class Threshold(Frozen):
    """What one wire of a cable should read."""

    expected_ohm: float
    """Resistance of a sound wire with its contacts [ohm]."""
    most_ohm: float
    """Resistance up to which it counts as connected [ohm]."""


def threshold_of(cable: Cable, meter: Meter) -> Threshold:
    """Return what one wire of a cable should read.

    Returns
    -------
    Threshold
        Expected resistance, and the most that counts as connected [ohm].

    Raises
    ------
    ValueError
        If gauge, length or contacts are out of range.

    Notes
    -----
    The larger of 0.2 ohm and three times the expected resistance plus the meter's error: a two-wire meter cannot see
    the wire itself. The limits of the cable trade's own standard were not read.

    Source: gauge formula and IACS copper (from memory); contact 10 milliohm from memory; threshold our own choice.

    Examples
    --------
    0.6 m of AWG 18 with two contacts of 10 milliohm:

    >>> from commission.stages.first_power.model.cables import Cable, Meter
    >>> from commission.procedure.pins import Connector
    >>> plug = Connector(id="x", title="x", pins=(), source="", note="")
    >>> cable = Cable(name="a", connector=plug, wires=(), gauge=18, length_m=0.6)
    >>> found = threshold_of(cable, Meter(lead_ohm=0.2))
    >>> round(found.expected_ohm * 1e3, 3), round(found.most_ohm, 3)
    (32.569, 0.298)
    """
    expected = wire_resistance(cable.gauge, cable.length_m, contacts=cable.contacts, contact_ohm=cable.contact_ohm)
    error = meter.step_ohm + meter.accuracy_ohm
    return Threshold(expected_ohm=expected, most_ohm=max(LEAST_THRESHOLD_OHM, TIMES_EXPECTED * expected + error))


def evaluate_cable(test: CableTest) -> CableVerdict:
    """Judge a hand-made cable that is unplugged at both ends.

    Parameters
    ----------
    test
        The cable as it should be, the meter, and the readings [ohm].

    Returns
    -------
    CableVerdict
        Outcome, faults, and what is still to be measured [ohm].

    Raises
    ------
    ValueError
        If gauge, length or contacts are out of range.

    Notes
    -----
    FAIL on the first fault. INCONCLUSIVE while a wire or a pair of rails has no reading, or the meter's leads were
    not read. INVALID where an end was plugged in: supply and board show low resistance that is no fault. PASS proves
    the map; with a two-wire meter it proves nothing about the crimps.

    Examples
    --------
    >>> from commission.stages.first_power.model.cables import CableTest, ContinuityReading, Meter, ShortReading
    >>> from commission.stages.first_power.model.cables import Cable
    >>> from commission.procedure.pins import Connector, Net, Pin, Wire
    >>> plug = Connector(
    ...     id="x", title="x", pins=(Pin(name="1", net=Net.COM), Pin(name="2", net=Net.V12)), source="", note=""
    ... )
    >>> wires = (Wire(load="1", supply="1"), Wire(load="2", supply="2"))
    >>> cable = Cable(name="a", connector=plug, wires=wires, gauge=18, length_m=0.6)
    >>> read = tuple(ContinuityReading(load=n, supply=n, ohm=0.3) for n in "12")
    >>> apart = (ShortReading(first="1", second="2", ohm=None),)
    >>> meter = Meter(lead_ohm=0.2)
    >>> str(evaluate_cable(CableTest(cable=cable, meter=meter, unplugged=True, continuity=read, shorts=apart)).outcome)
    'pass'
    """
    threshold = threshold_of(test.cable, test.meter)
    if not test.unplugged:
        said = "An end is plugged in: supply and board show low resistance of their own. Unplug both ends."
        return _verdict(Outcome.INVALID, threshold, faults=(Phrase("plugged_in", said),))
    mapped = judge_map(test, threshold.most_ohm)
    apart = judge_shorts(test)
    faults = (*mapped.faults, *apart.faults)
    missing = (*mapped.missing, *apart.missing)
    outcome = Outcome.FAIL if faults else Outcome.INCONCLUSIVE if missing else Outcome.PASS
    return _verdict(outcome, threshold, proven=mapped.proven, faults=faults, missing=missing, notes=_notes(test.meter))


def _verdict(
    outcome: Outcome,
    threshold: Threshold,
    *,
    proven: int = 0,
    faults: tuple[Phrase, ...] = (),
    missing: tuple[Phrase, ...] = (),
    notes: tuple[Phrase, ...] = (),
) -> CableVerdict:
    return CableVerdict(
        outcome=outcome,
        expected_ohm=threshold.expected_ohm,
        most_ohm=threshold.most_ohm,
        wires_proven=proven,
        faults=faults,
        missing=missing,
        notes=notes,
    )


def _notes(meter: Meter) -> tuple[Phrase, ...]:
    if meter.four_wire:
        return ()
    said = (
        "A two-wire meter proves the map, not the crimp: the wires are far below one step of it. Pull at each crimp; "
        "to compare them, measure the drop at a known current."
    )
    return (Phrase("map_not_crimp", said),)
