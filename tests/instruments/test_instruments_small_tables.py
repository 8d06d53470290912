"""Sweeps, voltages, pin maps and layouts from files: read whole, or refused with line, field and what to do."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import FileError
from commission.record.machine.seats import Drive, Feed
from commission.stages.fan_headers.files.layout_toml import read_layout
from commission.stages.fan_headers.files.sweep_csv import read_sweep
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.model.sweep import Direction, Rotation, SweepWord
from commission.stages.first_power.files.cable_csv import read_pin_map
from commission.stages.first_power.files.rails_csv import read_rails
from commission.stages.first_power.model.rails import PlugKind, Rail, Revision
from tests.plugs import connector

SWEEP = (
    b"# a chain at the top\n# nameplate: 1500 rpm\n# wires: 4\n# mode: DC\n# fans: 3\n# turning: yes\n"
    b"duty [%],speed [rpm],direction,sample\n100,1497,down,1\n100,1500,down,2\n80,,down,1\n30,450,up,1\n"
)


def test_a_sweep_is_read_in_its_order() -> None:
    file = read_sweep(SWEEP)
    rows = [(r.duty_pct, r.rpm, r.direction) for r in file.sweep.readings]
    assert rows == [
        (100, 1497, Direction.DOWN), (100, 1500, Direction.DOWN), (80, None, Direction.DOWN), (30, 450, Direction.UP),
    ]  # fmt: skip
    assert (file.setup.nameplate_rpm, file.setup.wires, file.setup.mode) == (
        1500,
        4,
        Drive.VOLTAGE,
    )
    assert (file.setup.fans, file.sweep.rotation, file.word) == (3, Rotation.SEEN, "")


def table(*speeds: str) -> bytes:
    rows = "".join(f"{duty},{speed}\n" for duty, speed in enumerate(speeds, 10))
    return f"duty [%],speed [rpm]\n{rows}".encode()


@pytest.mark.parametrize(
    ("speeds", "step"),
    [
        (("1500", "1200", "900", "750", "600", "0"), 10.0),  # a straight curve in round numbers has no huge step
        (("1497", "1201", "899"), 1.0),
        (("1500.5", "1201.0"), 0.1),
        (("1500", "1470", "1440", "1200", "900", "870", "840", "810"), 30.0),
        (("1500", "1300", "1100", "900", "700", "500", "300", "100"), 30.0),  # never more than a counting chip's
        (("1502", "1301", "1100", "903", "700", "500", "300", "101"), 1.0),
    ],
)
def test_the_step_of_the_display_comes_from_its_digits(speeds: tuple[str, ...], step: float) -> None:
    # Source: a chip that counts pulses for a second shows multiples of 30 rpm (Linux drivers/hwmon/pwm-fan.c).
    assert read_sweep(table(*speeds)).setup.step_rpm == pytest.approx(step)
    assert read_sweep(b"# display step: 2 rpm\n" + table(*speeds)).setup.step_rpm == 2.0


def test_a_straight_curve_in_round_numbers_is_judged_by_its_levels() -> None:
    rows = "".join(f"{duty},{15 * duty}\n" for duty in (30, 40, 50, 60, 80, 100))
    file = read_sweep(f"duty [%],speed [rpm]\n{rows}".encode())
    assert evaluate_fan_headers(file.sweep, file.setup).word is SweepWord.CONTROLLED


@pytest.mark.parametrize(
    "changed",
    [
        SWEEP.replace(b"\n", b"\r\n"),
        b"\xef\xbb\xbf" + SWEEP,
        SWEEP.replace(b",", b";"),
        SWEEP.replace(b"1497", b"1497 rpm"),
        SWEEP.replace(b"speed [rpm]", b"Speed [ rpm ]"),
        SWEEP.replace(b"down", b" Down "),
        SWEEP + b",,,\n\n",
    ],
)
def test_other_spellings_of_the_same_sweep(changed: bytes) -> None:
    assert read_sweep(changed) == read_sweep(SWEEP)


def test_the_settings_of_a_pump() -> None:
    head = b"# pump: yes\n# feed: supply\n# full speed wanted: yes\n# fault: yes\n"
    file = read_sweep(head + SWEEP)
    assert (file.setup.pump, file.setup.feed, file.setup.control_wanted, file.sweep.fault) == (
        True, Feed.SUPPLY, False, True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("head", "told", "wanted"),
    [
        (b"", False, True),
        (b"", True, False),
        (b"# pump: yes\n", False, False),
        (b"# pump: yes\n# full speed wanted: no\n", False, True),
        (b"# full speed wanted: no\n", True, True),
    ],
)
def test_a_pump_is_meant_to_run_at_full_speed_unless_the_file_says_otherwise(
    head: bytes, told: bool, wanted: bool
) -> None:
    # Facts of the trade: a pump must never sit on a header that can slow it; its flat curve is no fault (own rule).
    setup = read_sweep(head + SWEEP, pump=told).setup
    assert (setup.pump, setup.control_wanted) == (told or b"pump" in head, wanted)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"1497", b"60001", 'line 8, field "speed": "60001" is outside 0 to 60000 rpm'),
        (b"1497", b"-5", "outside 0 to 60000"),
        (b"1497", b"fast", "does not start with a number"),
        (b"1497", b"1497 Hz", 'has "Hz" behind its number'),
        (b"100,1497", b"101,1497", 'field "duty": "101" is outside 0 to 100 %'),
        (b"100,1497", b",1497", 'field "duty": the cell is empty'),
        (b"down,1\n100", b"sideways,1\n100", '"sideways" is none of down, up'),
        (b"speed [rpm]", b"speed", "it has no unit; head it speed [rpm]"),
        (b"speed [rpm]", b"speed [Hz]", 'its unit is not "Hz"'),
        (b"speed [rpm]", b"volume [L]", '"volume [L]" is not a column of this table'),
        (b"sample", b"direction", "stands twice in the header"),
        (b"duty [%],speed [rpm],direction", b"duty [%],direction,note", "is not a column"),
        (b"# wires: 4", b"# wires: 5", '"5" is none of 2, 3, 4'),
        (b"# wires: 4", b"# wire: 4", "is wires meant?"),
        (b"# fans: 3", b"# wires: 3", "it stands in line 3 already"),
        (b"# mode: DC", b"# mode: auto", '"auto" is none of pwm, voltage, dc, fixed'),
        (b"# nameplate: 1500 rpm", b"# nameplate: 18 W", 'has "W" behind its number; write it in rpm'),
        (b"100,1497,down,1", b"100,1497,down", "the row has 3 cells where the header has 4"),
        (b"100,1497,down,1", b"100,1497,down,1,", "the row has 5 cells"),
    ],
)
def test_a_bad_sweep_says_where_and_what_to_do(old: bytes, new: bytes, words: str) -> None:
    assert SWEEP.count(old) == 1
    with pytest.raises(FileError) as caught:
        read_sweep(SWEEP.replace(old, new))
    assert words in str(caught.value)


def test_files_without_a_table_say_so(tmp_path: Path) -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: read_sweep(b""), "there is no header row; columns are duty [%], speed [rpm], direction (if wanted)"),
        (lambda: read_sweep(b"duty [%],speed [rpm]\n"), "no row of readings"),
        (lambda: read_sweep(b"duty [%]\n100\n"), "the header lacks speed [rpm]"),
        (lambda: read_sweep(tmp_path / "none.csv"), "the file cannot be read"),
        (lambda: read_sweep("duty [%],speed [rpm]\n".encode("utf-16")), "UTF-16"),
        (lambda: read_layout(tmp_path / "none.toml"), "the file cannot be read"),
    ]
    for call, words in refused:
        with pytest.raises(FileError) as caught:
            call()
        assert words in str(caught.value)


@settings(deadline=None, max_examples=150)
@given(st.binary(max_size=200) | st.text(max_size=120).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    head = b"duty [%],speed [rpm]\n"
    for read in (read_sweep, read_rails, read_layout, lambda source: read_sweep(head + source)):
        message = ""
        try:
            read(data)
        except FileError as error:
            message = str(error)
        assert "\n" not in message


# --- voltages ---------------------------------------------------------------------------------------------------------

RAILS = (
    b"# revision: ATX3\nplug,rail,voltage [V],connector,load\nGPU 1,+12 V,11.396,graphics,yes\nmain,-12V,-11.9,board,\n"
)


def test_voltages_keep_their_digits() -> None:
    file = read_rails(RAILS)
    first, second = file.readings
    assert (first.plug, first.rail, first.volt, first.typed) == ("GPU 1", Rail.V12, 11.396, "11.396")
    assert (first.kind, first.loaded, second.kind, second.loaded) == (PlugKind.GRAPHICS, True, PlugKind.BOARD, False)
    assert (second.rail, file.revision, file.meter_error_v) == (Rail.MINUS_12, Revision.ATX3, 0.0)
    zeros = read_rails(RAILS.replace(b"11.396", b"11.400 V"))
    assert zeros.readings[0].typed == "11.400"
    comma = read_rails(b"plug;rail;voltage [V]\nx;5VSB;5,06\n")
    assert (comma.readings[0].volt, comma.readings[0].rail, comma.readings[0].kind) == (
        5.06,
        Rail.STANDBY,
        PlugKind.OTHER,
    )


@pytest.mark.parametrize("spelling", ["+12 V", "+12V", "12", "12 V", "+12", "12V"])
def test_a_rail_has_many_spellings(spelling: str) -> None:
    assert read_rails(f"plug,rail,voltage [V]\nx,{spelling},12.0\n".encode()).readings[0].rail is Rail.V12


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b"+12 V", b"+12VHPWR", "is none of +12 V, +5 V"),
        (b"11.396", b"113.96", "outside -30 to 30 V"),
        (b"11.396", b"11396 mV", 'has "mV" behind its number'),
        (b"GPU 1", b"", "the plug has no name"),
        (b"graphics", b"pcie", '"pcie" is none of board, processor, graphics, other'),
        (b"ATX3", b"ATX4", '"ATX4" is none of atx2, atx3'),
        (b"[V]", b"[mV]", "head it voltage [V]"),
    ],
)
def test_bad_voltages_say_where(old: bytes, new: bytes, words: str) -> None:
    with pytest.raises(FileError) as caught:
        read_rails(RAILS.replace(old, new, 1))
    assert words in str(caught.value)


# --- pin maps ---------------------------------------------------------------------------------------------------------

CPU = connector("cpu-4-pin")


def test_a_pin_map_is_checked_against_its_connector() -> None:
    wires = read_pin_map(b"load,supply\n1,3\n2,4\n3,1\n4,2\n", CPU)
    assert [(wire.load, wire.supply) for wire in wires] == [("1", "3"), ("2", "4"), ("3", "1"), ("4", "2")]
    twelve = connector("12-way")
    rows = "".join(f"{pin.name.lower()},{pin.name}\n" for pin in twelve.pins)
    assert len(read_pin_map(f"load,supply\n{rows}".encode(), twelve)) == 16


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("1,1\n2,2\n3,3\n", "no wire goes to pin 4"),
        ("1,1\n2,2\n3,3\n4,4\n5,5\n", '"5" is not a pin'),
        ("1,1\n1,1\n2,2\n3,3\n4,4\n", "stands twice"),
        ("1,\n2,2\n3,3\n4,4\n", "is no pin"),
    ],
)
def test_a_bad_pin_map_says_which_pin(rows: str, words: str) -> None:
    with pytest.raises(FileError) as caught:
        read_pin_map(f"load,supply\n{rows}".encode(), CPU)
    assert words in str(caught.value)


# --- layouts ----------------------------------------------------------------------------------------------------------

LAYOUT = """
share_penalty = 50
[[header]]
name = "SYS1"
rating_ma = 2000
modes = ["pwm", "dc"]
[[chain]]
name = "front"
drive = "pwm"
steady_ma = 600
[chain.cable_cm]
SYS1 = 15
"""


def test_a_layout_is_read_in_whole_numbers() -> None:
    problem = read_layout(LAYOUT.encode())
    assert problem.share_penalty == 50
    assert problem.headers[0].modes == (Drive.PWM, Drive.VOLTAGE)
    assert (problem.chains[0].start_ma, problem.chains[0].pump, problem.chains[0].reach[0].cable_cm) == (
        None,
        False,
        15,
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("rating_ma = 2000", "rating_w = 24", "write rating_ma = 2000 if so"),
        ("rating_ma = 2000", "rating_a = 2", "whole milliamperes: 1.5 A is 1500"),
        ("rating_ma = 2000", "rating_ma = 2.0", "not a whole number"),
        ("rating_ma = 2000", "rating_ma = true", "not a whole number"),
        ("rating_ma = 2000", "", "the key is missing"),
        ("rating_ma = 2000", "rating_ma = 0", "outside 1 to 20000"),
        ("steady_ma = 600", "steady_ma = 600\nvolts = 12", "this key is not known; keys are name, drive"),
        ("steady_ma = 600", "steady_w = 7.2", "write steady_ma = 600 if so"),
        ("steady_ma = 600", "steady_ma = 600\nfans = 0", "0 devices are outside 1 to 64"),
        ('drive = "pwm"', 'drive = "auto"', "is no drive"),
        ('modes = ["pwm", "dc"]', 'modes = "pwm"', "as a list"),
        ('modes = ["pwm", "dc"]', "modes = []", "as a list"),
        ("SYS1 = 15", "SYS2 = 15", 'no header "SYS2"'),
        ("SYS1 = 15", "SYS1 = 15.5", "not a whole number"),
        ('name = "front"', 'name = ""', "1 to 60 characters"),
        ("share_penalty = 50", "share_penalty = -1", "outside 0 to 100000"),
        ("[[chain]]", "[chain]", "write each as [[chain]]"),
        ("share_penalty = 50", "share_penalty =", "it is no TOML"),
    ],
)  # fmt: skip
def test_a_bad_layout_says_where_and_what_to_do(old: str, new: str, words: str) -> None:
    assert LAYOUT.count(old) == 1
    with pytest.raises(FileError) as caught:
        read_layout(LAYOUT.replace(old, new).encode())
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_names_that_repeat_are_refused() -> None:
    twice = LAYOUT + LAYOUT.partition("[[header]]")[2].join(("[[header]]", ""))
    with pytest.raises(FileError, match='header "SYS1" stands twice'):
        read_layout(twice.encode())
    with pytest.raises(FileError, match=r"there is no \[\[chain\]\]"):
        read_layout(LAYOUT.partition("[[chain]]")[0].encode())
    with pytest.raises(FileError, match="UTF-8"):
        read_layout(b"\xff\xfe")
