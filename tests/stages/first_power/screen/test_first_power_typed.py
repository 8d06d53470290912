"""The typed lines of the first power-on: cables, meters, voltages, looks, the first start."""

import pytest

from commission.base.errors import CommissionError, InputError
from commission.bench.joint_look import read_look
from commission.procedure.connectors import connectors, one_to_one
from commission.procedure.pins import Connector, Net
from commission.record.machine.joints import Paper, joints_of
from commission.record.machine.noise import Noise
from commission.record.machine.parts import Part, PartKind
from commission.stages.first_power.judge.cable_shorts import must_be_apart
from commission.stages.first_power.model.cables import Cable
from commission.stages.first_power.model.machine_start import PumpSign
from commission.stages.first_power.model.rails import PlugKind, Rail, Revision
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.typed.cable import (
    is_one_to_one,
    pairs_to_read,
    read_cable,
    read_meter,
    read_shorts,
    read_wires,
)
from commission.stages.first_power.typed.machine import read_machine, seen_text
from commission.stages.first_power.typed.rails import power_good_ms, read_plug
from commission.stages.first_power.typed.supply import read_names, read_supply
from commission.stages.first_power.typed.watch import edited, read_state
from commission.units.power_numbers import ohms
from tests.plugs import connector
from tests.ui.hostile import HOSTILE

CPU = Cable(
    name="CPU", connector=connector("cpu-4-pin"), wires=one_to_one(connector("cpu-4-pin")), gauge=18, length_m=0.6
)
WIRES = tuple((wire.load, wire.supply) for wire in CPU.wires)
JOINTS = ("block in", "block out", "drain")


def test_a_connector_is_known_with_a_blank_or_nothing_in_place_of_its_hyphens() -> None:
    assert read_names("24 pin, 24pin spare, CPU8PIN") == ("24-pin", "24pin spare", "cpu-8-pin")
    with pytest.raises(InputError, match="stands twice"):
        read_names("24-pin, 24 pin")
    for name in ("24 pin", "24pin", "24 PIN", "24-pin"):
        assert read_plug(f"{name} +12 12.05 +5 5.02").plug == "24-pin"
        assert read_cable(f"{name} 18 AWG 0.6 m").plug.id == "24-pin"
    assert read_plug("24 pin board +12 12.05").plug == "24-pin"
    assert read_plug("24 pin +12 12.05", ["24 pin"]).plug == "24 pin"  # so it was named before; it keeps its name


# --- cables ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "plug", "gauge", "length_m"),
    [
        ("24-pin 18 AWG 0.6 m", "24-pin", 18, 0.6),
        ("cpu 8-pin 16awg 650 mm", "cpu-8-pin", 16, 0.65),
        ("PCIE 6+2-pin AWG 18 60 cm", "pcie-6+2-pin", 18, 0.6),
        ("12-way 0,5 m 16 AWG", "12-way", 16, 0.5),
        ("24-pin 18 AWG 2 ft", "24-pin", 18, 0.6096),  # international foot, 0.3048 m exactly (1959 agreement)
    ],
)
def test_a_cable_is_typed_as_plug_gauge_and_length(text: str, plug: str, gauge: int, length_m: float) -> None:
    line = read_cable(text)
    assert (line.plug.id, line.gauge) == (plug, gauge)
    assert line.length_m == pytest.approx(length_m)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("24-pin 0.6 m", "wire size"),
        ("24-pin 18 AWG", "plug, gauge and length|no plug|missing|such as"),
        ("18 AWG 0.6 m", "the plug is missing"),
        ("disk 18 AWG 0.6 m", "no plug that is known"),
        ("24-pin 40 AWG 0.6 m", "no wire of a power cable"),
        ("24-pin 18 AWG 600 m", "outside"),
    ],
)
def test_a_cable_that_makes_no_sense_is_refused_with_what_to_type(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_cable(text)


def test_one_to_one_must_be_said() -> None:
    assert is_one_to_one(" One  to one ")
    assert not is_one_to_one("map.csv")


def test_the_leads_of_the_meter_are_read_with_the_step_of_its_display() -> None:
    meter = read_meter("0,25 ± 0,05")
    assert (meter.lead_ohm, meter.step_ohm, meter.accuracy_ohm) == (0.25, 0.01, 0.05)
    assert read_meter("four wire").four_wire
    with pytest.raises(InputError, match="read open"):
        read_meter("OL")
    with pytest.raises(InputError, match="worn out"):
        read_meter("40")


def test_several_readings_on_one_line_go_to_the_next_wires_in_order() -> None:
    found = read_wires("0.3 0,2 ohm OL", CPU, WIRES)
    assert [(one.load, one.supply, one.ohm) for one in found] == [("1", "1", 0.3), ("2", "2", 0.2), ("3", "3", None)]
    assert [one.ohm for one in read_wires("12 Mohm 0l 32 mohm", CPU, WIRES)] == [12e6, None, 0.032]


def test_two_pins_named_with_their_reading_need_not_be_wires_of_the_map() -> None:
    assert [(one.load, one.supply, one.ohm) for one in read_wires("1>4 0.3", CPU, WIRES)] == [("1", "4", 0.3)]
    short = read_shorts("1/3 OL", CPU.connector, (("3", "1"),))
    assert [(one.first, one.second, one.ohm) for one in short] == [("1", "3", None)]


def test_all_stands_for_every_pair_that_is_left() -> None:
    assert [one.ohm for one in read_shorts("all OL", CPU.connector, (("3", "1"), ("4", "1")))] == [None, None]


@pytest.mark.parametrize("text", ["", "0.3 0.3 0.3 0.3 0.3", "9>1 0.3", "1>1 red", "0.3 A", "-0.3", "nan", "1e999"])
def test_readings_that_cannot_be_are_refused(text: str) -> None:
    with pytest.raises(CommissionError):
        read_wires(text, CPU, WIRES)


def test_a_pin_against_itself_is_refused() -> None:
    with pytest.raises(InputError, match="against itself"):
        read_shorts("3/3 OL", CPU.connector, ())


@pytest.mark.parametrize("table", connectors(), ids=lambda plug: plug.id)
def test_every_live_pin_is_read_against_com_and_every_pair_of_rails_once(table: Connector) -> None:
    """Practice of the cable trade: rail to COM and rail to rail; common practice, no source."""
    pairs = pairs_to_read(table)
    nets = [frozenset((table.net(a), table.net(b))) for a, b in pairs]
    against_com = {a for a, b in pairs if table.net(b) is Net.COM}
    assert against_com == {pin.name for pin in table.pins if pin.net.rail or pin.net in _SIGNALS}
    rails = {pin.net for pin in table.pins if pin.net.rail}
    for a in rails:
        for b in rails - {a}:
            assert nets.count(frozenset((a, b))) == 1
    assert all(must_be_apart(*map(table.net, pair)) or Net.SENSE in map(table.net, pair) for pair in pairs)


_SIGNALS = {Net.SENSE, Net.POWER_GOOD, Net.POWER_ON}


@pytest.mark.parametrize("text", ["OL", "ol", "open", "O.L"])
def test_an_open_circuit_is_typed_as_the_meter_shows_it(text: str) -> None:
    assert ohms(text) is None


def test_a_bare_m_is_no_unit_of_resistance_since_it_may_be_milli_or_mega() -> None:
    with pytest.raises(InputError, match="no resistance"):
        ohms("3 m")


# --- supply ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "name", "revision"),
    [
        ("Larkspur 850 ATX3", "Larkspur 850", Revision.ATX3),
        ("Larkspur 850 atx 3.1", "Larkspur 850", Revision.ATX3),
        ("ATX2 Larkspur", "Larkspur", Revision.ATX2),
        ("Larkspur ATX12V 2.31", "Larkspur", Revision.ATX2),
        ("Larkspur ATX12V ATX3", "Larkspur ATX12V", Revision.ATX3),
    ],
)
def test_a_supply_is_typed_with_its_guide(text: str, name: str, revision: Revision) -> None:
    assert read_supply(text) == (name, revision)


@pytest.mark.parametrize("text", ["Larkspur 850", "ATX3", "", "Larkspur ATX4"])
def test_a_supply_without_name_or_guide_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="ATX"):
        read_supply(text)


def test_cables_made_by_hand_are_names_with_commas_or_none() -> None:
    assert read_names("24-pin,  GPU  1 ,") == ("24-pin", "GPU 1")
    assert read_names("None") == ()
    with pytest.raises(InputError, match="twice"):
        read_names("CPU, cpu")


def test_a_plug_is_typed_with_every_digit_kept() -> None:
    line = read_plug("GPU 1 loaded +12 11,396 +5VSB 5.080 V")
    assert [(one.rail, one.volt, one.typed, one.loaded) for one in line.readings] == [
        (Rail.V12, 11.396, "11,396", True),
        (Rail.STANDBY, 5.08, "5.080", True),
    ]
    assert line.readings[0].kind is PlugKind.GRAPHICS
    assert read_plug("left board +12 12").readings[0].kind is PlugKind.BOARD


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("24-pin", "type the plug"),
        ("+12 12.05", "type the plug"),
        ("24-pin +12", "what the meter shows"),
        ("24-pin +12 12.05 +12 12.1", "twice"),
        ("24-pin +12 230", "mains at the probe"),
        ("24-pin -12 11.9", "sign"),
        ("24-pin +12 12.05 +9 9", "no rail"),
        ("24-pin +12 twelve", "no|number|type"),
    ],
)
def test_voltages_that_cannot_be_are_refused(text: str, says: str) -> None:
    with pytest.raises(CommissionError, match=says):
        read_plug(text)


def test_the_delay_of_power_ok_needs_its_unit() -> None:
    assert power_good_ms("PWR_OK 180 ms") == 180.0
    assert power_good_ms("24-pin +12 12.05") is None
    with pytest.raises(InputError, match="unit"):
        power_good_ms("pwr_ok 180")


# --- the pump ----------------------------------------------------------------------------------------------------


def part(kind: PartKind, name: str) -> Part:
    return Part(part_id=name, kind=kind, name=name, volume_m3=1e-5, u_volume_m3=1e-6)


def test_joints_are_proposed_from_the_parts_and_tubes_have_none_of_their_own() -> None:
    parts = [
        part(PartKind.RADIATOR, "radiator"),
        part(PartKind.TUBE, "tube"),
        part(PartKind.RADIATOR, "radiator"),
        part(PartKind.VALVE, "drain"),
    ]
    assert joints_of(parts) == ("radiator in", "radiator out", "radiator 2 in", "radiator 2 out", "drain", "case floor")
    assert joints_of([]) == ()


def test_joints_are_added_taken_away_or_typed_anew() -> None:
    assert edited("+ quick coupling, plug", JOINTS) == (*JOINTS, "quick coupling", "plug")
    assert edited("- drain", JOINTS) == ("block in", "block out")
    assert edited("a, b", JOINTS) == ("a", "b")


@pytest.mark.parametrize("text", ["", "+ drain", "- tank", "a, A", "x" * 41, "block wet", "all", "a # b"])
def test_joints_that_would_confuse_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        edited(text, JOINTS)


def test_a_look_is_at_the_joint_that_is_due_at_all_that_are_or_at_one_by_name() -> None:
    assert read_look("dry", JOINTS, JOINTS[1:]).joints == ("block out",)
    assert read_look("all dry", JOINTS, JOINTS[1:]).joints == JOINTS[1:]
    look = read_look("block in wet # runs down", JOINTS, JOINTS[1:])
    assert (look.joints, look.paper, look.note) == (("block in",), Paper.WET, "runs down")


@pytest.mark.parametrize(
    ("text", "says"),
    [("", "dry, damp or wet"), ("all wet", "which of them"), ("tank wet", "joint"), ("block wet", "fits")],
)
def test_a_look_that_names_no_joint_or_no_paper_is_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_look(text, JOINTS, JOINTS)


def test_level_and_noise_are_both_asked_for() -> None:
    assert read_state("level steady, pump quiet") == (LevelLook.STEADY, Noise.QUIET)
    assert read_state("sinking gurgling") == (LevelLook.SINKING, Noise.GURGLING)
    for text in ("steady", "quiet", "", "steady quiet loud", "steady sinking quiet"):
        with pytest.raises(InputError, match="level: steady"):
            read_state(text)


# --- the machine -------------------------------------------------------------------------------------------------


def test_the_first_start_is_typed_in_words_of_any_order() -> None:
    start = read_machine("4700 rpm 2,5s right 41°C")
    assert (start.sign, start.after_s, start.pump_rpm, start.tach_connected) == (PumpSign.SPEED, 2.5, 4700, True)
    assert start.headers_right is True
    assert start.processor_k == pytest.approx(314.15)  # 0 °C is 273.15 K: SI brochure, 9th edition, 2.3.1
    assert seen_text(start) == "its speed is shown after 2.5 s · 4700 rpm · headers right · processor 41 °C"


def test_later_looks_are_added_to_what_was_seen_before() -> None:
    before = read_machine("seen 3 s no tach")
    after = read_machine("headers wrong", before)
    assert (after.sign, after.after_s, after.tach_connected, after.headers_right) == (PumpSign.SEEN, 3.0, False, False)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "such as"),
        ("speed", "how many seconds"),
        ("3 s", "how was it told"),
        ("speed 2", "of what"),
        ("speed 2 s no tach", "so a tach is connected"),
        ("speed 2 s seen", "twice"),
        ("speed 2 h", "seconds"),
        ("speed 2 s 70000 rpm", "outside"),
        ("speed 2 s 4100 degC", "°C|degC|outside"),
        ("running", "not known here"),
    ],
)
def test_a_first_start_that_leaves_open_what_was_seen_is_refused(text: str, says: str) -> None:
    with pytest.raises(CommissionError, match=says):
        read_machine(text)


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_breaks_a_line(text: str) -> None:
    for read in (
        read_cable,
        read_meter,
        read_supply,
        read_names,
        read_plug,
        read_state,
        read_machine,
        power_good_ms,
        lambda typed: read_wires(typed, CPU, WIRES),
        lambda typed: read_shorts(typed, CPU.connector, WIRES),
        lambda typed: read_look(typed, JOINTS, JOINTS),
        lambda typed: edited(typed, JOINTS),
    ):
        try:
            said = str(read(text))
        except CommissionError as error:
            said = str(error)
        assert said
