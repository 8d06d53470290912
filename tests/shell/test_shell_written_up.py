"""``--began`` and ``--at``: a bench that writes up in the evening, from the shell."""

import contextlib
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from commission.record.logbook import Logbook
from tests.fakes import HandClock
from tests.registered import open_logbook
from tests.shell.arriving import Arriving
from tests.shell.running import Ran, called, one_line
from tests.shell.scripted_build import CABLE, MAP, SOAK, SOAK_LINE
from tests.soaks import headers_passed
from tests.wet_builds import filled_build

BUILD = "Blue Heron"
SAID = "Taken over from notes or a file; this program did not see it happen."


def day_before(folder: Path, arriving: Arriving, made: Callable[[Logbook, HandClock], str]) -> Callable[..., Ran]:
    """Make a build, let a day go by, and return what calls a command so many minutes after it was made."""
    logbook = folder / "bench.logbook"
    with contextlib.closing(open_logbook(logbook).book) as book:
        made(book, arriving.clock)
    made_ms = arriving.clock.wall_ms
    arriving.clock.run(86_400)

    def later(*typed: str, at: float | None = None, began: float | None = None) -> Ran:
        minutes, option = (at, "--at") if began is None else (began, "--began")
        if minutes is None:
            return called(*typed, logbook=logbook)
        when = datetime.fromtimestamp(made_ms / 1000 + 60 * minutes, UTC).isoformat()
        return called(*typed, option, when, logbook=logbook)

    return later


def test_a_bleed_of_yesterday_is_written_up_by_commands(tmp_path: Path, arriving: Arriving) -> None:
    later = day_before(tmp_path, arriving, filled_build)
    begun = later("bleed", "begin", BUILD, "--inlet-covered", "--json", began=5)
    entries = json.loads(begun.out)["entries"]
    assert [one["kind"] for one in entries if one["done"]] == ["bleed started"]  # cautions are printed now
    for minute in (40, 75, 110, 145):
        cycle = later("bleed", "cycle", BUILD, "30 min 0 mL upright none quiet", at=minute)
        assert cycle.lines[-1].endswith("written up now")
    early = later("bleed", "end", BUILD, at=100)
    assert (early.status, "in the order in which they were done" in one_line(early.err)) == (2, True)
    ended = later("bleed", "end", BUILD, at=150)
    assert (ended.status, ended.lines[-1]) == (0, f"reason: {SAID}")


def test_a_table_of_yesterday_is_a_soak_only_with_its_time(tmp_path: Path, arriving: Arriving) -> None:
    table = tmp_path / "soak.csv"
    table.write_text(SOAK, encoding="utf-8")
    later = day_before(tmp_path, arriving, headers_passed)
    assert later("soak", "feed", BUILD, str(table)).status == 2  # none goes on
    before = later("show", BUILD).out
    assert later("soak", "feed", BUILD, str(table), began=1430).status == 2  # its end lies after now
    assert later("show", BUILD).out == before  # a table that is refused begins none
    assert later("soak", "feed", BUILD, str(table), began=5).status == 0
    twice = later("soak", "read", BUILD, f"after 57 min {SOAK_LINE}", at=64)
    assert (twice.status, "stands there twice" in one_line(twice.err)) == (2, True)
    read = later("soak", "read", BUILD, SOAK_LINE, at=64)  # the soak began at 5
    assert (read.status, "after 59 min" in read.lines[0]) == (0, True)
    assert later("soak", "joints", BUILD, "--all-dry", at=60).status == 0
    ended = later("soak", "end", BUILD, at=70)
    assert (ended.status, ended.lines[-1]) == (0, f"reason: {SAID}")
    shown = later("show", BUILD).lines
    assert f"soak reason: {SAID}" in shown
    assert any(line.startswith("soak joint ") and "dry after 55 min" in line for line in shown)


def test_what_was_done_before_the_build_was_opened_says_that_work_began_then(
    tmp_path: Path, arriving: Arriving
) -> None:
    (tmp_path / "map.csv").write_text(MAP, encoding="utf-8")
    (tmp_path / "cable.csv").write_text(CABLE, encoding="utf-8")
    logbook, noon = tmp_path / "bench.logbook", "2026-09-21T12:00+01:00"  # the clock of the tests begins at 15:13
    cable = ("power", "cable", BUILD, "CPU", str(tmp_path / "cable.csv"), "--unplugged")
    assert called("open", BUILD, logbook=logbook).status == 0
    assert called("power", "supply", BUILD, "Larkspur 850 ATX2", "--made", "CPU", logbook=logbook).status == 0
    early = called(*cable, "--at", noon, logbook=logbook)
    assert (early.status, "is begun with --began and its time" in one_line(early.err)) == (2, True)
    both = called(*cable, "--at", noon, "--began", noon, logbook=logbook)
    assert (both.status, "type only one of them" in one_line(both.err)) == (2, True)
    assert called(*cable, "--began", noon, logbook=logbook).status == 0
