"""A sweep read live off real files: settling, spacing, storing by itself, and a sensor that vanishes."""

import errno
from pathlib import Path

import pytest

from commission.base.errors import CommissionError, InputError
from commission.instruments.hwmon import HwmonBoard
from commission.record.logbook import Logbook
from commission.record.machine.board_sensors import BoardReading, ReadState
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.card.live_board import GONE_FOR_GOOD, LiveBoard
from commission.stages.fan_headers.entries import SweepSource
from commission.stages.fan_headers.model.sweep import SweepWord
from commission.stages.fan_headers.state import FanHeadersState
from tests.fakes import ListLog
from tests.instruments.hwmon_tree import FakeBoard, add_chip, failing
from tests.stages.fan_headers.screen.headers_bench import SWEEPING, MovingBoard, plugged
from tests.ui.bench import asked, led

WANTED = (100, 80, 60, 50, 40, 30, 40, 50, 60, 80, 100)


def follows(duty: float) -> float:
    """A fan of 1500 rpm that follows its duty; the 4-wire specification allows 10 points either way."""
    return 15.0 * duty


def live_flow(root: Path) -> tuple[HeadersFlow, Logbook, FakeBoard, MovingBoard, str]:
    """A flow that has named its sensor."""
    tree = FakeBoard(root, follows)
    reader = MovingBoard(tree, root)
    flow, book, _, build = plugged(*SWEEPING, "live")
    take(flow, reader)
    led(flow, ["fan1"])
    return flow, book, tree, reader, build


def take(flow: HeadersFlow, reader: HwmonBoard) -> str:
    """Read the board once."""
    done = flow.sweeping.live.take(reader.read())
    flow.refresh()
    return done


def level(flow: HeadersFlow, tree: FakeBoard, reader: HwmonBoard, duty: float) -> int:
    """Set a duty, say so, and read until it is stored; return how many readings it took."""
    assert asked(flow).startswith(f"Set {duty:g} %")
    tree.set(duty)
    led(flow, [""])
    for count in range(1, 200):
        if take(flow, reader):
            return count
    raise AssertionError("the level was never stored")


def test_each_level_is_stored_by_itself_once_the_speed_stands_still(tmp_path: Path) -> None:
    flow, book, tree, reader, build = live_flow(tmp_path)
    for duty in WANTED:
        count = level(flow, tree, reader, duty)
        assert count >= 6 + 5, "six readings tell that it stands still, five more are kept"
    at_hand = book.build(build).of(FanHeadersState).sweeping
    assert at_hand is not None
    assert at_hand.begun.source is SweepSource.LIVE
    assert len(at_hand.readings) == len(WANTED) * 5
    for one in at_hand.readings:
        assert one.rpm == pytest.approx(follows(one.duty_pct), abs=15), "no reading is of the duty before"
    led(flow, [""])
    assert book.build(build).of(FanHeadersState).sweeps[-1].taken.verdict.word is SweepWord.CONTROLLED


def test_nothing_is_counted_before_the_duty_is_said_to_be_set(tmp_path: Path) -> None:
    flow, book, tree, reader, build = live_flow(tmp_path)
    for _ in range(40):
        assert take(flow, reader) == ""
    level(flow, tree, reader, 100)
    for _ in range(40):
        assert take(flow, reader) == "", "the speed of the level before stands still and must not be taken for the next"
    at_hand = book.build(build).of(FanHeadersState).sweeping
    assert at_hand is not None
    assert {one.duty_pct for one in at_hand.readings} == {100.0}


def test_readings_that_come_too_fast_are_not_counted_twice(tmp_path: Path) -> None:
    # drivers keep a value for up to 1.5 s (Linux nct6775-core.c, commit 0c23e18c), so readings count 2 s apart
    flow, _, tree, _, _ = live_flow(tmp_path)
    reader = MovingBoard(tree, tmp_path, step_s=0.25)
    reader.now_s = 1000.0
    take(flow, reader)
    # four readings a second: every eighth counts, six tell that it stands still and five are kept: the 81st is the last
    assert level(flow, tree, reader, 100) == 10 * 8 + 1


def test_a_channel_is_named_by_its_number_or_its_label_and_what_it_shows_stands_beside_it(tmp_path: Path) -> None:
    add_chip(tmp_path, 3, "othertemp", {"temp1_input": 41000, "temp1_label": "water"})
    add_chip(tmp_path, 4, "widechip", {f"fan{n}_input": 100 * n for n in (2, 10)} | {"fan2_label": "pump"})
    flow, _, _, _ = plugged(*SWEEPING, "live")
    take(flow, HwmonBoard(tmp_path))
    assert [(row.label, row.value) for row in flow.card().figures] == [
        ("1 widechip pump", "200 rpm"),
        ("2 widechip fan10", "1000 rpm"),
    ]
    with pytest.raises(InputError, match="is no sensor"):
        flow.answer("nothing like it")
    flow.answer("2")
    figures = flow.card().figures
    assert (figures[0].label, figures[0].value) == ("widechip fan10", "1000 rpm")
    assert figures[1].value == "water 41 °C"


def test_a_sensor_that_vanishes_ends_in_sensor_lost_and_what_was_read_is_kept(tmp_path: Path) -> None:
    flow, book, tree, reader, build = live_flow(tmp_path)
    for duty in (100, 80):
        level(flow, tree, reader, duty)
    tree.set(60)
    led(flow, [""])
    take(flow, reader)
    tree.vanish()
    for _ in range(GONE_FOR_GOOD):
        assert take(flow, reader) == ""
    assert "SENSOR LOST: fakechip fan1" in asked(flow)
    assert any(notice.startswith("SENSOR LOST") for notice in flow.card().notices)
    led(flow, [""])
    taken = book.build(build).of(FanHeadersState).sweeps[-1].taken
    assert taken.verdict.word is SweepWord.SENSOR_ERROR
    assert taken.verdict.reasons[0].template.startswith("Sensor lost: after 80 %")
    assert len([one for one in taken.sweep.readings if one.rpm is not None]) == 10


def test_a_chip_that_goes_altogether_is_a_lost_sensor_and_another_can_be_named(tmp_path: Path) -> None:
    flow, _, tree, reader, _ = live_flow(tmp_path)
    level(flow, tree, reader, 100)
    (tmp_path / "class" / "hwmon" / "hwmon0").unlink()
    tree.there = False
    for _ in range(GONE_FOR_GOOD):
        take(flow, reader)
    assert "Nothing can be read live" in asked(flow) or "SENSOR LOST" in asked(flow)
    add_chip(tmp_path, 7, "newchip", {"fan1_input": 1200})
    take(flow, reader)
    led(flow, ["sensor", "newchip"])
    assert asked(flow).startswith("Set 80 %")
    led(flow, ["hand", "1201"])
    assert [one.duty_pct for one in flow.sweeping.readings] == [100.0] * 5 + [80.0]


def test_one_hiccup_of_the_bus_is_not_a_lost_sensor(tmp_path: Path) -> None:
    tree = FakeBoard(tmp_path, follows)
    board = LiveBoard()
    board.take(HwmonBoard(tmp_path).read())
    board.watch(board.named("1"))
    broken = HwmonBoard(tmp_path, read=failing({"fan1_input": errno.ENODEV}, times=GONE_FOR_GOOD - 1))
    for _ in range(GONE_FOR_GOOD):
        board.take(broken.read())
        assert not board.lost
    assert tree.there


@pytest.mark.parametrize(
    ("code", "state"),
    [
        (errno.ENODATA, ReadState.DISABLED),
        (errno.EIO, ReadState.ERROR),
        (errno.EBUSY, ReadState.BUSY),
        (errno.EACCES, ReadState.FORBIDDEN),
    ],
)
def test_a_channel_that_cannot_be_read_says_why_in_a_word(tmp_path: Path, code: int, state: ReadState) -> None:
    FakeBoard(tmp_path, follows)
    board = LiveBoard()
    board.take(HwmonBoard(tmp_path, read=failing({"fan1_input": code})).read())
    board.watch(board.named("1"))
    assert board.told(0.0)[1] == str(state)


def test_a_tach_of_zero_lists_what_it_may_mean(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "fakechip", {"fan1_input": 0})
    board = LiveBoard()
    board.take(HwmonBoard(tmp_path).read())
    board.watch(board.named("1"))
    told = board.told(0.0)[2]
    for meaning in ("stopped", "too slowly", "no tach", "nothing is plugged in"):
        assert meaning in told


def test_a_fault_of_the_channel_goes_into_the_verdict(tmp_path: Path) -> None:
    flow, book, tree, reader, build = live_flow(tmp_path)
    (tree.folder / "fan1_fault").write_text("1\n", encoding="ascii")
    reader = MovingBoard(tree, tmp_path)
    reader.now_s = 1000.0
    for duty in WANTED:
        level(flow, tree, reader, duty)
    assert any("not to be trusted" in notice for notice in flow.card().notices)
    led(flow, [""])
    assert book.build(build).of(FanHeadersState).sweeps[-1].taken.verdict.word is SweepWord.SENSOR_ERROR


def test_where_there_is_nothing_to_read_the_line_says_so_and_typing_goes_on(tmp_path: Path) -> None:
    flow, _, _, _ = plugged(*SWEEPING, "live")
    assert "being read" in asked(flow)
    take(flow, HwmonBoard(tmp_path))
    assert "Nothing can be read live: no hwmon here" in asked(flow)
    led(flow, [""])
    assert asked(flow).startswith("Set 100 %, wait until front")


def test_temperatures_alone_are_no_speeds(tmp_path: Path) -> None:
    add_chip(tmp_path, 0, "coretemp", {"temp1_input": 45500})
    board = LiveBoard()
    board.take(HwmonBoard(tmp_path).read())
    assert "no speeds" in board.missing
    with pytest.raises(InputError, match="no speeds"):
        board.named("1")


def test_a_sensor_word_without_live_is_refused(tmp_path: Path) -> None:
    flow, _, _, _ = plugged(*SWEEPING)
    with pytest.raises(InputError, match="type live first"):
        flow.answer("sensor 1")


def test_a_record_that_cannot_be_written_asks_for_the_level_anew_and_does_not_store_it_each_second(
    tmp_path: Path,
) -> None:
    tree = FakeBoard(tmp_path, follows)
    reader = MovingBoard(tree, tmp_path)
    flow, book, _, _ = plugged(*SWEEPING, "live")
    take(flow, reader)
    led(flow, ["1", ""])
    assert isinstance(book.log, ListLog)
    book.log.read_only_because = "the disk is full"
    for _ in range(10):
        assert take(flow, reader) == ""
    with pytest.raises(CommissionError, match="disk is full"):
        take(flow, reader)
    for _ in range(20):
        assert take(flow, reader) == ""
    assert asked(flow).startswith("Set 100 %")


def test_a_level_that_never_stands_still_is_taken_after_half_a_minute(tmp_path: Path) -> None:
    swing = iter(range(10_000))
    tree = FakeBoard(tmp_path, lambda duty: 1500 + (400 if next(swing) % 2 else -400), settle=1.0)
    reader = MovingBoard(tree, tmp_path)
    board = LiveBoard()
    board.take(reader.read())
    board.watch(board.named("1"))
    board.begin_level()
    for _ in range(14):
        board.take(reader.read())
    assert board.level(1500.0) is None
    for _ in range(10):
        board.take(reader.read())
    assert board.level(1500.0) is not None
    assert "never stood still" in board.told(1500.0)[2]


def test_an_empty_reading_changes_nothing() -> None:
    board = LiveBoard()
    board.take(BoardReading(at_s=0.0, chips=(), missing="no hwmon here"))
    assert board.channels == {}
    assert board.told(0.0) == ("", "", "")
    assert board.temperatures() == ()
