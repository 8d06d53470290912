"""A soak that is read from a port: each row is a reading at its time, and a line that makes no sense stores nothing."""

from collections.abc import Iterator

import pytest

from commission.base.errors import FileError
from commission.bench.at_hand import StageAtHand
from commission.shell.recording import Recording
from commission.stages.thermal_soak.shell.live import store_live
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work import Soaks
from tests.fakes import HandClock, new_book
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


def test_lines_that_do_not_tell_the_air_are_refused_before_one_is_waited_for() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    job, hand = Recording(book, build, as_json=False), StageAtHand(book, build, book.work(Soaks))
    with pytest.raises(FileError, match=r"the header lacks air \[degC\]"):
        store_live(job, hand, iter([b"warm [degC]\n"]))
    assert not job.any_stored
