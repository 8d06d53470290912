"""``commission headers``: what sits on which header, now and on earlier days.

The days, the currents (3 x 200 mA steady, 3 x 300 mA at start) and the moves are those that the fixture types, so that
every line can be told by hand. The log's clock is an hour ahead of UTC.
"""

import json
import sys
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from commission.procedure.model import When
from commission.shell.day_type import at_of
from commission.stages.fan_headers.entries import ChainMoved, SweepSource
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.fakes import HandClock
from tests.holds import ready_build
from tests.power_builds import chain, falling, header, plugged, powered_build
from tests.registered import open_logbook
from tests.shell.running import Ran, called, one_line, ran
from tests.wet_builds import answer

NOON_MS = 1_790_593_200_000
"""2026-09-28 12:00 +0100, by ``date -d '2026-09-28 12:00 +0100' +%s``: the day of the first plug."""
DAY_S = 86_400


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A build that was plugged on 09-28, swept, re-plugged on 10-01; a rear chain came on 10-03 and went on 10-05."""
    path = tmp_path_factory.mktemp("headers") / "bench.logbook"
    clock = HandClock(wall_ms=NOON_MS - 7 * DAY_S * 1000)
    book = open_logbook(path, clock=clock).book
    build = powered_build(book, clock)
    clock.run((NOON_MS - clock.wall_ms) / 1000)
    plugged(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    clock.run(3600)
    book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.FILE)
    clock.run(3 * DAY_S - 3600)
    book.work(FanHeaders).seats.move(build, "front", "SYS 2", "quieter")
    clock.run(DAY_S)
    slip = book.work(FanHeaders).seats.move(build, "front", None, "typed by mistake")
    clock.run(DAY_S)
    book.withdraw(slip.seq, "it was never unplugged")
    book.work(FanHeaders).seats.add_header(build, header("SYS 3", place="lower edge"))
    book.work(FanHeaders).seats.add_chain(build, chain("rear", 3, start_ma=None))
    book.work(FanHeaders).seats.move(build, "rear", "SYS 3", override="they start one by one")
    clock.run(2 * DAY_S)
    book.work(FanHeaders).seats.remove_header(build, "SYS 3", "its pin broke")
    book.work(FanHeaders).seats.remove_chain(build, "rear", "sold")
    clock.run(DAY_S)
    book.work(FanHeaders).seats.add_chain(build, chain("spare", 1))
    ready_build(book, "Bare frame")
    book.close()
    return path


def asked(logbook: Path, *more: str) -> Ran:
    """Ask about the build; the command must do."""
    told = called("headers", "Blue Heron", *more, logbook=logbook)
    assert (told.status, told.err) == (0, "")
    return told


def test_now_every_header_is_told_with_its_chain_load_and_last_sweep(logbook: Path) -> None:
    assert asked(logbook).lines == [
        "build: Blue Heron",
        "header SYS 1: empty, 1000 mA; 4-pin pwm/voltage, set to pwm",
        "header SYS 2: front, steady 600 of 800, start 900 of 1000 mA; 4-pin pwm/voltage, set to pwm",
        "on SYS 2: front (3 devices, pwm) since 2026-10-01 12:00 +0100 (quieter)",
        "sweep of front: controlled (pass) on SYS 1, 2026-09-28 13:00 +0100; STALE, plugged or set another way since",
        "on no header: loop pump; pump, pwm",
        "sweep of loop pump: none",
        "on no header: spare; 1 device, pwm",
        "sweep of spare: none",
    ]


def test_on_an_earlier_day_it_sat_elsewhere_and_its_sweep_still_counted(logbook: Path) -> None:
    lines = asked(logbook, "--date", "2026-09-30T12:00:00+01:00").lines
    assert lines == [
        "build: Blue Heron",
        "at: 2026-09-30 12:00 +0100",
        "header SYS 1: front, steady 600 of 800, start 900 of 1000 mA; 4-pin pwm/voltage, set to pwm · "
        "front controlled",
        "on SYS 1: front (3 devices, pwm) since 2026-09-28 12:00 +0100",
        "sweep of front: controlled (pass) on SYS 1, 2026-09-28 13:00 +0100",
        "header SYS 2: empty, 1000 mA; 4-pin pwm/voltage, set to pwm",
        "on no header: loop pump; pump, pwm",
        "sweep of loop pump: none",
        "remark: Written down only later: SYS 3.",
    ]


@pytest.mark.parametrize(
    ("at", "where"),
    [
        ("2026-10-01T10:59:59.999Z", "SYS 1"),
        ("2026-10-01T11:00:00Z", "SYS 2"),
        ("2026-10-01T13:00:00+02:00", "SYS 2"),
        ("2026-10-01t12:59:00+02:00", "SYS 1"),
        ("2026-09-30", "SYS 1"),
        ("2026-10-02", "SYS 2"),
        ("2099-12-31", "SYS 2"),
    ],
)
def test_a_move_counts_from_its_own_moment_on(logbook: Path, at: str, where: str) -> None:
    (line,) = [line for line in asked(logbook, "--date", at).lines if ": front (" in line and line.startswith("on ")]
    assert line.startswith(f"on {where}: front ")


def test_a_move_that_was_withdrawn_later_never_counts(logbook: Path) -> None:
    # typed on 10-02 at 12:00, withdrawn a day later
    lines = asked(logbook, "--date", "2026-10-02T18:00:00+01:00").lines
    assert "on SYS 2: front (3 devices, pwm) since 2026-10-01 12:00 +0100 (quieter)" in lines


def test_what_is_gone_since_is_told_with_its_name_and_the_day_it_went(logbook: Path) -> None:
    lines = asked(logbook, "--date", "2026-10-04").lines
    gone = "GONE since 2026-10-05 12:00 +0100"
    (header,) = [line for line in lines if line.startswith("header SYS 3: rear, ")]
    assert header.endswith(f"; 4-pin pwm/voltage, set to pwm, lower edge; {gone}")
    assert f"on SYS 3: rear (3 devices, pwm, {gone}) since 2026-10-03 12:00 +0100" in lines
    assert "SYS 3" not in asked(logbook).out


def test_a_load_beyond_the_rating_is_told_against_the_header(logbook: Path) -> None:
    # 3 x 200 mA, and twice that at start where no label says: our own factor
    lines = asked(logbook, "--date", "2026-10-04").lines
    assert any(line.startswith("header SYS 3: rear, steady 600 of 800, start 1200 by factor 2 of") for line in lines)
    (against,) = [line for line in lines if line.startswith("against ")]
    assert against.startswith("against SYS 3: ")
    assert "1200 mA" in against


def test_a_day_before_the_first_move_says_so_and_names_it(logbook: Path) -> None:
    told = asked(logbook, "--date", "2026-09-26")
    assert not [line for line in told.lines if line.startswith("on ") and "pump" not in line]
    assert told.lines[2:] == [
        "on no header: loop pump; pump, pwm",
        "sweep of loop pump: none",
        "remark: Nothing was plugged in yet as logged: the first move is that of 2026-09-28 12:00 +0100.",
        "remark: Written down only later: SYS 1, SYS 2, SYS 3.",
    ]


def test_a_build_without_headers_says_so(logbook: Path) -> None:
    for more in ((), ("--date", "2026-09-26")):
        told = called("headers", "bare frame", *more, logbook=logbook)
        assert told.status == 0
        assert told.lines[-1] == "headers: none written down"


def test_a_move_that_was_typed_later_counts_from_when_it_was_done(tmp_path: Path) -> None:
    path, clock = tmp_path / "late.logbook", HandClock(wall_ms=NOON_MS)
    book = open_logbook(path, clock=clock).book
    build = ready_build(book)
    plugged(book, build)
    done_ms = clock.wall_ms + DAY_S * 1000
    clock.run(4 * DAY_S)
    with book.past.written_up(done_ms):
        book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    book.close()
    lines = asked(path, "--date", "2026-09-30").lines
    assert "on SYS 2: front (3 devices, pwm) since 2026-09-29 12:00 +0100" in lines
    assert any(line.startswith("header SYS 1: empty, ") for line in lines)


def test_a_header_that_carried_something_before_it_was_written_down_is_told(tmp_path: Path) -> None:
    path, clock = tmp_path / "backdated.logbook", HandClock(wall_ms=NOON_MS)
    book = open_logbook(path, clock=clock).book
    build = ready_build(book)
    plugged(book, build)
    moved = ChainMoved(chain_id="front", header_id="SYS 2", why="")
    book.record(build, moved, observed_ms=NOON_MS - 2 * DAY_S * 1000)
    book.close()
    lines = asked(path, "--date", "2026-09-27").lines
    assert "on SYS 2: front (3 devices, pwm) since 2026-09-26 12:00 +0100" in lines


# --- the moment --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("yesterday", "a day such as 2026-03-14"),
        ("14.03.2026", "a day such as 2026-03-14"),
        ("2026-3-4", "a day such as 2026-03-14"),
        ("20260314", "a day such as 2026-03-14"),
        ("2026-W11-6", "a day such as 2026-03-14"),
        ("２０２６-03-14", "a day such as 2026-03-14"),
        ("", "a day such as 2026-03-14"),
        ("x" * 5000, "a day such as 2026-03-14"),
        ("2026-02-30", "no calendar"),
        ("0000-01-01", "no calendar"),
        ("9999-12-31", "no calendar"),
        ("2026-03-14T25:00:00Z", "no clock"),
        ("2026-03-14T10:00:00+99:00", "no clock"),
        ("2026-03-14T18:30:00", "add Z"),
        ("2026-03-14 18:30", "add Z"),
    ],
)
def test_a_bad_date_is_one_clear_line_and_status_2(logbook: Path, typed: str, said: str) -> None:
    told = called("headers", "Blue Heron", "--date", typed, logbook=logbook)
    assert (told.status, told.out) == (2, "")
    line = one_line(told.err)
    assert said in line
    assert len(line) < 300


@pytest.mark.parametrize("day", ["2026-03-14", "2026-03-29", "2026-10-25", "2024-02-29", "2026-12-31"])
def test_a_day_counts_to_its_last_millisecond_in_local_time(day: str) -> None:
    end = datetime.fromtimestamp(at_of(day).ms / 1000)  # noqa: DTZ006 - local time is what is asked for
    after = datetime.fromtimestamp((at_of(day).ms + 1) / 1000)  # noqa: DTZ006
    assert end.isoformat() == f"{day}T23:59:59.999000"
    assert after.isoformat(timespec="milliseconds") == f"{(end + timedelta(days=1)).date()}T00:00:00.000"


@pytest.mark.skipif(sys.platform == "win32", reason="TZ does not move the local time there")
@pytest.mark.parametrize(
    ("zone", "where"),
    [
        ("UTC", "SYS 2"),  # the move of 11:00 UTC lies before the end of 10-01
        ("East+13:00", "SYS 2"),  # 13 hours behind UTC: later still
        ("West-14:00", "SYS 1"),  # 14 hours ahead: 10-01 ended at 10:00 UTC, an hour before the move
    ],
)
def test_the_end_of_a_day_is_that_of_this_computers_clock(logbook: Path, zone: str, where: str) -> None:
    told = ran("headers", "Blue Heron", "--date", "2026-10-01", logbook=logbook, env={"TZ": zone})
    assert any(line.startswith(f"on {where}: front ") for line in told.lines)


# --- nothing is written ------------------------------------------------------------------------------------------


def test_nothing_is_written(logbook: Path) -> None:
    before = {path.name: path.read_bytes() for path in logbook.parent.iterdir()}
    for more in ((), ("--json",), ("--date", "2026-10-01"), ("--date", "never")):
        called("headers", "Blue Heron", *more, logbook=logbook)
    assert {path.name: path.read_bytes() for path in logbook.parent.iterdir()} == before


@pytest.mark.parametrize("arguments", [("No such build",), ("No such build", "--json", "--date", "2026-10-01")])
def test_an_unknown_build_is_one_line(logbook: Path, arguments: tuple[str, ...]) -> None:
    told = called("headers", *arguments, logbook=logbook)
    assert (told.status, told.out) == (2, "")
    assert 'there is no build "No such build"' in one_line(told.err)


# --- for programs ------------------------------------------------------------------------------------------------


@pytest.fixture
def told_then(logbook: Path) -> dict[str, Any]:
    (line,) = asked(logbook, "--json", "--date", "2026-10-04T00:00:00Z").lines
    assert line.isascii()
    found: dict[str, Any] = json.loads(line)
    return found


def test_programs_get_the_same_as_one_object(told_then: dict[str, Any]) -> None:
    assert (told_then["build"], told_then["at"]) == ("Blue Heron", "2026-10-04T00:00:00+00:00")
    assert told_then["first_move"] == "2026-09-28T12:00:00+01:00"
    first, second, third = told_then["headers"]
    assert (first["name"], first["chains"], first["steady_ma"], first["gone_since"]) == ("SYS 1", [], 0, None)
    assert (second["steady_ma"], second["start_ma"], second["rating_ma"]) == (600, 900, 1000)
    (front,) = second["chains"]
    assert (front["since"], front["why"]) == ("2026-10-01T12:00:00+01:00", "quieter")
    assert front["sweep"] == {
        "outcome": "pass", "said": "controlled", "header": "SYS 1", "taken": "2026-09-28T13:00:00+01:00",
        "stale": True,
    }  # fmt: skip
    assert third["gone_since"] == "2026-10-05T12:00:00+01:00"
    assert (third["chains"][0]["gone_since"], third["chains"][0]["sweep"]) == ("2026-10-05T12:00:00+01:00", None)
    assert len(third["against"]) == 1
    assert [chain["name"] for chain in told_then["loose"]] == ["loop pump"]


def test_now_has_no_moment(logbook: Path) -> None:
    now = json.loads(asked(logbook, "--json").out)
    assert now["at"] is None
    assert [chain["name"] for chain in now["loose"]] == ["loop pump", "spare"]
    assert now["loose"][0]["since"] is None
