"""Hand-made cables: the map, shorts, and what a two-wire meter cannot see."""

from collections.abc import Iterable

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.connectors import one_to_one
from commission.procedure.pins import Net, Wire
from commission.stages.first_power.judge.cable import evaluate_cable, threshold_of
from commission.stages.first_power.judge.cable_shorts import must_be_apart
from commission.stages.first_power.model.cables import Cable, CableTest, ContinuityReading, Meter, ShortReading
from tests.plugs import connector

GRAPHICS = connector("pcie-6+2-pin")
CABLE = Cable(name="GPU left", connector=GRAPHICS, wires=one_to_one(GRAPHICS), gauge=18, length_m=0.6)
METER = Meter(lead_ohm=0.2)
PINS = tuple(pin.name for pin in GRAPHICS.pins)
APART = tuple(ShortReading(first=pin, second="5", ohm=None) for pin in "123")
SENSE = tuple(ShortReading(first=pin, second="5", ohm=0.3) for pin in "46")


def through(ohm: float | None = 0.3, pins: Iterable[str] = PINS) -> tuple[ContinuityReading, ...]:
    return tuple(ContinuityReading(load=pin, supply=pin, ohm=ohm) for pin in pins)


GOOD = CableTest(cable=CABLE, meter=METER, unplugged=True, continuity=through(), shorts=(*APART, *SENSE))


def codes(test: CableTest) -> list[str]:
    verdict = evaluate_cable(test)
    return [phrase.code for phrase in (*verdict.faults, *verdict.missing)]


def reading(test: CableTest, load: str, supply: str, ohm: float | None) -> CableTest:
    """Return the test with one more reading."""
    more = ContinuityReading(load=load, supply=supply, ohm=ohm)
    return replace(test, continuity=(*test.continuity, more))


def test_the_threshold_comes_from_gauge_and_length() -> None:
    # Source: gauge formula, IACS copper and 10 milliohm contacts (from memory): 32.569 milliohm. Status: computed.
    # The limits of the cable trade's standard (2 ohm, or 1 ohm and the wire; 10 megohm) are from memory, not read.
    found = threshold_of(CABLE, METER)
    assert found.expected_ohm * 1e3 == pytest.approx(32.569, rel=1e-3)
    assert found.most_ohm == pytest.approx(3 * 0.032569 + 0.2, rel=1e-3)
    assert (
        threshold_of(replace(CABLE, length_m=0.1), Meter(lead_ohm=0, step_ohm=0.01, accuracy_ohm=0.01)).most_ohm == 0.2
    )


def test_a_sound_cable_passes_and_says_what_was_not_proven() -> None:
    verdict = evaluate_cable(GOOD)
    assert (verdict.outcome, verdict.wires_proven, verdict.faults, verdict.missing) == (Outcome.PASS, 8, (), ())
    assert [note.code for note in verdict.notes] == ["map_not_crimp"]
    assert "proves the map, not the crimp" in verdict.notes[0].template


def test_sense_pins_that_go_to_ground_are_no_short() -> None:
    # the classic false alarm
    assert "short" not in codes(GOOD)
    open_sense = replace(GOOD, shorts=(*APART, replace(SENSE[0], ohm=None), SENSE[1]))
    assert codes(open_sense) == ["sense_open"]
    assert evaluate_cable(open_sense).outcome is Outcome.FAIL


def test_pins_of_one_rail_may_be_joined() -> None:
    joined = replace(GOOD, shorts=(*GOOD.shorts, ShortReading(first="1", second="2", ohm=0.3)))
    assert evaluate_cable(joined).outcome is Outcome.PASS
    assert evaluate_cable(reading(GOOD, "1", "2", 0.3)).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("ohm", "outcome"),
    [
        (0.4, Outcome.FAIL),
        (99_000.0, Outcome.FAIL),
        (2e6, Outcome.INCONCLUSIVE),
        (10e6, Outcome.PASS),
        (None, Outcome.PASS),
    ],
)
def test_a_rail_and_ground_must_be_apart(ohm: float | None, outcome: Outcome) -> None:
    # Source: above 10 megohm counts as open (from memory, table of the standard not read).
    shorts = (replace(APART[0], ohm=ohm), *APART[1:], *SENSE)
    assert evaluate_cable(replace(GOOD, shorts=shorts)).outcome is outcome


def test_swapped_wires_are_named_with_both_ends() -> None:
    test = replace(GOOD, continuity=through(pins="245678"))
    test = reading(reading(test, "1", "1", None), "3", "3", None)
    test = reading(reading(test, "1", "5", 0.3), "3", "7", 0.3)  # +12 V on COM
    verdict = evaluate_cable(test)
    assert verdict.outcome is Outcome.FAIL
    assert [fault.code for fault in verdict.faults] == ["wrong_pin", "wrong_pin"]
    assert verdict.faults[0].template == "Pin 1 leads to pin 5 at the supply end, not to pin 1. Do not plug it in."


def test_a_broken_wire_and_a_high_one_differ() -> None:
    broken = replace(GOOD, continuity=(*through(pins=PINS[1:]), *through(None, "1")))
    assert codes(broken) == ["wire_open"]
    high = replace(GOOD, continuity=(*through(pins=PINS[1:]), *through(0.51, "1")))
    assert codes(high) == ["wire_high"]
    assert "reads 0.31 ohm without the leads" in evaluate_cable(high).faults[0].template


def test_the_leads_are_taken_off_before_anything_is_judged() -> None:
    assert evaluate_cable(replace(GOOD, continuity=through(0.49))).outcome is Outcome.PASS
    assert evaluate_cable(replace(GOOD, continuity=through(0.49), meter=Meter(lead_ohm=0.1))).outcome is Outcome.FAIL
    assert codes(replace(GOOD, meter=Meter(lead_ohm=None))) == ["leads_unknown"]
    assert codes(replace(GOOD, continuity=through(0.0), meter=Meter(lead_ohm=0.5))) == ["leads_doubtful"]


def test_what_was_not_measured_is_asked_for() -> None:
    empty = CableTest(cable=CABLE, meter=METER, unplugged=True)
    verdict = evaluate_cable(empty)
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert [phrase.code for phrase in verdict.missing] == ["wire_unread"] * 8 + ["unread_against_com"]
    assert "pin 1, 2, 3, 4, 6" in verdict.missing[-1].template


def test_rails_are_measured_against_each_other_too() -> None:
    main = connector("24-pin")
    rails = [pin.name for pin in main.pins if pin.net not in {Net.COM, Net.UNUSED}]
    test = CableTest(
        cable=replace(CABLE, connector=main, wires=one_to_one(main)),
        meter=METER,
        unplugged=True,
        continuity=through(pins=[wire.load for wire in one_to_one(main)]),
        shorts=tuple(ShortReading(first=pin, second="3", ohm=None) for pin in rails),
    )
    verdict = evaluate_cable(test)
    assert [phrase.code for phrase in verdict.missing] == ["unread_rails"]
    assert "+3.3 V and +5 V" in verdict.missing[0].template
    joined = replace(test, shorts=(*test.shorts, ShortReading(first="1", second="4", ohm=0.3)))
    assert [fault.code for fault in evaluate_cable(joined).faults] == ["short"]


def test_a_cable_that_is_plugged_in_cannot_be_judged() -> None:
    # on the side of supply or board low resistance is normal: capacitors, bleeders, converters
    verdict = evaluate_cable(replace(GOOD, unplugged=False))
    assert (verdict.outcome, verdict.faults[0].code) == (Outcome.INVALID, "plugged_in")


def test_a_custom_map_is_judged_by_its_own_pins() -> None:
    wires = tuple(Wire(load=pin, supply=str(9 - int(pin))) for pin in PINS)
    cable = replace(CABLE, wires=wires)
    straight = replace(GOOD, cable=cable)
    assert evaluate_cable(straight).outcome is Outcome.FAIL
    mapped = tuple(ContinuityReading(load=w.load, supply=w.supply, ohm=0.3) for w in wires)
    assert evaluate_cable(replace(GOOD, cable=cable, continuity=mapped)).outcome is Outcome.PASS


def test_four_wires_see_a_bad_crimp_that_two_wires_cannot() -> None:
    # Source: 1 A through 32.6 milliohm drops 32.6 mV; a wire of more than twice the median is an outlier (our choice).
    sound = tuple(ContinuityReading(load=p, supply=p, ohm=0.0326) for p in PINS[1:])
    bad = (*sound, ContinuityReading(load="1", supply="1", ohm=0.070))
    fine = Meter(lead_ohm=None, step_ohm=0.0001, accuracy_ohm=0.0005, four_wire=True)
    test = replace(GOOD, meter=fine, continuity=bad)
    assert codes(test) == ["bad_crimp"]
    assert evaluate_cable(test).notes == ()
    two_wire = replace(GOOD, continuity=(*through(pins=PINS[1:]), *through(0.3, "1")))
    assert evaluate_cable(two_wire).outcome is Outcome.PASS


def test_which_pins_must_be_apart() -> None:
    assert must_be_apart(Net.V12, Net.V5)
    assert must_be_apart(Net.POWER_ON, Net.COM)
    assert must_be_apart(Net.SIDEBAND, Net.V12)
    assert not must_be_apart(Net.SIDEBAND, Net.COM)
    assert not must_be_apart(Net.UNUSED, Net.V12)
    assert not must_be_apart(None, Net.V12)


def test_a_wire_just_at_its_threshold_counts_as_connected() -> None:
    # leads 0, threshold 0.2 ohm exactly: 0.1 m with a fine meter
    fine = Meter(lead_ohm=0.0, step_ohm=0.01, accuracy_ohm=0.01)
    short = replace(GOOD, cable=replace(CABLE, length_m=0.1), meter=fine, continuity=through(0.2))
    assert evaluate_cable(short).outcome is Outcome.PASS
    assert evaluate_cable(replace(short, continuity=through(0.201))).outcome is Outcome.FAIL


def test_wires_that_are_not_on_the_map_are_not_compared_with_those_that_are() -> None:
    fine = Meter(lead_ohm=None, step_ohm=0.0001, accuracy_ohm=0.0005, four_wire=True)
    stray = ContinuityReading(load="1", supply="2", ohm=0.25)  # the same rail, joined elsewhere: longer
    sound = through(0.0326)
    assert evaluate_cable(replace(GOOD, meter=fine, continuity=(*sound, stray))).outcome is Outcome.PASS
    few = replace(GOOD, meter=fine, continuity=through(0.0326, "12"))
    assert "bad_crimp" not in codes(few)


def test_resistances_are_shown_in_the_unit_that_fits() -> None:
    for ohm, shown in ((1e6, "1 megohm"), (1e3, "1 kilohm"), (999.0, "999 ohm")):
        test = replace(GOOD, shorts=(replace(APART[0], ohm=ohm), *APART[1:], *SENSE))
        verdict = evaluate_cable(test)
        assert f"read {shown}" in (*verdict.faults, *verdict.missing)[0].template
