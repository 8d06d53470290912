"""A gauge that prints lines: what its line says, how often it is kept, and into the record by its name."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.line_pattern import read_line_pattern, read_port
from commission.bench.live_rows import live_rows
from commission.stages.pressure_hold.state.attempt import hold_of
from tests.holds import GAUGE, ready_build
from tests.registered import open_logbook
from tests.shell.running import called, one_line

LINE = "P={} mbar T={air [degC]}"
LIVE = replace(GAUGE, port="/dev/ttyUSB0", pattern=LINE)


@pytest.mark.parametrize(
    ("pattern", "line", "numbers"),
    [
        (LINE, "#3 P= 497,5  mbar  T=-21.3", ("497.5", "-21.3")),
        ("{}", "+0.5", ("+0.5",)),
        ("{} mbar", "1.497.5 mbar", None),  # no part of a number is one
        ("{} mbar", "497.5 hPa", None),
        ("P={}", "p=497.5", None),
        ("a.c {}", "abc 5", None),  # a point is a point
    ],
)
def test_a_line_gives_its_numbers_or_is_another_line(pattern: str, line: str, numbers: tuple[str, ...] | None) -> None:
    assert read_line_pattern(pattern).numbers(line) == numbers


@pytest.mark.parametrize("typed", ["", "P= mbar", "{} {}", "{", "{} {air} {air}", "{} {a,b}", "{}}"])
def test_a_pattern_without_one_place_for_the_number_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match=r"write the line with|stands twice"):
        read_line_pattern(typed)


@pytest.mark.parametrize("typed", ["", "/dev/ttyUSB0 3", "COM3 9999999"])
def test_what_is_no_port_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="such as /dev/ttyUSB0 9600"):
        read_port(typed)


def test_one_row_is_kept_in_ten_seconds_and_a_gauge_that_falls_silent_is_told_once() -> None:
    now, said = [0.0], list[str]()

    def lines() -> Iterator[str]:
        for second in range(121):
            now[0] = float(second)
            # at one a second for 25 s, another kind of line up to 100 s, then its own again
            yield f"P={500 - second} mbar T=21" if second <= 25 or second >= 100 else "warming up"

    rows = list(live_rows(LIVE, "gauge [mbar]", said.append, lines(), clock=lambda: now[0]))
    assert rows[0] == ("gauge [mbar]", "air [degC]")
    assert [row[0] for row in rows[1:]] == ["500", "490", "480", "400", "390", "380"]
    assert said == [f'no line like "{LINE}" for 30 s; the last one was "warming up"']


def test_a_hold_is_fed_by_the_gauge_that_the_workshop_describes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[str, int]] = []

    def lines(name: str, speed: int, _tell: object) -> Iterator[str]:
        asked.append((name, speed))
        yield from ("", "hello", "P=497.5 mbar T=21.3", "P=497.4 mbar T=21.3")

    monkeypatch.setattr("commission.bootstrap.serial_lines", lines)
    path = tmp_path / "bench.logbook"
    with contextlib.closing(open_logbook(path).book) as book:
        ready_build(book, "Desk loop")
    feed = ("feed", "--build", "Desk loop", "--new", "--source", "hose off", "--live")
    assert "no instrument has a port" in one_line(called(*feed, "bench gauge", logbook=path).err)
    for name in ("bench gauge", "room thermometer"):
        edit = ("instrument", name, "--edit", "--port", "/dev/gauge 19200", "--pattern", LINE)
        assert f"port /dev/gauge 19200, pattern {LINE}" in called(*edit, logbook=path).out
    assert "a thermometer; wanted here: gauge" in one_line(called(*feed, "room thermometer", logbook=path).err)
    fed = called(*feed, "bench gauge", logbook=path)
    assert (fed.status, fed.lines, asked) == (0, ["stored 1"], [("/dev/gauge", 19200)]), fed.err
    # how the source is off was said, and the instrument has a step: nothing of either is assumed
    assert [line for line in fed.err.splitlines() if line.startswith("assumed:")] == []
    with contextlib.closing(open_logbook(path, read_only=True).book) as book:
        hold = hold_of(book.build(book.find_build("Desk loop")))
        assert hold.plan is not None
        assert (hold.plan.gauge.resolution, hold.plan.gauge.step_guessed) == (GAUGE.resolution, False)
        stored = book.log.samples(hold.series)
        # 497.5 mbar are 49 750 Pa; 21.3 °C are 294.45 K
        assert [*stored.pressure_pa, *stored.air_k] == pytest.approx([49_750, 294.45])
    assert called("verify", logbook=path).status == 0
