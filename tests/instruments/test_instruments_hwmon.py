"""hwmon on trees of real files: values, names, faults, every error, and nothing ever written."""

import errno
import os
import socket
import statistics
import sys
import time
from pathlib import Path

import pytest

from commission.instruments.hwmon import HwmonBoard
from commission.instruments.sensor_file import read_bytes, read_value
from commission.record.machine.board_sensors import FanSensor, ReadState, ZeroMeaning
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.judge.sweep_live import level_progress
from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup, SweepWord
from tests.instruments.hwmon_tree import RAISED, FakeBoard, add_chip, failing, put

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links and these errors are POSIX")

CHIP = {
    "fan1_input": 1480, "fan1_label": "CPU Fan", "fan2_input": 0, "fan10_input": 900, "fan10_pulses": 1,
    "fan2_fault": 1, "fan10_alarm": 1, "temp1_input": 45500, "temp1_label": "Coolant", "temp2_input": -3000,
    "pwm1": 77, "pwm1_enable": 1, "pwm1_mode": 1, "pwm2": 255, "pwm2_enable": 0, "pwm3": 128, "pwm3_enable": 5,
    "pwm3_mode": 0, "in0_input": 1024, "update_interval": 1000,
}  # fmt: skip


def fans(board: HwmonBoard) -> dict[int, FanSensor]:
    return {fan.number: fan for chip in board.read().chips for fan in chip.fans}


def test_values_come_in_the_units_of_the_abi(tmp_path: Path) -> None:
    # Source: Linux sysfs-interface.rst, commit 2555693d: rpm, millidegree Celsius, 0 to 255. Status: read.
    add_chip(tmp_path, 0, "chip", CHIP)
    reading = HwmonBoard(tmp_path).read()
    chip = reading.chips[0]
    assert (chip.name, reading.missing) == ("chip", "")
    assert [(fan.number, fan.label, fan.rpm) for fan in chip.fans] == [
        (1, "CPU Fan", 1480.0), (2, "fan2", 0.0), (10, "fan10", 900.0),
    ]  # fmt: skip
    assert [t.kelvin for t in chip.temperatures] == pytest.approx([45.5 + 273.15, -3.0 + 273.15])
    assert chip.temperatures[0].label == "Coolant"
    assert chip.device.endswith("devices/platform/chip.0")


def test_fan10_comes_after_fan2(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "chip", {f"fan{n}_input": n for n in (10, 2, 1, 11)})
    assert [fan.number for fan in HwmonBoard(tmp_path).read().chips[0].fans] == [1, 2, 10, 11]


def test_a_zero_has_four_meanings_and_a_fault_is_no_speed_to_trust(tmp_path: Path) -> None:
    # Source: Linux nct6775-core.c, commit 0c23e18c: 0 for register 0 and for a saturated count. Status: read.
    add_chip(tmp_path, 0, "chip", CHIP)
    found = fans(HwmonBoard(tmp_path))
    assert found[2].zero_may_mean == tuple(ZeroMeaning)
    assert len(ZeroMeaning) == 4
    assert found[1].zero_may_mean == ()
    assert (found[2].fault, found[1].fault, found[10].alarm, found[1].alarm) == (True, False, True, False)


def test_chips_keep_their_place_when_their_numbers_change(tmp_path: Path) -> None:
    add_chip(tmp_path, 3, "chip", {"fan1_input": 1000})
    add_chip(tmp_path, 1, "other", {"temp1_input": 20000})
    board = HwmonBoard(tmp_path)
    before = board.read()
    links = tmp_path / "class" / "hwmon"
    (links / "hwmon3").rename(links / "hwmon7")
    after = board.read()
    assert [(c.name, c.device) for c in before.chips] == [(c.name, c.device) for c in after.chips]
    assert after.chips[0].fans[0].rpm == 1000


def test_two_chips_of_one_name_stay_two(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "same", {"temp1_input": 30000})
    add_chip(tmp_path, 1, "same", {"temp1_input": 40000})
    chips = HwmonBoard(tmp_path).read().chips
    assert [round(c.temperatures[0].kelvin or 0) for c in chips] == [303, 313]
    assert len({c.device for c in chips}) == 2


def test_old_drivers_keep_their_files_below_device(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "ancient", {"fan1_input": 1200}, old=True)
    assert fans(HwmonBoard(tmp_path))[1].rpm == 1200


# --- errors ----------------------------------------------------------------------------------------------------------

WORDS = {
    "ENODATA": ReadState.DISABLED, "ENXIO": ReadState.ABSENT, "EIO": ReadState.ERROR, "EAGAIN": ReadState.BUSY,
    "EBUSY": ReadState.BUSY, "ETIMEDOUT": ReadState.BUSY, "ENODEV": ReadState.GONE,
    "EOPNOTSUPP": ReadState.UNSUPPORTED, "524": ReadState.UNSUPPORTED, "ENOENT": ReadState.ABSENT,
    "EACCES": ReadState.FORBIDDEN, "EPERM": ReadState.FORBIDDEN, "EISDIR": ReadState.ERROR, "ELOOP": ReadState.ERROR,
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(RAISED))
def test_each_error_has_its_word_and_the_scan_goes_on(tmp_path: Path, name: str) -> None:
    # Source: Linux i2c/fault-codes.rst and sysfs-interface.rst. Status: read; ENODEV at run time from memory.
    add_chip(tmp_path, 0, "chip", CHIP)
    found = fans(HwmonBoard(tmp_path, read=failing({"fan1_input": RAISED[name]})))
    assert (found[1].rpm, found[1].state) == (None, WORDS[name])
    assert found[10].rpm == 900


@pytest.mark.parametrize("name", ["EIO", "ENXIO"])
def test_a_bus_error_is_tried_once_more(tmp_path: Path, name: str) -> None:
    add_chip(tmp_path, 0, "chip", CHIP)
    assert fans(HwmonBoard(tmp_path, read=failing({"fan1_input": RAISED[name]}, times=1)))[1].rpm == 1480
    assert fans(HwmonBoard(tmp_path, read=failing({"fan1_input": RAISED[name]}, times=2)))[1].rpm is None


def test_errors_of_real_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Source: seen on Linux: a link to a process's memory gives EIO, a socket ENXIO, a folder EISDIR, loops ELOOP.
    folder = add_chip(tmp_path, 0, "chip", {"fan9_input": 900})
    (folder / "fan1_input").symlink_to("/proc/self/mem")
    monkeypatch.chdir(folder)  # the path of a socket must be short
    with socket.socket(socket.AF_UNIX) as bound:
        bound.bind("fan2_input")
        (folder / "fan3_input").mkdir()
        (folder / "fan4_input").symlink_to("nowhere")
        (folder / "fan5_input").symlink_to("fan5_input")
        put(folder / "fan6_input", "")
        put(folder / "fan7_input", "fast\n")
        put(folder / "fan8_input", "-5\n")
        states = {n: fan.state for n, fan in fans(HwmonBoard(tmp_path)).items()}
    assert states == {
        1: ReadState.ERROR,
        2: ReadState.ABSENT,
        3: ReadState.ERROR,
        4: ReadState.ABSENT,
        5: ReadState.ERROR,
        6: ReadState.NOT_A_NUMBER,
        7: ReadState.NOT_A_NUMBER,
        8: ReadState.NOT_A_NUMBER,
        9: ReadState.READ,
    }


def test_the_errors_of_those_files_are_the_ones_named(tmp_path: Path) -> None:
    for target, code in (("/proc/self/mem", errno.EIO), (str(tmp_path), errno.EISDIR), ("nowhere", errno.ENOENT)):
        link = tmp_path / f"to{code}"
        link.symlink_to(target)
        with pytest.raises(OSError) as caught:  # noqa: PT011 - the number is what is asked
            read_bytes(str(link))
        assert caught.value.errno == code


def test_a_pipe_without_a_writer_holds_nobody_up(tmp_path: Path) -> None:
    folder = add_chip(tmp_path, 0, "chip", {"fan2_input": 900})
    os.mkfifo(folder / "fan1_input")
    start = time.monotonic()
    found = fans(HwmonBoard(tmp_path))
    assert time.monotonic() - start < 20.0, "it waited for a writer"  # quiet: a millisecond; without care: for ever
    assert (found[1].state, found[2].rpm) == (ReadState.NOT_A_NUMBER, 900)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root reads everything")
def test_a_file_without_rights_says_so(tmp_path: Path) -> None:
    folder = add_chip(tmp_path, 0, "chip", {"fan1_input": 900})
    (folder / "fan1_input").chmod(0)
    assert fans(HwmonBoard(tmp_path))[1].state is ReadState.FORBIDDEN


def test_a_chip_that_goes_is_dropped_and_one_that_comes_is_seen(tmp_path: Path) -> None:
    folder = add_chip(tmp_path, 0, "chip", {"fan1_input": 900})
    add_chip(tmp_path, 1, "stays", {"temp1_input": 20000})
    board = HwmonBoard(tmp_path)
    assert len(board.read().chips) == 2
    (folder / "fan1_input").unlink()
    assert fans(board)[1].state is ReadState.ABSENT
    (tmp_path / "class" / "hwmon" / "hwmon0").unlink()
    assert [chip.name for chip in board.read().chips] == ["stays"]
    add_chip(tmp_path, 2, "new", {"fan1_input": 700})
    assert [chip.name for chip in board.read().chips] == ["new", "stays"]


def test_a_device_that_is_gone_is_looked_for_again(tmp_path: Path) -> None:
    folder = add_chip(tmp_path, 0, "chip", {"fan1_input": 900, "fan2_input": 800})
    board = HwmonBoard(tmp_path, read=failing({"fan1_input": errno.ENODEV}, times=1))
    assert fans(board)[1].state is ReadState.GONE
    (folder / "fan1_input").unlink()
    assert sorted(fans(board)) == [2]


def test_without_hwmon_one_line_says_so(tmp_path: Path) -> None:
    # what Windows and macOS see
    reading = HwmonBoard(tmp_path / "nowhere").read()
    assert reading.chips == ()
    assert reading.missing.startswith("no hwmon here")
    (tmp_path / "class" / "hwmon").mkdir(parents=True)
    assert "no chip of it" in HwmonBoard(tmp_path).read().missing


def test_a_slow_bus_ends_the_reading_in_time(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "chip", {f"fan{n}_input": 900 for n in range(1, 9)})
    now = [0.0]

    def slow(path: str) -> bytes:
        now[0] += 0.1
        return read_bytes(path)

    board = HwmonBoard(tmp_path, clock=lambda: now[0], read=slow, budget_s=0.25)
    board.read()  # the first scan reads names as well
    start = now[0]
    states = [fan.state for fan in board.read().chips[0].fans]
    assert states[:3] == [ReadState.READ] * 3
    assert ReadState.SKIPPED in states
    assert now[0] - start < 0.25 + 0.1 + 1e-9


def test_hidden_characters_of_a_label_are_made_visible(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "chip", {"fan1_input": 900, "fan1_label": "CPU\x1b[2J\u202e"})
    assert fans(HwmonBoard(tmp_path))[1].label == "CPU\\u001b[2J\\u202e"


def test_nothing_is_ever_opened_for_writing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    add_chip(tmp_path, 0, "chip", CHIP)
    flags: list[int] = []
    real = os.open

    def watched(path: str, flag: int, mode: int = 0o777) -> int:
        flags.append(flag)
        return real(path, flag, mode)

    monkeypatch.setattr(os, "open", watched)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    flags.clear()
    HwmonBoard(tmp_path).read()
    assert len(flags) == 10  # a name, two labels, three speeds, two temperatures, a fault, an alarm
    assert all(flag & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND) == 0 for flag in flags)
    assert before == {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}


def test_a_number_of_any_length_is_read_or_refused(tmp_path: Path) -> None:
    for text, number in (
        ("1500\n", 1500),
        (" 1500 ", 1500),
        ("+7", 7),
        ("9" * 19, None),
        ("0x10", None),
        ("1.5", None),
    ):
        put(tmp_path / "value", text)
        assert read_value(str(tmp_path / "value")).number == number


# --- live ------------------------------------------------------------------------------------------------------------


def swept(tmp_path: Path, board: FakeBoard, *, lose_at: float | None = None) -> Sweep:
    """Sweep a fake board as the program does: wait until a level has settled, then take its readings."""
    reader, readings = HwmonBoard(tmp_path), []
    for duty in (100.0, 80.0, 60.0, 50.0, 40.0, 30.0):
        if duty == lose_at:
            board.vanish()
        board.set(duty)
        times: list[float] = []
        speeds: list[float | None] = []
        progress = level_progress(times, speeds, full_rpm=1500, step_rpm=1)
        while not progress.enough:
            board.tick()
            times.append(2.0 * (len(times) + 1))
            found = [fan.rpm for chip in reader.read().chips for fan in chip.fans]
            speeds.append(found[0] if found else None)
            progress = level_progress(times, speeds, full_rpm=1500, step_rpm=1)
        readings += [SweepReading(duty_pct=duty, rpm=rpm) for rpm in progress.samples]
        if duty == lose_at:
            break
    return Sweep(readings=tuple(readings))


def test_a_live_sweep_of_a_fake_board_is_judged_from_its_files(tmp_path: Path) -> None:
    sweep = swept(tmp_path, FakeBoard(tmp_path, lambda duty: 15 * duty))
    assert evaluate_fan_headers(sweep, SweepSetup()).word is SweepWord.CONTROLLED
    assert len(sweep.readings) == 30


def test_a_live_sweep_whose_sensor_vanishes_ends_in_sensor_lost(tmp_path: Path) -> None:
    verdict = evaluate_fan_headers(
        swept(tmp_path, FakeBoard(tmp_path, lambda duty: 15 * duty), lose_at=50.0), SweepSetup()
    )
    assert verdict.reasons[0].code == "sensor_lost"


def test_forty_channels_take_less_than_five_milliseconds(tmp_path: Path) -> None:
    values: dict[str, object] = {}
    for n in range(1, 21):
        values |= {f"fan{n}_input": 900 + n, f"fan{n}_label": f"Fan {n}", f"temp{n}_input": 30_000 + n}
        values |= {f"fan{n}_alarm": 0} if n % 2 else {}
    add_chip(tmp_path, 0, "chip", values)
    board = HwmonBoard(tmp_path)
    assert len(board.read().chips[0].fans) == 20
    spent = []
    for _ in range(15):
        start = time.process_time()
        board.read()
        spent.append(time.process_time() - start)
    assert statistics.median(spent) < 0.005
