"""The first power-on through the real logbook: rungs, their locks, what is stored, and what takes a verdict away."""

import pytest

from commission.base.errors import InputError, NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.load import default_toml
from commission.procedure.model import When
from commission.record.entries import StageOverridden
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.parts import Part, PartKind
from commission.record.machine.rungs import Rung
from commission.record.mishaps import Mishaps
from commission.stages.build_sheet.work import Sheet
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.fill.model.fill import Drain
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.entries import CableTested, MachineStarted, PowerFaultMended, PumpStarted, RailsRead
from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
from commission.stages.first_power.model.rails import LeftOut, PlugKind, Rail, RailReading, Revision
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import ListLog, new_book
from tests.holds import ready_build, start_hold, type_hold
from tests.power_builds import (
    FED_BY_THE_SUPPLY,
    JOINTS,
    SOUND,
    cable_test,
    chain,
    header,
    plugged,
    powered_build,
    pump,
    rails,
    supplied_build,
    supply,
    watch_pump,
)
from tests.wet_builds import amount, answer, end_fill, filled_build, pour, proved_build


def word(book: Logbook, build: str, stage: str) -> str:
    rungs = book.ladder(book.build(build))
    return str(next(rung.word for rung in rungs if rung.stage.id == stage))


def at_cable(name: str) -> tuple[RailReading, ...]:
    """Return a sound +12 V at the plug of a cable."""
    return rails(name, PlugKind.PROCESSOR)[:1]


def kinds(log: ListLog, kind: type) -> int:
    return sum(isinstance(entry.payload, kind) for entry in log.entries())


def test_a_ladder_that_is_climbed_in_order_passes() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    assert word(book, build, "first_power") == StageWord.PASSED
    assert [state.outcome for state in book.work(FirstPower).verdict(book.build(build)).rungs] == [Outcome.PASS] * 4


def test_cables_and_supply_may_be_measured_before_the_loop_is_tight_and_the_pump_may_not_run() -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    supply(book, build, "CPU")
    assert book.work(FirstPower).test_cable(build, cable_test()).outcome is Outcome.PASS
    assert book.work(FirstPower).read_rails(build, rails() + at_cable("CPU")).outcome is Outcome.PASS
    assert word(book, build, "first_power") == StageWord.LOCKED
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    with pytest.raises(NotAllowed, match="pressure hold has not passed"):
        book.work(FirstPower).start_pump(build, JOINTS)
    assert kinds(log, PumpStarted) == 0


def test_no_override_lets_a_pump_run_in_a_loop_that_failed_its_hold() -> None:
    book, log, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=60)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome == "fail"
    for stage in ("pressure_hold", "fill", "first_power"):
        with pytest.raises(NotAllowed, match=r"no reason opens|cannot be overridden"):
            book.override(build, stage, "it will be fine")
        book.record(build, StageOverridden(stage=stage, reason="as older records hold it"))
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails())
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    with pytest.raises(NotAllowed, match="proven tight"):
        book.work(FirstPower).start_pump(build, JOINTS)
    assert kinds(log, PumpStarted) == 0


def test_the_pump_waits_for_the_fill_and_the_machine_for_both() -> None:
    book, _, clock = new_book()
    build = proved_build(book, clock)
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails())
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP, When.BEFORE_MACHINE)
    with pytest.raises(NotAllowed, match="not filled"):
        book.work(FirstPower).start_pump(build, JOINTS)
    with pytest.raises(NotAllowed, match="not filled"):
        book.work(FirstPower).start_machine(build, SOUND)


def test_no_rung_is_skipped() -> None:
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP, When.BEFORE_MACHINE)
    with pytest.raises(NotAllowed, match=r'rests on "supply alone"'):
        book.work(FirstPower).start_pump(build, JOINTS)
    with pytest.raises(NotAllowed, match=r'rests on "supply alone"'):
        book.work(FirstPower).start_machine(build, SOUND)
    book.work(FirstPower).read_rails(build, rails())
    with pytest.raises(NotAllowed, match=r'rests on "pump only"'):
        book.work(FirstPower).start_machine(build, SOUND)
    assert kinds(log, MachineStarted) == kinds(log, PumpStarted) == 0


def test_the_supply_waits_for_every_cable_made_by_hand() -> None:
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU", "CPU 2")
    book.work(FirstPower).test_cable(build, cable_test("CPU"))
    with pytest.raises(NotAllowed, match="cables unplugged"):
        book.work(FirstPower).read_rails(build, rails())
    assert kinds(log, RailsRead) == 0
    book.work(FirstPower).test_cable(build, cable_test("CPU 2"))
    read = rails() + at_cable("CPU") + at_cable("CPU 2")
    assert book.work(FirstPower).read_rails(build, read).outcome is Outcome.PASS


def test_a_cable_made_by_hand_whose_plug_was_not_read_is_no_pass_unless_left_out_with_a_reason() -> None:
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU", "CPU 2")
    for name in ("CPU", "CPU 2"):
        book.work(FirstPower).test_cable(build, cable_test(name))
    verdict = book.work(FirstPower).read_rails(build, rails() + at_cable("CPU"))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "plugs_unread")
    assert "CPU 2" in verdict.reasons[0].template
    with pytest.raises(InputError, match="say why"):
        book.work(FirstPower).read_rails(
            build, rails() + at_cable("CPU"), left_out=(LeftOut(plug="CPU 2", reason=" "),)
        )
    with pytest.raises(InputError, match="no cable made by hand"):
        book.work(FirstPower).read_rails(build, rails(), left_out=(LeftOut(plug="drives", reason="none"),))
    assert kinds(log, RailsRead) == 1
    card = LeftOut(plug="CPU 2", reason="the card comes next month")
    assert book.work(FirstPower).read_rails(build, rails() + at_cable("CPU"), left_out=(card,)).outcome is Outcome.PASS
    book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    closed = book.work(FirstPower).close(build)
    assert closed.outcome is Outcome.PASS
    assert "CPU 2 was left out: the card comes next month" in [phrase.template for phrase in closed.reasons]


def test_a_cable_called_by_another_kind_of_plug_than_it_was_measured_as_is_another_cables_table() -> None:
    """Graphics plugs have +12 V at pins 1 to 3, an 8-pin processor plug at 5 to 8: ATX version 3 guide, table 5-5."""
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "GPU 1", "drives")
    with pytest.raises(InputError, match='"GPU 1" is called a graphics plug and was measured as cpu-8-pin'):
        book.work(FirstPower).test_cable(build, cable_test("GPU 1"))
    assert kinds(log, CableTested) == 0
    assert book.work(FirstPower).test_cable(build, cable_test("drives")).outcome is Outcome.PASS  # a name says nothing


@pytest.mark.parametrize(("ohm", "refused"), [(0.0, True), (0.09, True), (0.1, False), (0.3, False)])
def test_a_wire_that_reads_less_than_the_leads_alone_is_refused(ohm: float, *, refused: bool) -> None:
    """By hand: leads of 0.2 ohm are in each reading; a display in steps of 0.1 ohm may show one step less, 0.1."""
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    test = cable_test("CPU")
    assert test.meter.lead_ohm == 0.2
    test = test.joined(wires=[replace(test.continuity[0], ohm=ohm)])
    if refused:
        with pytest.raises(InputError, match=f"reads {ohm:g} ohm, and the leads alone 0.2 ohm"):
            book.work(FirstPower).test_cable(build, test)
    else:
        assert book.work(FirstPower).test_cable(build, test).outcome is Outcome.PASS
    assert kinds(log, CableTested) == (not refused)


def test_a_plug_that_failed_and_is_no_longer_told_is_not_forgotten() -> None:
    """11.2 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    low = rails("GPU 1", PlugKind.GRAPHICS, V12="11.2")[:1]
    assert book.work(FirstPower).read_rails(build, rails() + low).outcome is Outcome.FAIL
    assert book.work(FirstPower).read_rails(build, rails()).outcome is Outcome.INCONCLUSIVE
    supply(book, build)  # the same supply described again does not wipe it away
    assert book.work(FirstPower).read_rails(build, rails()).outcome is Outcome.INCONCLUSIVE
    gone = LeftOut(plug="GPU 1", reason="that extension was thrown away")
    assert book.work(FirstPower).read_rails(build, rails(), left_out=(gone,)).outcome is Outcome.PASS
    assert book.work(FirstPower).verdict(book.build(build)).rungs[1].outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("names", "withdrawn"),
    [
        (("Lark 850", "Finch", "Lark 850"), None),
        (("Lark 850", "lark-850."), None),
        (("Lark 850", "Lark 850"), 0),
        (("Finch", "Lark 850", "Lark 850"), 1),
    ],
    ids=["another between", "signs", "withdrawn", "withdrawn behind another"],
)
def test_what_failed_on_a_supply_counts_again_where_that_is_described_again(
    names: tuple[str, ...], withdrawn: int | None
) -> None:
    """11.2 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_POWER)
    power, described = book.work(FirstPower), list[Logged]()
    for n, name in enumerate(names):
        if withdrawn is not None and n == len(names) - 1:
            book.withdraw(described[withdrawn].seq, "typed wrong")
        described.append(power.describe_supply(build, name=name, revision=Revision.ATX2, hand_made=()))
        if name == "Lark 850" and n < len(names) - 1:
            low = rails("CPU", PlugKind.PROCESSOR, V12="11.2")[:1]
            assert power.read_rails(build, rails() + low).outcome is Outcome.FAIL
    unread = power.read_rails(build, rails())
    assert [phrase.code for phrase in unread.reasons] == ["plugs_unread"]
    power.read_rails(build, rails() + rails("CPU", PlugKind.PROCESSOR)[:1])
    verdict = power.verdict(book.build(build))
    assert (verdict.rungs[1].outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "not_mended")


def test_another_supply_has_no_fault_of_the_one_before_and_a_cable_that_failed_keeps_its_own() -> None:
    """11.2 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    power = book.work(FirstPower)
    power.test_cable(build, cable_test(pin3=None))
    seen = []
    for name, made in (("Finch", ()), ("Wren", ("C.P.U",)), ("Wren", ())):
        power.describe_supply(build, name=name, revision=Revision.ATX2, hand_made=made)
        seen.append([fault.what for fault in book.build(build).of(FirstPowerState).open_faults])
    assert seen == [[], ["cable CPU"], ["cable CPU"]]


def test_the_plug_of_a_measured_cable_is_what_was_measured_whatever_it_is_called() -> None:
    """A processor plug carries +12 V and COM alone: pin table of cpu-8-pin in ``procedure/connectors.toml``."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    book.work(FirstPower).test_cable(build, cable_test())
    wrong = RailReading(plug="cpu", kind=PlugKind.BOARD, rail=Rail.V3_3, volt=3.31, typed="3.31")
    verdict = book.work(FirstPower).read_rails(build, (*rails(), wrong))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, "foreign_rail")


def test_a_plug_that_is_left_out_takes_no_fault_of_another_plug_with_it() -> None:
    """11.0 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    power, both = book.work(FirstPower), rails() + at_cable("CPU")
    assert power.read_rails(build, both + rails("CPU 2", PlugKind.PROCESSOR, V12="11.0")[:1]).outcome is Outcome.FAIL
    gone = LeftOut(plug="CPU", reason="not there")
    power.read_rails(build, rails() + at_cable("CPU 2"), left_out=(gone,))
    assert power.verdict(book.build(build)).rungs[1].outcome is Outcome.INCONCLUSIVE
    power.findings.mend(build, "CPU 2 +12 V", "new crimp")
    assert power.verdict(book.build(build)).rungs[1].outcome is Outcome.PASS


def test_a_cable_that_is_no_longer_called_hand_made_is_still_asked_for() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    assert book.work(FirstPower).test_cable(build, cable_test(pin3=None)).outcome is Outcome.FAIL
    supply(book, build)  # "none": the failed cable is not told any more
    verdict = book.work(FirstPower).verdict(book.build(build))
    assert verdict.rungs[0].outcome is Outcome.INCONCLUSIVE
    with pytest.raises(NotAllowed, match="cables unplugged"):
        book.work(FirstPower).read_rails(build, rails())
    book.work(FirstPower).findings.mend(build, "cable CPU", "replaced by the one that came with the supply")
    unread = book.work(FirstPower).read_rails(build, rails())
    assert [phrase.code for phrase in unread.reasons] == ["plugs_unread"]


def test_what_failed_stays_after_it_was_measured_again_and_asks_what_was_done() -> None:
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    low = rails("GPU 1", PlugKind.GRAPHICS, V12="11.2")[:1]
    book.work(FirstPower).read_rails(build, rails() + low)
    sound = rails("GPU 1", PlugKind.GRAPHICS)[:1]
    assert book.work(FirstPower).read_rails(build, rails() + sound).outcome is Outcome.PASS
    verdict = book.work(FirstPower).verdict(book.build(build))
    assert (verdict.rungs[1].outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "not_mended")
    with pytest.raises(UnknownName, match="not among what failed"):
        book.work(FirstPower).findings.mend(build, "GPU 2 +12 V", "new crimp")
    with pytest.raises(NotAllowed, match="what was done"):
        book.work(FirstPower).findings.mend(build, "GPU 1 +12 V", " ")
    book.work(FirstPower).findings.mend(build, "GPU 1 +12 V", "pin 3 crimped again")
    book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    closed = book.work(FirstPower).close(build)
    assert closed.outcome is Outcome.PASS
    assert any("Done: pin 3 crimped again" in phrase.template for phrase in closed.reasons)
    (fault,) = book.build(build).of(FirstPowerState).faults
    assert (fault.what, fault.done) == ("GPU 1 +12 V", "pin 3 crimped again")
    assert kinds(log, PowerFaultMended) == 1


def test_the_same_reading_told_again_is_one_fault_and_another_after_the_cure_is_a_second() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    for volts in ("11.2", "11.2", "11.1"):
        book.work(FirstPower).read_rails(build, rails(V12=volts))
    assert len(book.build(build).of(FirstPowerState).faults) == 1
    book.work(FirstPower).findings.mend(build, "24-pin +12 V", "new crimp")
    book.work(FirstPower).read_rails(build, rails(V12="11.1"))
    assert len(book.build(build).of(FirstPowerState).open_faults) == 0
    book.work(FirstPower).read_rails(build, rails(V12="11.0"))
    assert [fault.done for fault in book.build(build).of(FirstPowerState).faults] == ["new crimp", ""]


def test_nothing_is_measured_before_the_cautions_are_answered() -> None:
    book, log, clock = new_book()
    build = filled_build(book, clock)
    with pytest.raises(NotAllowed, match="not answered yet: "):
        book.work(FirstPower).describe_supply(build, name="Larkspur", revision=Revision.ATX2, hand_made=())
    supply(book, build)
    book.work(FirstPower).read_rails(build, rails())
    with pytest.raises(NotAllowed, match="not answered yet: "):
        book.work(FirstPower).start_pump(build, JOINTS)
    assert kinds(log, PumpStarted) == 0


def test_a_cable_with_a_wire_in_the_wrong_place_bars_the_supply() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    assert book.work(FirstPower).test_cable(build, cable_test(pin3=None)).outcome is Outcome.FAIL
    with pytest.raises(NotAllowed, match="cables unplugged"):
        book.work(FirstPower).read_rails(build, rails())
    assert book.work(FirstPower).test_cable(build, cable_test()).outcome is Outcome.PASS  # crimped again
    with pytest.raises(NotAllowed, match="cables unplugged"):
        book.work(FirstPower).read_rails(build, rails())  # nobody said what was done
    book.work(FirstPower).findings.mend(build, "cable CPU", "pin 3 crimped again")
    assert book.work(FirstPower).read_rails(build, rails() + at_cable("CPU")).outcome is Outcome.PASS


def test_a_cable_measured_while_plugged_in_proves_nothing() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    assert book.work(FirstPower).test_cable(build, cable_test(unplugged=False)).outcome is Outcome.INVALID


def test_a_cable_nobody_named_is_refused() -> None:
    book, log, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "GPU")
    with pytest.raises(NotAllowed, match="not among the cables"):
        book.work(FirstPower).test_cable(build, cable_test("CPU"))
    assert kinds(log, CableTested) == 0


def test_a_rail_out_of_its_window_fails_and_bars_the_pump() -> None:
    """11.39 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    assert book.work(FirstPower).read_rails(build, rails(V12="11.39")).outcome is Outcome.FAIL
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    with pytest.raises(NotAllowed, match="supply alone"):
        book.work(FirstPower).start_pump(build, JOINTS)
    assert book.work(FirstPower).read_rails(build, rails(V12="11.40")).outcome is Outcome.PASS


def test_a_rail_that_was_not_read_leaves_the_supply_open() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build)
    only_12 = [reading for reading in rails() if reading.rail == "+12 V"]
    assert book.work(FirstPower).read_rails(build, only_12).outcome is Outcome.INCONCLUSIVE


def test_looks_are_timed_by_the_clock_and_tell_which_joint_is_due() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    clock.run(300)
    book.work(FirstPower).look(build, "BLOCK", Paper.DRY)
    state = book.build(build)
    assert [(look.joint, look.elapsed_s) for look in state.of(FirstPowerState).looks] == [("block", 300.0)]
    assert "radiator in" in book.work(FirstPower).wet_verdict(state).due


def test_a_look_at_a_joint_that_is_not_watched_is_refused_with_the_names() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    with pytest.raises(InputError, match="radiator in, radiator out, block"):
        book.work(FirstPower).look(build, "tank", Paper.DRY)


def test_a_wet_joint_fails_the_pump_and_bars_the_machine() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, wet="block")
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    with pytest.raises(NotAllowed, match="pump only"):
        book.work(FirstPower).start_machine(build, SOUND)
    assert book.work(FirstPower).close(build).outcome is Outcome.FAIL
    assert word(book, build, "first_power") == StageWord.FAILED


def test_a_watch_that_was_cut_short_proves_nothing() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    clock.run(60)
    for joint in JOINTS:
        book.work(FirstPower).look(build, joint, Paper.DRY)
    assert (
        book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET).outcome
        is Outcome.INCONCLUSIVE
    )


def test_the_ladder_cannot_be_judged_while_the_pump_runs() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    with pytest.raises(NotAllowed, match="still runs"):
        book.work(FirstPower).close(build)
    with pytest.raises(NotAllowed, match="runs already"):
        book.work(FirstPower).start_pump(build, JOINTS)


@pytest.mark.parametrize(
    ("start", "outcome", "off"),
    [
        (SOUND, Outcome.PASS, False),
        (MachineStart(sign=PumpSign.NONE, after_s=None, tach_connected=True), Outcome.FAIL, True),
        (MachineStart(sign=PumpSign.SPEED, after_s=9.0, tach_connected=True), Outcome.FAIL, True),
    ],
)
def test_a_pump_that_does_not_turn_in_time_means_power_off(start: MachineStart, outcome: Outcome, off: bool) -> None:
    """Within 5 s by the procedure: our own choice; common practice, no source."""
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    verdict = book.work(FirstPower).start_machine(build, start)
    assert (verdict.outcome, verdict.power_off) == (outcome, off)


def test_a_start_without_a_pump_that_is_written_down_proves_nothing() -> None:
    """A pump that is written down as a fan meets no rule of a pump either."""
    book, _, clock = new_book()
    build = supplied_build(book, clock, fed=False)
    book.work(FanHeaders).seats.add_chain(build, chain("cooler", 1))
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    verdict = book.work(FirstPower).start_machine(build, SOUND)
    assert (verdict.outcome, verdict.power_off) == (Outcome.INCONCLUSIVE, False)
    assert [reason.code for reason in verdict.reasons] == ["no_pump"]
    book.work(FanHeaders).seats.remove_chain(build, "cooler", "it is a pump")
    book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    assert book.work(FirstPower).start_machine(build, SOUND).outcome is Outcome.PASS


def test_the_machine_is_not_started_while_its_pump_sits_where_it_can_be_stopped() -> None:
    book, log, clock = new_book()
    build = supplied_build(book, clock, fed=False)
    book.work(FanHeaders).seats.add_header(build, header("PUMP", full_speed_lock=True))
    book.work(FanHeaders).seats.add_chain(build, pump())
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    book.work(FanHeaders).seats.move(build, "pump", "PUMP")
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    with pytest.raises(NotAllowed, match="can stop the pump"):
        book.work(FanHeaders).seats.set_header(build, "PUMP", set_to=None, full_speed_lock=False, why="firmware update")
    assert book.work(FirstPower).start_machine(build, SOUND).outcome is Outcome.PASS
    assert kinds(log, MachineStarted) == 1


@pytest.mark.parametrize("change", ["part", "fill", "supply"])
def test_a_changed_loop_another_fill_or_another_supply_take_the_verdict_away(change: str) -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    if change == "part":
        block = Part(
            part_id="x", kind=PartKind.OTHER, name="flow meter", volume_m3=1e-5, u_volume_m3=1e-6,
            max_gauge_pa=1e5, materials=(),
        )  # fmt: skip
        book.work(Sheet).add_part(build, block, typed=())
    elif change == "fill":
        answer(book, build, book.work(Fills), When.BEFORE_POURING)
        pour(book, build, 20)
        end_fill(book, build)
    else:
        supply(book, build)
    judged = book.build(build).judged_run("first_power")
    assert judged is not None
    assert judged.stale_by is not None
    rungs = {state.rung: state.outcome for state in book.work(FirstPower).verdict(book.build(build)).rungs}
    assert rungs[Rung.PUMP] is None
    assert rungs[Rung.SUPPLY] is (None if change == "supply" else Outcome.PASS)


@pytest.mark.parametrize("begun", ["drain", "hold"])
def test_neither_pump_nor_machine_runs_while_the_loop_is_emptied_or_held_anew(begun: str) -> None:
    book, log, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    if begun == "drain":
        answer(book, build, book.work(Fills), When.BEFORE_POURING)
        book.work(Fills).move(build, Drain(dose=amount(1000)))
    else:
        start_hold(book, build)
    for rung in (Rung.PUMP, Rung.MACHINE):
        assert book.work(FirstPower).locked(book.build(build), rung) is not None
    with pytest.raises(NotAllowed, match="is locked"):
        book.work(FirstPower).start_pump(build, JOINTS)
    with pytest.raises(NotAllowed, match="is locked"):
        book.work(FirstPower).start_machine(build, SOUND)
    assert (kinds(log, PumpStarted), kinds(log, MachineStarted)) == (1, 0)


def test_the_machine_waits_until_a_pump_that_is_written_down_sits_somewhere() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock, fed=False)
    watch_pump(book, clock, build)
    book.work(FanHeaders).seats.add_chain(build, pump())
    locked = book.work(FirstPower).locked(book.build(build), Rung.MACHINE)
    assert locked is not None
    assert locked.code == "pump_unplugged"


def test_the_machine_waits_where_a_withdrawn_move_left_a_header_overloaded() -> None:
    """Six fans of 200 mA on 1 A, after the move that had made room for three of them was withdrawn."""
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build)
    plugged(book, build)
    away = book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    book.work(FanHeaders).seats.add_chain(build, chain("rear"))
    book.work(FanHeaders).seats.move(build, "rear", "SYS 1")
    assert book.work(FirstPower).locked(book.build(build), Rung.MACHINE) is None
    book.withdraw(away.seq, "it was never moved")
    locked = book.work(FirstPower).locked(book.build(build), Rung.MACHINE)
    assert locked is not None
    assert locked.code == "steady_over"


def test_a_pump_whose_tach_shows_nothing_does_not_turn_whatever_is_heard() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    for sign in (PumpSign.SPEED, PumpSign.HEARD):
        verdict = book.work(FirstPower).start_machine(build, replace(SOUND, sign=sign, pump_rpm=0))
        assert (verdict.outcome, verdict.power_off) == (Outcome.FAIL, True)


def test_a_build_of_an_older_procedure_says_that_it_has_no_such_stage() -> None:
    toml = default_toml()
    older = toml[: toml.index('[[stages]]\nid = "first_power"')] + toml[toml.index("[[typical_parts]]") :]
    book, _, _ = new_book(procedure_toml=older)
    build = ready_build(book)
    with pytest.raises(NotAllowed, match="no stage first power"):
        book.work(FirstPower).acknowledge(build, "mains_out", "read")
    assert word(book, build, "bleed") == StageWord.LOCKED


def test_a_machine_that_is_started_once_more_begins_another_attempt_and_its_pass_proves_the_cure() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, MachineStart(sign=PumpSign.NONE, after_s=None, tach_connected=True))
    assert book.work(FirstPower).close(build).outcome is Outcome.FAIL
    with pytest.raises(NotAllowed, match="what was found"):
        book.work(FirstPower).findings.raise_finding(build, Rung.MACHINE, " ")
    book.work(FirstPower).findings.raise_finding(build, Rung.MACHINE, "plug on the wrong header")
    finding = book.build(build).findings[0]
    book.work(Mishaps).repaired(build, finding.raised.finding_id, "moved it")
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    assert book.build(build).of(FirstPowerState).started is not None
    assert book.work(FirstPower).close(build).outcome is Outcome.PASS
    assert book.build(build).findings[0].proved_by == 2


def test_a_fault_is_only_found_on_a_ladder_that_was_judged_and_cured_only_where_it_was_found() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    with pytest.raises(NotAllowed, match="not judged yet"):
        book.work(FirstPower).findings.raise_finding(build, Rung.PUMP, "drips")
    with pytest.raises(UnknownName, match="no such defect"):
        book.work(Mishaps).repaired(build, "nothing", "new seal")


def test_a_fault_of_the_ladder_is_not_taken_for_one_of_a_failed_hold() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, wet="block")
    book.work(FirstPower).close(build)
    book.work(FirstPower).findings.raise_finding(build, Rung.PUMP, "seal nicked")
    book.work(Mishaps).repaired(build, book.build(build).findings[0].raised.finding_id, "new seal")
    for caution in book.work(Holds).missing_cautions(book.build(build), When.BEFORE_PRESSURE):
        book.work(Holds).acknowledge(build, caution, "read")
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=60)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.FAIL
    with pytest.raises(NotAllowed, match="record what was found"):
        start_hold(book, build)


def test_a_clock_set_forward_after_a_restart_makes_no_leak_watch() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    power = book.work(FirstPower)
    answer(book, build, power, When.BEFORE_PUMP)
    power.start_pump(build, JOINTS)
    clock.restart(60)
    for _ in range(3):
        clock.step_wall(700)
        clock.run(5)
        for joint in JOINTS:
            power.look(build, joint, Paper.DRY)
    assert power.end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET).outcome is Outcome.INCONCLUSIVE
