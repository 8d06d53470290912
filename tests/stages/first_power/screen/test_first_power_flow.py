"""The first power-on as a flow: each rung, its locks, what a wet joint does, where the window may be closed."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.base.pump_supply import PumpSupply
from commission.base.verdict import Outcome
from commission.bench.card import CardContent
from commission.bench.doubt import refuse_unsaid
from commission.bench.joint_look import LookLine, read_look
from commission.procedure.model import When
from commission.record.entries import StageOverridden
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.machine.rungs import Rung, Rungs
from commission.record.machine.seats import Drive, Feed
from commission.stages.bleed.model import Bubbles
from commission.stages.bleed.work import Bleeds
from commission.stages.fan_headers.at_hand import PUMP_ON_THE_BRIDGE
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.fill.entries import PumpSupplyChosen
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.at_hand import BLEED_GOES_ON, PowerAtHand
from commission.stages.first_power.card import watch
from commission.stages.first_power.card.first_power import FirstPowerFlow, Phase
from commission.stages.first_power.card.from_file import cable_file_deed
from commission.stages.first_power.entries import (
    CableTested,
    JointLooked,
    MachineStarted,
    MultimeterNamed,
    PumpStarted,
)
from commission.stages.first_power.model.rails import Revision
from commission.stages.first_power.rows.show_power import first_power_lines
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import POWER, POWER_AGAIN
from tests.fakes import HandClock, ListLog, new_book
from tests.holds import ready_build, start_hold, type_hold
from tests.power_builds import header
from tests.power_builds import pump as pump_chain
from tests.stages.first_power.screen.power_bench import (
    CABLE,
    PLUG,
    closed,
    described,
    filled,
    supplied,
    watched,
    watching,
)
from tests.ui.bench import asked, led
from tests.ui.hostile import HOSTILE
from tests.wet_builds import answer, bleeding_build, end_fill, pour, run_cycle


def kinds(log: ListLog, kind: type) -> int:
    return sum(isinstance(entry.payload, kind) for entry in log.entries())


def phase_of(flow: FirstPowerFlow) -> Phase:
    return flow.phase


def figure(card: CardContent, label: str) -> str:
    found = [f"{one.value} {one.bounds} {one.remark}" for one in card.figures if one.label == label]
    assert found, f"{label} is not among {[one.label for one in card.figures]}"
    return found[0]


def everything(card: CardContent) -> str:
    return " ".join((card.verdict.text if card.verdict else "", *card.reasons))


# --- the whole ladder ---------------------------------------------------------------------------------------------


def test_the_whole_ladder_is_climbed_by_typed_lines_to_a_pass() -> None:
    book, log, clock, build = filled()
    flow = FirstPowerFlow(book, build)
    led(flow, [*POWER, "Larkspur 850 ATX2", "CPU"])
    led(flow, [*CABLE, "0.3 0.3", "0.3 0.3", "all OL", ""])
    assert phase_of(flow) is Phase.SUPPLY
    led(flow, [PLUG, "CPU +12 12.03", "PWR_OK 180 ms", "", "", ""])
    assert phase_of(flow) is Phase.JOINTS
    led(flow, ["", ""])
    for _ in range(3):
        clock.run(601)
        led(flow, ["all dry"])
    led(flow, ["off", "steady quiet", "ready", ""])
    assert phase_of(flow) is Phase.MACHINE
    led(flow, ["speed 2 s 4700 rpm", "right 41 degC"])
    assert phase_of(flow) is Phase.END
    assert led(flow, [""]) == ["the first power-on is ended: PASS"]
    run = book.build(build).judged_run("first_power")
    assert run is not None
    assert run.outcome is Outcome.PASS
    assert flow.hand.rung.word is StageWord.PASSED
    assert "fan headers" in asked(flow)
    led(flow, [""])
    assert flow.go == "fan_headers"
    assert kinds(log, CableTested) == 4  # the meter's leads, two lines of wires, one of pairs: each stored at once


@pytest.mark.parametrize("word", ["machine", "pump", "skip", "skip to the pump"])
def test_trying_to_skip_a_rung_is_answered_in_one_line(word: str) -> None:
    book, log, _, build = described()
    flow = FirstPowerFlow(book, build)
    head = log.head()
    with pytest.raises(InputError) as refused:
        flow.answer(word)
    assert "locked" in str(refused.value) or "no step is skipped" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert log.head() == head


def test_each_caution_is_answered_by_itself_at_its_own_moment() -> None:
    book, _, clock, build = filled()
    flow = FirstPowerFlow(book, build)
    for left in range(len(POWER), 0, -1):
        assert phase_of(flow) is Phase.CAUTIONS
        assert flow.card().step == f"{len(POWER) + 1 - left} of {len(POWER)}"
        led(flow, [POWER[len(POWER) - left]])
    led(flow, ["Larkspur ATX2", "none", PLUG, ""])
    assert "Only the pump is plugged in" in flow.card().cautions[0].text
    led(flow, ["", "", "block, radiator", "", ""])
    for _ in range(3):
        clock.run(601)
        led(flow, ["all dry"])
    led(flow, ["off", "steady quiet"])
    assert "Hand on the supply's switch. The pump not turning within 5 s," in flow.card().cautions[0].text


# --- cables -------------------------------------------------------------------------------------------------------


def test_a_window_closed_in_the_middle_of_a_cable_goes_on_where_it_was() -> None:
    book, _, _, build = described("CPU")
    led(FirstPowerFlow(book, build), [*CABLE, "0.3 0.3"])
    flow = FirstPowerFlow(book, build)
    assert phase_of(flow) is Phase.CABLES
    assert "3>3 4>4" in asked(flow)
    led(flow, ["0.3 0.3"])
    assert "3/1 4/1" in asked(FirstPowerFlow(book, build))


def test_the_readings_of_a_cable_come_from_a_file_too_and_join_what_was_typed(tmp_path: Path) -> None:
    book, log, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, "0.3 0.3"])
    file = tmp_path / "rest.csv"
    file.write_text("test,from,to,reading\nwire,3,3,0.3\nwire,4,4,0.3\npair,3,1,OL\n", encoding="utf-8")
    head = log.head()
    with pytest.raises(InputError, match="there is no file"):
        flow.answer(f"file {tmp_path / 'other.csv'}")
    assert log.head() == head
    led(flow, [f"file {file}"])
    assert "4/1" in asked(flow)
    led(flow, ["OL"])
    tested = book.build(build).of(FirstPowerState).cable("CPU")
    assert tested is not None
    assert tested.verdict.outcome is Outcome.PASS


def test_the_very_readings_of_another_cable_are_asked_about_and_it_is_said_that_they_are_right(tmp_path: Path) -> None:
    file = tmp_path / "meter.csv"
    read = "".join(f"wire,{pin},{pin},0.3\n" for pin in "1234") + "pair,3,1,OL\npair,4,1,OL\n"
    head = "# cable: cpu-4-pin 18 AWG 0.6 m\n# map: one to one\n# meter: 0.2\ntest,from,to,reading\n"
    file.write_text(head + read, encoding="utf-8")
    book, log, _, build = described("CPU", "CPU 2")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, f"file {file}", "done", *CABLE, f"file {file}"])
    assert asked(flow) == 'meter.csv has the very readings of cable "CPU", to the last digit. Is it right?'
    stored = kinds(log, CableTested)
    led(flow, ["no"])
    assert kinds(log, CableTested) == stored
    hand = PowerAtHand(book, build)
    with pytest.raises(InputError, match="If it is right, say so with --same"):
        cable_file_deed(hand, "CPU 2", file, refuse_unsaid(False, "--same"), unplugged=True)
    led(flow, [f"file {file}", "yes"])
    said = "the very readings of CPU, said to be right"
    assert [one.remark for one in flow.card().figures].count(said) == 1
    shown = [one if isinstance(one, str) else one.line() for one in first_power_lines(book, book.build(build))]
    assert [line.partition(":")[0] for line in shown if said in line] == ["cable CPU 2"]


def test_voltages_come_from_a_file_too_and_take_the_place_of_the_same_ones(tmp_path: Path) -> None:
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, ["24-pin +12 10.9"])
    assert flow.hand.standing(Rung.SUPPLY).outcome is Outcome.FAIL
    file = tmp_path / "volts.csv"
    rows = "24 pin,+12 V,12.05\n24pin,+5 V,5.02\n24-pin,+3.3 V,3.31\n24-pin,+5VSB,5.08\n"
    file.write_text(f"plug,rail,voltage [V]\n{rows}", encoding="utf-8")
    led(flow, [f"file {file}"])
    rails = flow.hand.power.rails
    assert rails is not None
    assert (rails.outcome, len(rails.rows)) == (Outcome.PASS, 4)
    assert {str(row.reading.kind) for row in rails.rows} == {"board"}  # told by the name of the plug, as when typed
    assert "repaired" in flow.hand.unmended(Rung.SUPPLY)


def test_the_error_of_the_meter_goes_with_the_voltages_that_were_read_with_it(tmp_path: Path) -> None:
    """11.41 V with an error of 0.02 V reaches over 11.40 V (ATX12V design guide 2.0, table 2), whatever comes later."""
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    file = tmp_path / "volts.csv"
    rows = "24-pin,+12 V,11.41\n24-pin,+5 V,5.02\n24-pin,+3.3 V,3.31\n24-pin,+5VSB,5.08\n"
    file.write_text(f"# meter error: 0.02 V\nplug,rail,voltage [V]\n{rows}", encoding="utf-8")
    flow.hand.work.describe_supply(build, name="Larkspur 850", revision=Revision.ATX2, hand_made=())
    led(FirstPowerFlow(book, build), [f"file {file}"])
    assert book.build(build).of(Rungs).shown[Rung.SUPPLY] is Outcome.INCONCLUSIVE
    led(FirstPowerFlow(book, build), ["CPU 1 +12 12.05"])
    assert book.build(build).of(Rungs).shown[Rung.SUPPLY] is Outcome.INCONCLUSIVE


def test_a_passed_cable_says_that_it_proves_the_map_and_not_the_crimp() -> None:
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, "0.3 0.3 0.3 0.3", "OL OL"])
    card = flow.card()
    assert card.verdict is not None
    assert card.verdict.word == "pass"
    assert "not the crimp" in everything(card)
    assert "never carry a cable over" in everything(card)
    assert "table 5-8" in everything(card)
    assert figure(card, "wires proven").startswith("4 of 4")


def test_a_swapped_wire_fails_and_only_a_cable_measured_anew_passes() -> None:
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, "0.3 OL OL 0.3", "2>3 0.3", "3>2 0.3", "all OL"])
    assert "Pin 2 leads to pin 3" in everything(flow.card())
    with pytest.raises(InputError, match="locked"):
        flow.answer("supply")
    prompt = flow.now()
    assert prompt is not None
    assert prompt.proposal == "again"
    led(flow, ["", "", "0.2", "0.3 0.3 0.3 0.3", "all OL"])
    assert "cable CPU failed before: what was done" in asked(flow)
    with pytest.raises(InputError, match="what was done"):
        flow.answer("done")
    with pytest.raises(InputError, match="after the word repaired"):
        flow.answer("repaired")
    led(flow, ["repaired pins 2 and 3 crimped the right way round", ""])
    assert phase_of(flow) is Phase.SUPPLY
    led(flow, [PLUG])
    assert "the plug of CPU" in asked(flow)
    with pytest.raises(InputError, match="have not passed"):
        flow.answer("done")
    led(flow, ["CPU +12 12.04"])
    assert flow.hand.passed(Rung.SUPPLY)


def test_a_voltage_that_failed_under_load_is_replaced_by_a_line_that_does_not_say_loaded_again() -> None:
    """11.2 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, _, build = filled()
    flow = FirstPowerFlow(book, build)
    led(flow, [*POWER, "Larkspur ATX2", "none", PLUG, "GPU 1 loaded +12 11.2"])
    assert not flow.hand.passed(Rung.SUPPLY)
    prompt = flow.now()
    assert prompt is not None
    assert "under load" in prompt.understand("GPU 1 +12 11.95")
    assert "without load" in prompt.understand("GPU 1 unloaded +12 11.95")
    led(flow, ["GPU 1 +12 11.95"])
    rails = book.build(build).of(FirstPowerState).rails
    assert rails is not None
    assert rails.outcome is Outcome.PASS
    assert [(row.reading.typed, row.reading.loaded) for row in rails.rows if row.reading.plug == "GPU 1"] == [
        ("11.95", True)
    ]


def test_a_plug_that_did_not_fail_under_load_is_read_without_load_as_before() -> None:
    book, _, _, build = filled()
    flow = FirstPowerFlow(book, build)
    led(flow, [*POWER, "Larkspur ATX2", "none", PLUG, "GPU 1 loaded +12 12.0", "GPU 1 +12 12.1"])
    rails = book.build(build).of(FirstPowerState).rails
    assert rails is not None
    loads = [row.reading.loaded for row in rails.rows if row.reading.plug == "GPU 1"]
    assert loads == [True, False]
    with pytest.raises(InputError, match="one line for each"):
        flow.answer("GPU 1 loaded unloaded +12 12.0")


def test_a_reading_between_short_and_open_is_asked_for_again() -> None:
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, "all 0.3", "2 Mohm OL"])
    assert "3/1" in asked(flow)
    assert "fingers" in everything(flow.card())
    led(flow, ["OL"])
    assert flow.hand.passed(Rung.CABLES)


def test_a_custom_map_is_read_from_a_small_file_and_told_back(tmp_path: Path) -> None:
    path = tmp_path / "map.csv"
    path.write_text("load,supply\n1,3\n2,4\n3,1\n4,2\n", encoding="utf-8")
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [CABLE[0]])
    prompt = flow.now()
    assert prompt is not None
    assert "1>3 2>4 3>1 4>2" in prompt.understand(str(path))
    led(flow, [str(path), "", "0.2"])
    assert "1>3 2>4 3>1 4>2" in asked(flow)


def test_a_pin_map_is_typed_pin_by_pin_and_what_is_left_is_asked_for() -> None:
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, ["cpu-4-pin 18 AWG 0.6 m", "1>3 2>4"])
    assert asked(flow) == "Pin 3 at the load: which pin at the supply? 2 pins left."
    with pytest.raises(InputError, match='"9" is no pin'):
        flow.answer("9>1")
    assert "1>3 2>4 3>1" in flow.answer("1")
    led(flow, ["4>2", "", "0.2"])
    tested = book.build(build).of(FirstPowerState).cable("CPU")
    assert tested is not None
    assert [(one.load, one.supply) for one in tested.test.cable.wires] == [
        ("1", "3"),
        ("2", "4"),
        ("3", "1"),
        ("4", "2"),
    ]


@pytest.mark.parametrize("line", ["1 2", "1", "1, 3", "1>3 2", "1 3 4 2"])
def test_numbers_without_the_sign_between_two_pins_are_no_map(line: str) -> None:
    """Taken one by one, "1 2" would be 1>1 2>2, where 1>2 was meant: +12 V on a wrong pin."""
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, ["cpu-4-pin 18 AWG 0.6 m"])
    with pytest.raises(InputError, match=r"type load>supply, such as \d>\d"):
        flow.answer(line)
    assert "Which pin at the supply does each pin" in asked(flow)
    led(flow, ["1>3"])
    if line != "1":  # the pin that is asked for now has its answer in one number
        with pytest.raises(InputError, match="does not say which pin"):
            flow.answer(line)


@pytest.mark.parametrize("content", ["load,supply\n1,1\n", "load,supply\n9,1\n", "a,b\n1,1\n", "x" * 70_000])
def test_a_map_that_cannot_be_read_is_refused_and_nothing_is_stored(tmp_path: Path, content: str) -> None:
    path = tmp_path / "map.csv"
    path.write_text(content, encoding="utf-8")
    book, log, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, [CABLE[0]])
    head = log.head()
    for text in (str(path), str(tmp_path), str(tmp_path / "none.csv")):
        with pytest.raises(CommissionError):
            flow.answer(text)
    assert log.head() == head


def test_a_cable_is_not_measured_while_an_end_is_plugged_in() -> None:
    book, log, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, CABLE[:2])
    with pytest.raises(InputError, match="unplug both ends"):
        flow.answer("no")
    assert kinds(log, CableTested) == 0


def test_escape_goes_back_question_by_question_through_the_form_of_a_cable() -> None:
    book, _, _, build = described("CPU")
    flow = FirstPowerFlow(book, build)
    led(flow, CABLE[:3])
    questions = [asked(flow)]
    while flow.back():
        questions.append(asked(flow))
    assert [text.split()[0] for text in questions] == ["Hold", "Unplug", "Which", "Cable"]


def test_cables_may_be_measured_out_of_turn() -> None:
    book, _, _, build = described("CPU", "CPU 2")
    flow = FirstPowerFlow(book, build)
    led(flow, [*CABLE, "cable CPU 2"])
    assert '"CPU 2"' in asked(flow)
    led(flow, CABLE)
    assert "1>1" in asked(flow)


# --- supply -------------------------------------------------------------------------------------------------------


def test_a_voltage_out_of_its_window_is_shown_with_its_raw_digits_and_its_last_reading_counts() -> None:
    """11.396 V is below 11.40 V, the lower edge of +12 V: ATX12V design guide 2.0, 3.2.1, table 2 (5 %)."""
    book, _, _, build = filled()
    flow = FirstPowerFlow(book, build)
    led(flow, [*POWER, "Larkspur ATX2", "none", PLUG, "GPU 1 +12 11,396"])
    assert figure(flow.card(), "GPU 1 +12 V").startswith("11,396 V FAIL: 11.40 to 12.60 V")
    assert "Off, mains out" in asked(flow)
    with pytest.raises(InputError, match="locked"):
        flow.answer("pump")
    led(flow, ["GPU 1 +12 12.02"])
    assert "GPU 1 +12 V failed before: what was done" in asked(flow)
    led(flow, ["repaired contact pushed home"])
    assert flow.hand.passed(Rung.SUPPLY)
    assert figure(flow.card(), "GPU 1 +12 V").startswith("12.02 V PASS")


def test_the_wider_window_of_a_graphics_plug_is_marked_as_second_hand() -> None:
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, [PLUG, "GPU 1 +12 11.10"])
    assert "11.04 to 12.60 V (second-hand)" in figure(flow.card(), "GPU 1 +12 V")
    assert "Windows: second-hand: the method page" in everything(flow.card())
    assert "11.10 V" in figure(flow.card(), "GPU 1 +12 V")
    assert "GPU 1 sags" in everything(flow.card())


def test_a_late_power_ok_bars_the_pump() -> None:
    """PWR_OK within 100 to 250 ms: Intel ATX version 3 design guide, rev 2.1a, table 4-10."""
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, [PLUG, "PWR_OK 600 ms"])
    assert "too late" in figure(flow.card(), "PWR_OK")
    with pytest.raises(InputError, match="not passed"):
        flow.answer("done")


def test_a_mistyped_plug_is_dropped_and_the_rest_still_counts() -> None:
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, [PLUG, "24-pni +12 9.0"])
    with pytest.raises(InputError, match="type why 24-pni is left out"):
        flow.answer("drop 24-pni")
    led(flow, ["drop 24-pni # mistyped, there is no such plug"])
    assert flow.hand.passed(Rung.SUPPLY)
    assert "24-pni was left out: mistyped, there is no such plug" in everything(flow.card())


def test_every_plug_can_be_read_before_the_pump_is_asked_for_even_in_another_window() -> None:
    book, _, _, build = described()
    led(FirstPowerFlow(book, build), [PLUG])
    flow = FirstPowerFlow(book, build)
    assert phase_of(flow) is Phase.SUPPLY
    led(flow, ["CPU +12 12.04", ""])
    assert phase_of(flow) is Phase.CAUTIONS


def test_another_supply_takes_the_voltages_away() -> None:
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, [PLUG, "describe"])
    assert "Which supply" in asked(flow)
    assert flow.back()
    assert phase_of(flow) is Phase.SUPPLY
    led(flow, ["describe", "Hornbeam 650 ATX2", "none"])
    assert book.build(build).of(FirstPowerState).rails is None


# --- the locks of the pump ----------------------------------------------------------------------------------------


def test_cables_and_supply_are_measured_while_the_loop_is_not_proved_and_the_pump_is_locked_for_good() -> None:
    book, log, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=60)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.FAIL
    for stage in ("pressure_hold", "fill"):
        book.record(build, StageOverridden(stage=stage, reason="as older records hold it"))
    with pytest.raises(NotAllowed, match="no reason opens"):
        book.override(build, "first_power", "it will be fine")
    book.record(build, StageOverridden(stage="first_power", reason="as older records hold it"))
    flow = FirstPowerFlow(book, build)
    led(flow, [*POWER, "Larkspur ATX2", "none", PLUG])
    with pytest.raises(InputError, match="proven tight"):
        flow.answer("pump")
    led(flow, [""])
    assert phase_of(flow) is Phase.LOCKED
    assert "pressure hold has not passed" in asked(flow)
    assert "No reason opens this lock" in asked(flow)
    with pytest.raises(InputError, match="no reason opens"):
        flow.answer("override it is tight")
    led(flow, [""])
    assert flow.go == "pressure_hold"
    led(flow, ["supply"])
    assert phase_of(flow) is Phase.SUPPLY
    assert kinds(log, PumpStarted) == 0


def test_a_bleed_that_failed_locks_the_pump_and_enter_goes_there() -> None:
    book, _, clock, build = watched()
    bleeds = book.work(Bleeds)
    answer(book, build, bleeds, When.BEFORE_PUMP)
    bleeds.start(build)
    run_cycle(book, clock, build, 1, bubbles=Bubbles.MANY)
    bleeds.close(build)
    flow = FirstPowerFlow(book, build)
    assert phase_of(flow) is Phase.LOCKED
    assert "The bleed failed" in asked(flow)
    with pytest.raises(InputError, match="no reason opens"):
        flow.answer("override it is only foam")
    led(flow, [""])
    assert flow.go == "bleed"


def test_the_machine_asks_for_its_pump_on_the_sheet_and_a_start_without_it_is_no_pass() -> None:
    book, _, _, build = watched()
    book.work(FanHeaders).seats.remove_chain(build, "loop pump", "written down wrong")
    flow = FirstPowerFlow(book, build)
    assert "No pump is written down" in asked(flow)
    led(flow, [""])
    assert flow.go == "fan_headers"
    led(flow, ["speed 2 s 4700 rpm", "right 41 degC"])
    assert "No pump is written down" in asked(flow)
    assert (line := flow.card().verdict) is not None
    assert line.word == "inconclusive"
    book.work(FanHeaders).seats.add_chain(build, pump_chain(feed=Feed.SUPPLY, reports=None))
    flow.refresh()
    assert "Does the pump turn" in asked(flow)
    led(flow, ["speed 2 s 4700 rpm", "right 41 degC"])
    assert "All four steps passed" in asked(flow)


def test_the_machine_waits_until_nothing_can_stop_its_pump() -> None:
    book, _, _, build = watched()
    book.work(FanHeaders).seats.add_header(build, header("PUMP"))
    locked = book.work(FanHeaders).seats.set_header(
        build, "PUMP", set_to=Drive.PWM, full_speed_lock=True, why="firmware"
    )
    book.work(FanHeaders).seats.add_chain(build, pump_chain())
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    book.work(FanHeaders).seats.move(build, "pump", "PUMP")
    assert phase_of(FirstPowerFlow(book, build)) is Phase.MACHINE
    book.withdraw(locked.seq, "it was another header")
    flow = FirstPowerFlow(book, build)
    assert phase_of(flow) is Phase.LOCKED
    assert "can stop the pump" in asked(flow)
    led(flow, [""])
    assert flow.go == "fan_headers"


# --- the watch ----------------------------------------------------------------------------------------------------


def test_a_window_closed_in_the_middle_of_the_watch_goes_on_with_its_clock() -> None:
    book, _, clock, build = watching()
    clock.run(601)
    led(FirstPowerFlow(book, build), ["dry"])
    clock.run(30)
    flow = FirstPowerFlow(book, build)
    assert phase_of(flow) is Phase.WATCH
    assert flow.watching.times().elapsed_s == 631
    assert "block out, then 1 more" in asked(flow)
    assert flow.watching.due == ("block out", "radiator")


def test_the_card_says_which_joint_is_due_and_when() -> None:
    """Three looks in half an hour by the procedure: common practice, no source."""
    book, _, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    assert flow.watching.times().due_in_s == 600
    assert "in 10 min: block in" in asked(flow)
    assert figure(flow.card(), "block in").startswith("0 looks next")
    clock.run(600)
    assert "due now: press dry paper to block in" in asked(flow)
    led(flow, ["all dry"])
    assert flow.watching.times().due_in_s == 600
    assert figure(flow.card(), "radiator").startswith("1 look next dry at 10 min")


def test_a_wet_look_says_at_once_off_and_mains_out_and_the_machine_stays_locked() -> None:
    book, log, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    clock.run(60)
    prompt = flow.now()
    assert prompt is not None
    assert "OFF AT ONCE" in prompt.understand("radiator wet")
    led(flow, ["radiator wet"])
    assert asked(flow).startswith("OFF AT ONCE, mains plug out: radiator is wet")
    assert asked(FirstPowerFlow(book, build)) == asked(flow)
    with pytest.raises(InputError):
        flow.answer("")  # by a reflex it would be stored that the mains is out
    led(flow, ["off"])
    assert phase_of(flow) is Phase.END
    assert "failed" in asked(flow)
    with pytest.raises(InputError, match="locked"):
        flow.answer("machine")
    assert led(flow, [""]) == ["the first power-on is ended: FAIL"]
    assert kinds(log, MachineStarted) == 0


def test_after_a_wet_joint_finding_and_cure_are_asked_for_and_the_way_leads_to_the_hold() -> None:
    book, _, _, build = watching()
    flow = FirstPowerFlow(book, build)
    led(flow, ["radiator wet", "off", ""])
    assert phase_of(flow) is Phase.AFTER
    assert '"pump only" failed' in asked(flow)
    led(flow, ["seal nicked", "new seal, greased"])
    finding = book.build(build).findings[0]
    assert (finding.raised.stage, finding.raised.where, finding.cure) == (
        "first_power",
        "pump only",
        "new seal, greased",
    )
    assert "repeat the pressure hold" in asked(flow)
    assert "seal nicked" in everything(flow.card())
    led(flow, [""])
    assert flow.go == "pressure_hold"
    led(flow, ["again"])
    assert phase_of(flow) is Phase.CAUTIONS


def test_a_damp_joint_is_looked_at_again_in_some_minutes_and_weeps_the_second_time() -> None:
    book, _, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    clock.run(600)
    led(flow, ["damp", "all dry"])
    assert flow.watching.due == ("block in",)
    assert "Look again in 3 min" in asked(flow)
    clock.run(180)
    led(flow, ["damp"])
    assert "block in was damp more than once" in asked(flow)


def test_a_look_is_read_once_from_the_look_at_the_line_to_its_entry(monkeypatch: pytest.MonkeyPatch) -> None:
    book, _, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    clock.run(600)
    lines: list[str] = []

    def counted(text: str, *joints: Sequence[str]) -> LookLine:
        lines.append(text)
        return read_look(text, *joints)

    monkeypatch.setattr(watch, "read_look", counted)
    prompt = flow.now()
    assert prompt is not None
    told = prompt.understand("damp")
    assert flow.answer("damp") in told
    assert lines == ["damp"]
    assert [look.paper for look in flow.hand.state.of(FirstPowerState).looks] == [Paper.DAMP]


def test_a_mistyped_wet_look_is_withdrawn_with_a_reason() -> None:
    book, _, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    clock.run(600)
    led(flow, ["radiator wet", "undo", ""])
    assert book.build(build).of(FirstPowerState).looks == ()
    assert "Look 1 of 3" in asked(flow)
    led(flow, ["dry", "undo"])
    for text in ("undo", "Undo", "all dry", "radiator wet", "12.1"):
        with pytest.raises(InputError):
            flow.answer(text)
    assert len(book.build(build).of(FirstPowerState).looks) == 1
    led(flow, ["wrong joint"])
    assert book.build(build).of(FirstPowerState).looks == ()
    with pytest.raises(NotAllowed, match=r'\("pump started"\) cannot be withdrawn'):
        flow.answer("undo")


def test_a_watch_that_ends_early_says_what_is_due_and_proves_nothing() -> None:
    book, _, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    clock.run(120)
    led(flow, ["all dry", "off"])
    assert "still due block in" in asked(flow)
    assert flow.back()
    led(flow, ["off", "steady quiet"])
    assert phase_of(flow) is Phase.JOINTS
    assert flow.hand.standing(Rung.PUMP).outcome is Outcome.INCONCLUSIVE
    assert flow.joints.list == ("block in", "block out", "radiator")


def test_a_list_without_a_joint_of_a_part_is_refused_at_the_list_and_not_only_as_the_pump_starts() -> None:
    book, _, _, build = supplied()
    flow = FirstPowerFlow(book, build)
    refusals = []
    for refused in (
        lambda: flow.answer("block in, drain"),
        lambda: book.work(FirstPower).start_pump(build, ["block in", "drain"]),
    ):
        with pytest.raises(InputError, match="no joint of top radiator is on the list") as caught:
            refused()
        refusals.append(str(caught.value))
    assert len(set(refusals)) == 1
    led(flow, ["+ drain", "- top radiator in"])
    with pytest.raises(InputError, match="no joint of top radiator is on the list"):
        flow.answer("- top radiator out")
    assert flow.joints.list == ("top radiator out", "case floor", "drain")


def test_nothing_else_is_done_while_the_pump_runs() -> None:
    book, _, _, build = watching()
    flow = FirstPowerFlow(book, build)
    for word in ("end", "supply", "machine"):
        with pytest.raises(InputError, match="switch it off, type off"):
            flow.answer(word)


# --- the machine --------------------------------------------------------------------------------------------------


def test_a_pump_that_does_not_turn_means_power_off_at_once() -> None:
    book, log, _, build = watched()
    flow = FirstPowerFlow(book, build)
    led(flow, ["none tach"])
    assert asked(flow).startswith("POWER OFF AT ONCE, mains plug out. The pump did not turn within 5 s")
    assert asked(FirstPowerFlow(book, build)).startswith("POWER OFF AT ONCE")
    with pytest.raises(InputError):
        flow.answer("")
    led(flow, ["off"])
    assert book.build(build).of(FirstPowerState).started is not None
    assert kinds(log, MachineStarted) == 2
    assert led(flow, ["", "plug on the wrong header", "moved it"])[0].endswith("FAIL")


def test_a_pump_that_nobody_can_see_is_powered_off_and_started_once_more() -> None:
    book, _, _, build = watched()
    flow = FirstPowerFlow(book, build)
    led(flow, ["none no tach", "off"])
    assert phase_of(flow) is Phase.MACHINE
    assert "start once more" in asked(flow)
    led(flow, ["seen 2 s", "right 40 degC", ""])
    assert flow.hand.rung.word is StageWord.PASSED


def test_a_pump_far_below_its_nameplate_is_asked_for_again_and_told_why() -> None:
    """480 of the 4800 rpm that the pump of these builds states are 0.10 of them."""
    book, _, _, build = watched()
    flow = FirstPowerFlow(book, build)
    led(flow, ["speed 2 s 480 rpm", "right 41 degC"])
    assert asked(flow).startswith("The pump shows 480 rpm, 0.10 of the nameplate's 4800 rpm")
    led(flow, ["4700 rpm"])
    assert book.build(build).of(Rungs).shown[Rung.MACHINE] is Outcome.PASS


def test_of_two_pumps_each_must_be_seen_to_turn() -> None:
    book, _, _, build = watched()
    book.work(FanHeaders).seats.add_chain(build, pump_chain(feed=Feed.SUPPLY, reports=None))
    flow = FirstPowerFlow(book, build)
    led(flow, ["speed 2 s 4700 rpm", "right 41 degC"])
    assert asked(flow).startswith("2 pumps are written down, and the sign is that of one")
    assert book.build(build).of(Rungs).shown[Rung.MACHINE] is Outcome.INCONCLUSIVE
    led(flow, ["all"])
    assert book.build(build).of(Rungs).shown[Rung.MACHINE] is Outcome.PASS
    assert "each pump turns" in book.entry_text(book.entries(build)[-1].payload)


def test_a_window_closed_after_the_pumps_sign_asks_for_the_rest() -> None:
    book, _, _, build = watched()
    led(FirstPowerFlow(book, build), ["speed 2 s 4700 rpm"])
    flow = FirstPowerFlow(book, build)
    assert "In the firmware" in asked(flow)
    led(flow, ["right 41 degC"])
    assert phase_of(flow) is Phase.END


def test_a_processor_that_is_too_hot_is_powered_off() -> None:
    """90 °C by the procedure: common practice, no source."""
    book, _, _, build = watched()
    flow = FirstPowerFlow(book, build)
    led(flow, ["speed 2 s 4700 rpm", "right 96 degC"])
    assert "POWER OFF AT ONCE" in asked(flow)
    assert "96 °C" in asked(flow)


def test_a_failed_start_is_retested_from_the_machine_and_the_cure_is_proved_by_its_pass() -> None:
    book, _, _, build = closed("speed 2 s 4700 rpm", "wrong 41 degC")
    flow = FirstPowerFlow(book, build)
    led(flow, ["front and rear swapped in the record", "record put right", ""])
    assert phase_of(flow) is Phase.CAUTIONS
    led(flow, [*POWER_AGAIN, "ready", ""])
    assert phase_of(flow) is Phase.MACHINE
    led(flow, ["speed 2 s 4700 rpm", "right 41 degC", ""])
    run = book.build(build).judged_run("first_power")
    assert run is not None
    assert (run.attempt, run.outcome) == (2, Outcome.PASS)
    assert book.build(build).findings[0].proved_by == 2
    assert "Proved by attempt 2" in everything(flow.card())


def test_a_start_that_failed_and_was_made_again_asks_what_was_done_before_it_passes() -> None:
    book, _, _, build = watched()
    flow = FirstPowerFlow(book, build)
    led(flow, ["none tach", "off", "machine", "speed 2 s 4700 rpm", "right 41 degC"])
    assert asked(flow).startswith("whole machine failed before: what was done about it?")
    assert asked(FirstPowerFlow(book, build)).startswith("whole machine failed before")
    led(flow, ["repaired plug moved to its own header", ""])
    assert flow.hand.rung.word is StageWord.PASSED
    assert "Done: plug moved to its own header" in everything(flow.card())


@pytest.mark.parametrize("text", ["no", "No.", "not turning", "does not turn", "0", "0 rpm"])
def test_that_the_pump_does_not_turn_is_taken_at_once(text: str) -> None:
    book, log, _, build = watched()
    flow = FirstPowerFlow(book, build)
    led(flow, [text])
    assert kinds(log, MachineStarted) == 1
    verdict = book.build(build).of(FirstPowerState).machine
    assert verdict is not None
    assert verdict.power_off
    assert asked(flow).startswith("POWER OFF AT ONCE, mains plug out.")


def test_a_tach_that_shows_zero_fails_and_a_bare_no_proves_only_that_power_must_go_off() -> None:
    for text, outcome in (("0", Outcome.FAIL), ("no", Outcome.INCONCLUSIVE)):
        book, _, _, build = watched()
        led(FirstPowerFlow(book, build), [text])
        verdict = book.build(build).of(FirstPowerState).machine
        assert verdict is not None
        assert verdict.outcome is outcome


# --- the end ------------------------------------------------------------------------------------------------------


def test_a_ladder_that_was_not_climbed_to_the_top_is_judged_only_when_asked_for() -> None:
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, ["end"])
    assert "Not every step has passed" in asked(flow)
    assert flow.back()
    assert phase_of(flow) is Phase.SUPPLY
    assert led(flow, ["end", ""])[-1].endswith("INCONCLUSIVE")
    assert "a step is still open" in asked(flow)


def test_there_is_nothing_to_end_in_a_retest_before_something_was_done() -> None:
    book, _, _, build = closed("speed 2 s 4700 rpm", "wrong 41 degC")
    flow = FirstPowerFlow(book, build)
    led(flow, ["front and rear swapped in the record", "record put right", "", *POWER_AGAIN, "ready", ""])
    prompt = flow.now()
    assert prompt is not None
    assert "end" not in prompt.hint.split(" · ")
    with pytest.raises(InputError, match="nothing to end"):
        flow.answer("end")
    assert phase_of(flow) is Phase.MACHINE
    led(flow, ["speed 2 s 4700 rpm"])
    prompt = flow.now()
    assert prompt is not None
    assert "end" in prompt.hint.split(" · ")


def test_a_passed_ladder_is_climbed_again_from_the_rung_that_is_named() -> None:
    book, _, _, build = closed()
    flow = FirstPowerFlow(book, build)
    led(flow, ["again"])
    assert "Which step" in asked(flow)
    for text in ("end", "fans"):
        with pytest.raises(InputError):
            flow.answer(text)
    led(flow, ["pump", *POWER_AGAIN, "", "", "", ""])
    assert phase_of(flow) is Phase.WATCH
    run = book.build(build).judged_run("first_power")
    assert run is not None
    assert run.stale_by is not None


def test_a_fill_that_was_changed_since_makes_the_verdict_stale() -> None:
    book, _, _, build = closed()
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    pour(book, build, 20)
    end_fill(book, build)
    flow = FirstPowerFlow(book, build)
    card = flow.card()
    assert card.verdict is not None
    assert card.verdict.word == "stale"
    assert "changed since" in asked(flow)


def test_a_note_is_written_down_on_every_rung() -> None:
    for make in (described, supplied, watching, watched):
        book, _, _, build = make()
        led(FirstPowerFlow(book, build), ["note smells of varnish"])
        assert book.build(build).notes == ("smells of varnish",)


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("make", [filled, lambda: described("CPU"), described, supplied, watching, watched, closed])
def test_no_text_breaks_the_flow(make: Callable[[], tuple[Logbook, ListLog, HandClock, str]], text: str) -> None:
    book, _, _, build = make()
    flow = FirstPowerFlow(book, build)
    try:
        flow.answer(text)
    except CommissionError as error:
        refused = str(error)
    else:
        refused = "taken"
    assert refused
    assert flow.content().proves


def test_looks_are_stored_one_by_one_with_the_time_of_each() -> None:
    book, log, clock, build = watching()
    clock.run(60)
    led(FirstPowerFlow(book, build), ["all dry # first round"])
    looks = [entry.payload.look for entry in log.entries() if isinstance(entry.payload, JointLooked)]
    assert [(look.joint, look.paper, look.elapsed_s, look.note) for look in looks] == [
        (joint, Paper.DRY, 60.0, "first round") for joint in ("block in", "block out", "radiator")
    ]


def test_the_power_card_says_that_the_bleed_of_the_same_build_goes_on() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    assert BLEED_GOES_ON in FirstPowerFlow(book, build).card().notices
    assert PUMP_ON_THE_BRIDGE not in HeadersFlow(book, build).card().notices
    book.record(build, PumpSupplyChosen(supply=PumpSupply.BRIDGED))
    assert PUMP_ON_THE_BRIDGE in HeadersFlow(book, build).card().notices
    book.work(Bleeds).close(build)
    assert PUMP_ON_THE_BRIDGE not in HeadersFlow(book, build).card().notices
    assert BLEED_GOES_ON not in FirstPowerFlow(book, build).card().notices


def test_a_slip_in_a_voltage_is_told_as_a_slip_and_never_as_a_repair() -> None:
    """5.80 V for 5.08 V: 5 % above 5 V are 5.25 V (ATX12V design guide 2.0, table 2)."""
    book, _, _, build = described()
    flow = FirstPowerFlow(book, build)
    led(flow, ["24-pin +12 12.05 +5 5.02 +3.3 3.31 +5VSB 5.80"])
    assert asked(flow).endswith("or slip, if it was mistyped.")
    with pytest.raises(InputError, match="still stands there as it failed: type what the meter shows, then slip"):
        flow.answer("slip")
    led(flow, [PLUG])
    prompt = flow.now()
    assert prompt is not None
    assert (prompt.placeholder, prompt.hint.partition(" ·")[0]) == ("repaired new crimp", "slip: it was mistyped")
    assert flow.hand.standing(Rung.SUPPLY).outcome is not Outcome.PASS
    led(flow, ["slip"])
    assert flow.hand.standing(Rung.SUPPLY).outcome is Outcome.PASS
    assert flow.hand.power.faults[0].done == "nothing: the reading was mistyped, and typed again"
    with pytest.raises(InputError, match="there is no slip to tell"):
        flow.answer("slip")


def test_the_multimeter_is_named_once_and_told_with_what_it_read() -> None:
    book, log, _, build = described()
    flow = FirstPowerFlow(book, build)
    prompt = flow.now()
    assert prompt is not None
    assert "meter NAME: which one" in prompt.hint
    assert "multimeter: not named" in shown(book, build)
    flow.answer("meter  bench meter")
    assert [one.payload.name for one in log.entries() if isinstance(one.payload, MultimeterNamed)] == ["bench meter"]
    assert "multimeter: bench meter" in shown(book, build)
    assert "meter NAME" not in (flow.now() or prompt).hint
    with pytest.raises(NotAllowed, match="recorded already: bench meter"):
        flow.answer("meter bench meter")
    led(flow, [PLUG, "meter other one"])
    assert "multimeter: other one; named after they were read" in shown(book, build)


def shown(book: Logbook, build: str) -> list[str]:
    """Return what ``show`` tells of the first power-on."""
    facts = first_power_lines(book, book.build(build))
    return [one if isinstance(one, str) else one.line() for one in facts]


def test_the_pair_of_a_sense_pin_is_not_asked_to_be_open() -> None:
    """Pin 5 of a graphics plug of 6 is wired to COM, pin 4 is COM: PCI Express 6-pin, by ``connectors.toml``."""
    book, _, _, build = described("GPU")
    flow = FirstPowerFlow(book, build)
    led(flow, ["pcie-6-pin 18 AWG 0.6 m", "one to one", "", "0.2", " ".join(["0.3"] * 6)])
    prompt = flow.now()
    assert prompt is not None
    assert "5/4 must read joined, sense to COM; the others OL" in prompt.hint
    assert "all OL" not in prompt.hint
    led(flow, [prompt.placeholder])
    assert flow.hand.power.cable("GPU").verdict.outcome is Outcome.PASS  # type: ignore[union-attr]
