"""A soak that is read from a port: each row is a reading at its time, and a line that makes no sense stores nothing."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.base.errors import FileError, InputError
from commission.bench.at_hand import StageAtHand
from commission.bootstrap import hwmon_board
from commission.shell.recording import Recording
from commission.stages.thermal_soak.card import live
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.files.board_rows import board_lines
from commission.stages.thermal_soak.shell.live import store_live
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.soaks import Soaks
from tests.fakes import HandClock, new_book
from tests.instruments.hwmon_tree import add_chip, put
from tests.soaks import soaking

HEADER = b"warm [degC],air [degC],component cpu [degC]\n"


def _rows(clock: HandClock) -> Iterator[bytes]:
    yield HEADER
    for row in (b"36.2,22.0,71\n", b"999,22.0,71\n", b"36.4,22.1,71\n"):
        clock.run(60)
        yield row


def test_each_row_is_a_reading_at_the_time_of_its_arrival(capsys: pytest.CaptureFixture[str]) -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    job, hand = Recording(book, build, as_json=False), StageAtHand(book, build, book.work(Soaks))
    store_live(job, hand, _rows(clock))
    kept = book.build(build).of(SoakState).readings
    # 36.2 °C is 309.35 K, 22.1 °C is 295.25 K; the second row was left out
    assert [reading.elapsed_s for reading in kept] == pytest.approx([60, 180])
    assert [kept[0].warm_k, kept[1].air_k, kept[0].components[0].value] == pytest.approx([309.35, 295.25, 344.15])
    out, err = capsys.readouterr()
    assert (out.count("stored: entry"), err.count("refused: ")) == (2, 1)


def test_the_boards_temperatures_become_readings_and_what_it_does_not_tell_stays_empty(tmp_path: Path) -> None:
    chip = add_chip(tmp_path, 0, "probe", {"temp1_input": 36200, "temp1_label": "T1", "temp2_input": 22000})
    add_chip(tmp_path, 1, "die", {"temp1_input": 71000, "temp1_label": "Tctl", "temp2_input": 30000})
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(60)

    def later(seconds: float) -> None:
        clock.run(seconds)
        put(chip / "temp1_input", "36400\n")
        (tmp_path / "class" / "hwmon" / "hwmon1").unlink()

    names = "warm=T1, air=probe temp2, component cpu=Tctl"
    job, hand = Recording(book, build, as_json=True), StageAtHand(book, build, book.work(Soaks))
    store_live(job, hand, board_lines(hwmon_board(tmp_path).read, names, every_s=30, count=2, sleep=later))
    first, second = book.build(build).of(SoakState).readings
    # 36.2 °C is 309.35 K, 22 °C 295.15 K, 71 °C 344.15 K
    assert [first.elapsed_s, first.warm_k, first.air_k, first.components[0].value] == pytest.approx(
        [60, 309.35, 295.15, 344.15]
    )
    assert [second.elapsed_s, second.warm_k] == pytest.approx([90, 309.55])
    assert second.components == ()
    add_chip(tmp_path, 2, "die", {"temp2_input": 30000})
    with pytest.raises(InputError, match=r'"temp2" is not one temperature of this board; there are T1, die temp2, '):
        next(board_lines(hwmon_board(tmp_path).read, "warm=T1, air=temp2", every_s=30, count=1))


def test_lines_that_do_not_tell_the_air_are_refused_before_one_is_waited_for() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    job, hand = Recording(book, build, as_json=False), StageAtHand(book, build, book.work(Soaks))
    with pytest.raises(FileError, match=r"the header lacks air \[degC\]"):
        store_live(job, hand, iter([b"warm [degC]\n"]))
    assert not job.any_stored


def _taken(flow: SoakFlow, readings: int) -> None:
    """Look until so many readings are stored; the thread that reads needs a moment."""
    for _ in range(500):
        flow.look()
        if len(flow.hand.state.of(SoakState).readings) >= readings:
            return
        time.sleep(0.005)
    raise AssertionError(flow.content().notices)


def test_on_its_screen_the_board_is_read_until_hand_and_each_reading_has_the_time_of_its_arrival(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_chip(tmp_path, 0, "probe", {"temp1_input": 36200, "temp1_label": "T1", "temp2_input": 22000})
    monkeypatch.setattr("commission.bootstrap.hwmon_board", lambda: hwmon_board(tmp_path))
    monkeypatch.setattr(live, "EVERY_S", 0.02)
    book, _, clock = new_book()
    build = soaking(book, clock)
    flow = SoakFlow(book, build)
    with pytest.raises(InputError, match="is not one temperature of this board"):
        flow.answer("live board warm=T9, air=temp2")
    with pytest.raises(InputError, match="no instrument has a port and a pattern yet"):
        flow.answer("live bench probe")
    with pytest.raises(InputError, match="nothing is read live"):
        flow.answer("hand")
    clock.run(60)
    assert flow.answer("live board warm=T1, air=temp2") == ""
    _taken(flow, 1)
    clock.run(30)
    _taken(flow, 2)
    assert flow.soaking.live.last.startswith("after 1 min 30 s, warm 36.2")
    asked = flow.question()
    assert asked is not None
    assert asked.prompt.ask.startswith("The board is read live: ")
    flow.answer("hand")
    assert not flow.streams
    first, second = book.build(build).of(SoakState).readings[:2]
    # 36.2 °C is 309.35 K, 22 °C 295.15 K; a minute and a minute and a half after the start
    assert [first.elapsed_s, first.warm_k, first.air_k, second.elapsed_s] == pytest.approx([60, 309.35, 295.15, 90])
