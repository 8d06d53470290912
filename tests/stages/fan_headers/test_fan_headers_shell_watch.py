"""``commission watch``: plain lines from a tree of real files, sensors that vanish, and the ends of the process.

Outside: units and errors of the kernel's hwmon files, Linux Documentation/hwmon/sysfs-interface.rst (commit 2555693d).
"""

import errno
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.bootstrap import hwmon_board
from commission.instruments.hwmon import HwmonBoard
from commission.record.machine.board_sensors import BoardReading
from commission.stages.fan_headers.shell.watch import watch_board
from tests.instruments.hwmon_tree import FakeBoard, add_chip, failing, put
from tests.shell.running import called, environment, one_line, ran
from tests.surroundings import PATIENCE_S

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links and these errors are POSIX")

CHIP = {
    "fan1_input": 1480, "fan1_label": "CPU Fan", "fan2_input": 0, "fan10_input": 900, "fan10_fault": 1,
    "temp1_input": 45500, "temp1_label": "Coolant", "temp2_input": -3000, "temp3_input": "hot",
}  # fmt: skip


class Wound:
    """A clock that only its own sleeps move, with something that happens in each of them."""

    def __init__(self, *events: Callable[[], object]) -> None:
        self.now_s = 100.0
        self.slept_s: list[float] = []
        self.events = list(events)

    def clock(self) -> float:
        return self.now_s

    def sleep(self, seconds: float) -> None:
        self.slept_s.append(seconds)
        self.now_s += seconds
        if self.events:
            self.events.pop(0)()


def watched(
    capsys: pytest.CaptureFixture[str], board: HwmonBoard, wound: Wound, *, count: int, every_s: float = 2.0
) -> list[str]:
    watch_board(board.read, every_s=every_s, count=count, clock=wound.clock, sleep=wound.sleep)
    return capsys.readouterr().out.splitlines()


def test_speeds_and_temperatures_come_with_labels_faults_and_in_the_order_of_their_numbers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # ABI: rpm as they are, temperatures in thousandths of a degree Celsius
    add_chip(tmp_path, 0, "boardchip", CHIP)
    lines = watched(capsys, hwmon_board(tmp_path), Wound(), count=1)
    assert [line.removeprefix("0.0 s, boardchip, ") for line in lines] == [
        'fan1 "CPU Fan": 1480 rpm',
        "fan2: 0 rpm; that may mean: stopped, turns too slowly to be counted, no tach signal, nothing is plugged in",
        "fan10: 900 rpm; fault: the chip says not to trust it",
        'temp1 "Coolant": 45.5 °C',
        "temp2: -3.0 °C",
        "temp3: not a number",
    ]


def test_readings_follow_each_other_on_the_beat_and_the_meanings_of_zero_are_told_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = add_chip(tmp_path, 0, "c", {"fan1_input": 0})
    wound = Wound(lambda: None, lambda: put(folder / "fan1_input", "700\n"), lambda: put(folder / "fan1_input", "0\n"))
    lines = watched(capsys, hwmon_board(tmp_path), wound, count=4)
    assert wound.slept_s == [2.0, 2.0, 2.0]
    assert [line.partition(", c, fan1: ")[0] for line in lines] == ["0.0 s", "2.0 s", "4.0 s", "6.0 s"]
    assert ["that may mean" in line for line in lines] == [True, False, False, True]


def test_a_slow_reading_leaves_out_a_beat_and_does_not_shift_the_rest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    add_chip(tmp_path, 0, "c", {"fan1_input": 700})
    wound, inner = Wound(), hwmon_board(tmp_path)

    def slow() -> BoardReading:
        wound.now_s += 3.0
        return inner.read()

    watch_board(slow, every_s=2.0, count=3, clock=wound.clock, sleep=wound.sleep)
    told = [line.partition(",")[0] for line in capsys.readouterr().out.splitlines()]
    assert told == ["0.0 s", "4.0 s", "8.0 s"]


def test_a_sensor_that_vanishes_is_lost_once_and_the_rest_goes_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = add_chip(tmp_path, 0, "c", {"fan1_input": 700, "temp1_input": 30000})
    wound = Wound((folder / "fan1_input").unlink, lambda: None, lambda: put(folder / "fan1_input", "710\n"))
    lines = watched(capsys, hwmon_board(tmp_path), wound, count=4)
    assert lines == [
        "0.0 s, c, fan1: 700 rpm", "0.0 s, c, temp1: 30.0 °C",
        "2.0 s, c, temp1: 30.0 °C", "2.0 s, c, fan1: sensor lost (absent)",
        "4.0 s, c, temp1: 30.0 °C",
        "6.0 s, c, fan1: 710 rpm", "6.0 s, c, temp1: 30.0 °C",
    ]  # fmt: skip


def test_a_driver_that_is_unloaded_loses_its_sensors_and_no_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    add_chip(tmp_path, 0, "a", {"fan1_input": 700})
    add_chip(tmp_path, 1, "b", {"temp1_input": 30000})
    wound = Wound((tmp_path / "class" / "hwmon" / "hwmon0").unlink, lambda: None)
    lines = watched(capsys, hwmon_board(tmp_path), wound, count=3)
    assert [line.partition(" s, ")[2] for line in lines] == [
        "a, fan1: 700 rpm", "b, temp1: 30.0 °C", "b, temp1: 30.0 °C", "a, fan1: sensor lost", "b, temp1: 30.0 °C",
    ]  # fmt: skip


def test_everything_may_vanish_and_the_watch_goes_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    add_chip(tmp_path, 0, "a", {"fan1_input": 700})
    links = tmp_path / "class" / "hwmon"
    wound = Wound(lambda: links.rename(tmp_path / "away"), lambda: (tmp_path / "away").rename(links))
    lines = watched(capsys, hwmon_board(tmp_path), wound, count=3)
    assert [line.partition(", a, fan1: ")[2] for line in lines] == ["700 rpm", "sensor lost", "700 rpm"]


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (errno.ENODEV, "sensor lost (device gone)"),
        (errno.ENODATA, "disabled"),
        (errno.EIO, "read error"),
        (errno.EAGAIN, "busy"),
        (errno.EACCES, "not permitted"),
    ],
)
def test_an_error_of_one_channel_is_named_and_ends_nothing(
    error: int, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Linux i2c/fault-codes.rst, commit 2cc2c3cb
    add_chip(tmp_path, 0, "c", {"fan1_input": 700, "fan2_input": 800})
    readers = [failing({})]

    def read(path: str) -> bytes:
        return readers[-1](path)

    board = HwmonBoard(tmp_path, read=read)
    lines = watched(capsys, board, Wound(lambda: readers.append(failing({"fan1_input": error}))), count=2)
    assert f"2.0 s, c, fan1: {told}" in lines
    assert "2.0 s, c, fan2: 800 rpm" in lines


def test_chips_of_one_name_are_told_apart_by_their_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number, value in ((1, 38000), (2, 39000)):
        add_chip(tmp_path, number, "disk", {"temp1_input": value})
    lines = watched(capsys, hwmon_board(tmp_path), Wound(), count=1)
    assert lines == ["0.0 s, disk at disk.1, temp1: 38.0 °C", "0.0 s, disk at disk.2, temp1: 39.0 °C"]


def test_a_label_from_a_driver_reaches_the_terminal_spelled_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    add_chip(tmp_path, 0, "c", {"fan1_input": 700, "fan1_label": "red\x1b[31m"})
    (line,) = watched(capsys, hwmon_board(tmp_path), Wound(), count=1)
    assert line == '0.0 s, c, fan1 "red\\u001b[31m": 700 rpm'


def test_temperatures_alone_are_told_with_a_hint(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    add_chip(tmp_path, 0, "disk", {"temp1_input": 38000})
    watch_board(hwmon_board(tmp_path).read, every_s=2.0, count=1)
    told = capsys.readouterr()
    assert told.out == "0.0 s, disk, temp1: 38.0 °C\n"
    assert "no speeds here" in one_line(told.err)


def test_the_board_moves_and_the_lines_follow(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # the fake fan turns at 15 rpm a point of duty and goes half the way in each tick
    fake = FakeBoard(tmp_path, lambda duty: 15 * duty)

    def halve() -> None:
        fake.set(50.0)
        fake.tick()

    lines = watched(capsys, hwmon_board(tmp_path), Wound(halve, fake.tick), count=3)
    assert [line.rpartition(": ")[2] for line in lines] == ["1500 rpm", "1125 rpm", "938 rpm"]


@pytest.mark.parametrize("made", ["nothing", "no chip"])
def test_where_there_is_nothing_to_read_that_is_said(made: str, tmp_path: Path) -> None:
    if made == "no chip":
        add_chip(tmp_path, 0, "power", {"in0_input": 12000})
    with pytest.raises(InputError, match=r"[Tt]ype the readings"):
        watch_board(hwmon_board(tmp_path).read, every_s=2.0, count=1)


def test_nothing_to_read_ends_the_command_with_one_line_and_status_2(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("commission.bootstrap.hwmon_board", lambda: HwmonBoard(tmp_path))
    told = called("speeds", "--count", "1")
    assert (told.status, told.out) == (2, "")
    assert one_line(told.err).startswith("commission: no hwmon here: ")


@pytest.mark.parametrize(
    "options", [("--every", "0"), ("--every", "nan"), ("--every", "inf"), ("--every", "2 L"), ("--count", "0")]
)
def test_times_and_counts_that_make_no_sense_are_refused(options: tuple[str, str]) -> None:
    told = ran("speeds", *options)
    assert (told.status, told.out) == (2, "")
    assert options[0] in one_line(told.err)


@pytest.mark.parametrize(("typed", "every_s"), [("0.5", 0.5), ("0,5 s", 0.5), ("2 min", 120.0)])
def test_a_time_between_readings_has_a_unit_or_is_in_seconds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: str, every_s: float
) -> None:
    asked: list[float] = []
    monkeypatch.setattr("commission.bootstrap.hwmon_board", lambda: HwmonBoard(tmp_path))
    monkeypatch.setattr(
        "commission.stages.fan_headers.shell.watch.watch_board", lambda _, *, every_s, count: asked.append(every_s)
    )
    assert called("speeds", "--every", typed).status == 0
    assert asked == [every_s]


def process(root: Path, *options: str) -> "subprocess.Popen[str]":
    """Start the command on a tree, as a process that can be interrupted."""
    code = (
        "import sys\nfrom pathlib import Path\nimport commission.bootstrap as bootstrap\nimport commission.shell\n"
        "real, root = bootstrap.hwmon_board, Path(sys.argv.pop(1))\n"
        "bootstrap.hwmon_board = lambda: real(root)\n"
        "from commission.__main__ import job\ncommission.shell.run(job())\n"
    )
    return subprocess.Popen(
        [sys.executable, "-c", code, str(root), "speeds", *options],
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_lines_are_out_before_the_next_reading_and_ctrl_c_ends_with_130(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "c", {"fan1_input": 700})
    with process(tmp_path, "--every", "600") as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "0.0 s, c, fan1: 700 rpm\n"
        time.sleep(0.2)
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=PATIENCE_S)
    assert (running.returncode, out, err) == (130, "", "")


def test_a_reader_that_goes_away_ends_it_quietly(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "c", {"fan1_input": 700})
    with process(tmp_path, "--every", "0.1") as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.readline()
        running.stdout.close()
        assert running.stderr.read() == ""
    assert running.returncode == 141


def test_a_terminal_without_signs_loses_no_temperature(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "c", {"temp1_input": 45500, "fan1_input": 700})
    code = (
        "import sys\nfrom pathlib import Path\nfrom commission.bootstrap import hwmon_board\n"
        "from commission.stages.fan_headers.shell.watch import watch_board\n"
        "watch_board(hwmon_board(Path(sys.argv[1])).read, every_s=1.0, count=1)\n"
    )
    env = environment(more={"PYTHONIOENCODING": "ascii"})
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], env=env, capture_output=True, text=True, check=True
    )
    assert "temp1: 45.5 degC" in done.stdout
