"""``commission feed`` and ``commission close``: acknowledged is stored, refused is untouched, carrying on is exact."""

import contextlib
import os
import re
import signal
import subprocess
import sys
import time
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from commission.base.frozen import replace
from commission.record.entries import CautionsPrinted
from commission.record.fold import BuildState
from commission.record.logged import Head
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.entries import HoldStarted
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold
from tests.answers import OF_A_HOLD
from tests.holds import RADIATOR, ready_build
from tests.registered import open_logbook
from tests.shell.arriving import Arriving
from tests.shell.running import SAMPLES, Ran, called, command, environment, one_line
from tests.surroundings import PATIENCE_S

HEAD = "# volume: 1.2 L +- 5 %\n# source: hose off\n# gauge step: 0.1 mbar\nelapsed [s],gauge [mbar],air [degC]\n"
ROWS = ["0,500.0,21.0", "60,499.9,21.0", "120,499.8,21.1", "180,499.7,21.0"]

pytestmark = pytest.mark.usefixtures("arriving")


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    return tmp_path / "bench.logbook"


def feed(logbook: Path, rows: list[str], *more: str, head: str = HEAD, build: str = "Desk loop") -> Ran:
    return called("feed", "--build", build, *more, text=head + "".join(f"{row}\n" for row in rows), logbook=logbook)


def head_of(logbook: Path) -> Head:
    opened = open_logbook(logbook, read_only=True)
    with contextlib.closing(opened.book):
        return opened.book.head()


def state_of(logbook: Path, build: str = "Desk loop") -> tuple[BuildState, list[float]]:
    """Return the build and the times of its samples."""
    opened = open_logbook(logbook, read_only=True)
    with contextlib.closing(opened.book):
        state = opened.book.build(opened.book.find_build(build))
        return state, list(opened.book.log.samples(hold_of(state).series).elapsed_s)


# --- a new hold ----------------------------------------------------------------------------------------------------


def test_a_new_hold_opens_the_build_prints_the_cautions_and_counts_the_rows(logbook: Path) -> None:
    fed = feed(logbook, ROWS, "--new")
    assert (fed.status, fed.lines) == (0, [f"stored {n}" for n in (1, 2, 3, 4)])
    cautions = [line for line in fed.err.splitlines() if line.startswith("caution: ")]
    assert len(cautions) == len(OF_A_HOLD)
    # 49.2 J at 0.5 bar in 1.2 L: ASME PCC-2-2008 Art. 5.1 App. II
    assert "49.22 J" in cautions[0]
    state, times = state_of(logbook)
    assert times == [0.0, 60.0, 120.0, 180.0]
    assert hold_of(state).running
    plan = hold_of(state).plan
    assert plan is not None
    assert plan.volume_m3 == pytest.approx(1.2e-3)
    assert plan.target_gauge_pa == pytest.approx(5e4)
    opened = open_logbook(logbook, read_only=True)
    with contextlib.closing(opened.book):
        kinds = [type(entry.payload) for entry in opened.book.entries(state.build_id)]
        assert kinds.index(CautionsPrinted) < kinds.index(HoldStarted)
        assert opened.book.verify() == []


@pytest.mark.parametrize(
    "text",
    [
        "",
        "elapsed [s],gauge [bogus]\n0,500\n",
        "elapsed [s],gauge\n0,500\n",
        "elapsed [s],hue\n0,500\n",
        "# volume: many\nelapsed [s],gauge [mbar]\n0,500.0\n",
        HEAD,
        HEAD + "0,abc,21\n",
        HEAD + "0,NaN,21\n5,1e999,21\n",
        HEAD + "0,0.5,21.0\n",
        HEAD + "0,-20,21.0\n",
        "elapsed [s],gauge [mbar]\n0,500.0\n",
        "﻿".encode("utf-16").decode("latin-1"),
    ],
    ids=[
        "nothing", "bad unit", "no unit", "unknown column", "bad volume", "no row", "bad row", "not finite",
        "swapped unit", "vacuum", "no volume", "utf-16",
    ],
)  # fmt: skip
def test_nothing_is_made_until_header_and_first_row_are_good(logbook: Path, text: str) -> None:
    fed = called("feed", "--build", "Desk loop", "--new", text=text.encode("latin-1", "ignore"), logbook=logbook)
    assert (fed.status, fed.out) == (2, "")
    assert "Traceback" not in fed.err
    if logbook.exists():
        assert head_of(logbook) == Head(seq=0, digest="")


def test_a_build_that_is_there_is_not_touched_by_a_bad_start(logbook: Path) -> None:
    assert feed(logbook, ROWS, "--new", build="Other").status == 0
    before = head_of(logbook)
    for head, rows in ((HEAD, ["0,0.5,21.0"]), ("elapsed [s],gauge [mbar]\n", ["0,500.0"]), ("hue\n", ["1"])):
        assert feed(logbook, rows, "--new", head=head).status == 2
    assert head_of(logbook) == before


def test_the_first_good_row_starts_the_hold(logbook: Path) -> None:
    fed = feed(logbook, ["0,abc,21.0", *ROWS[1:]], "--new")
    assert (fed.status, fed.lines) == (2, ["stored 1", "stored 2", "stored 3"])
    assert 'refused: line 5, field "gauge"' in fed.err
    assert state_of(logbook)[1] == [60.0, 120.0, 180.0]


def test_no_hold_starts_before_it_is_said_how_the_source_is_off(logbook: Path) -> None:
    head = HEAD.replace("# source: hose off\n", "")
    refused = feed(logbook, ROWS, "--new", head=head)
    assert (refused.status, refused.lines) == (2, [])
    assert '"valve shut, line vented"' in one_line(refused.err)
    assert feed(logbook, ROWS, "--new", "--source", "tape", head=head).status == 2
    assert feed(logbook, ROWS, "--new", "--source", "valve only", head=head).status == 0
    assert hold_of(state_of(logbook)[0]).source == "valve only"
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert any("Source valve only" in line for line in closed.lines)
    assert "hold 1 source: valve only" in called("show", "Desk loop", logbook=logbook).lines


@pytest.mark.parametrize("line", ["# limit: 10 mbar*L/s", "# limit: 0.03 mbar*L/s", "# settle: 3 h", "# volume: 0.1 L"])
def test_a_plan_that_the_screen_would_refuse_is_refused_before_anything_is_stored(logbook: Path, line: str) -> None:
    book = open_logbook(logbook).book
    with contextlib.closing(book):
        ready_build(book, "Desk loop")
    before = head_of(logbook)
    kept = [one for one in HEAD.splitlines() if one.partition(":")[0] != line.partition(":")[0]]
    refused = feed(logbook, ROWS, "--new", head="\n".join([line, *kept, ""]))
    assert refused.status == 2
    assert re.search("Correct the wrong one|check (the )?number and (its )?unit", one_line(refused.err))
    assert head_of(logbook) == before


def test_no_hold_starts_while_a_part_has_no_rating(logbook: Path) -> None:
    book = open_logbook(logbook).book
    with contextlib.closing(book):
        build = ready_build(book, "Desk loop")
        book.work(Sheet).add_part(build, replace(RADIATOR, part_id="tank", name="glass tank", max_gauge_pa=None))
    refused = feed(logbook, ROWS, "--new")
    assert refused.status == 2
    assert "no rating is known of glass tank" in one_line(refused.err)
    assert called("rate", "Desk loop", "nosuch", "0.7 bar", logbook=logbook).status == 2
    assert called("rate", "Desk loop", "glass tank", logbook=logbook).status == 2
    assert called("rate", "Desk loop", "glass tank", "0.4 bar", logbook=logbook).status == 0
    assert "above the rating of the weakest part, glass tank" in feed(logbook, ROWS, "--new").err
    assert called("rate", "Desk loop", "Glass Tank", "--left-out", "cracked", logbook=logbook).status == 0
    assert feed(logbook, ROWS, "--new").status == 0
    shown = called("show", "Desk loop", logbook=logbook).lines
    assert any("glass tank" in line and line.endswith("left out of the test: cracked") for line in shown)


def test_a_new_hold_takes_a_limit_by_its_name_and_the_time_that_decides(logbook: Path) -> None:
    fed = feed(logbook, ROWS, "--new", "--class", "strict")
    assert fed.status == 0
    plan = hold_of(state_of(logbook)[0]).plan
    assert plan is not None
    assert plan.limit_pa_m3_s == pytest.approx(2e-4)
    assert plan.hold_s % 300 == 0
    assert "planned: " in fed.err
    assert feed(logbook, ROWS, "--class", "strict").status == 2
    assert feed(logbook, ROWS, "--new", "--class", "tight", build="Other").status == 2


def test_a_source_that_option_and_input_name_differently_starts_no_hold(logbook: Path) -> None:
    refused = feed(logbook, ROWS, "--new", "--source", "valve only")
    assert (refused.status, refused.lines) == (2, [])
    assert '"# source: hose off", and --source says "valve only"' in one_line(refused.err)
    told = feed(logbook, ROWS, "--new", "--class", "strict", head="# limit: 5e-3 mbar*L/s\n" + HEAD)
    assert told.status == 0
    assert "overruled: limit of the file, " in told.err


def test_new_refuses_where_a_hold_is_running(logbook: Path) -> None:
    assert feed(logbook, ROWS, "--new").status == 0
    before = head_of(logbook)
    again = feed(logbook, ROWS, "--new")
    assert again.status == 2
    assert "leave out --new" in one_line(again.err)
    assert head_of(logbook) == before


def test_without_new_a_hold_must_be_running(logbook: Path) -> None:
    missing = feed(logbook, ROWS)
    assert missing.status == 2
    assert "there is no logbook" in one_line(missing.err)
    assert not logbook.exists()
    assert feed(logbook, ROWS, "--new").status == 0
    unknown = feed(logbook, ROWS, build="Nowhere")
    assert 'there is no build "Nowhere"' in one_line(unknown.err)
    assert called("end-hold", "Desk loop", logbook=logbook).status == 3
    closed = feed(logbook, ROWS)
    assert closed.status == 2
    assert "say --new" in one_line(closed.err)


def test_the_length_of_the_hold_can_be_planned(logbook: Path) -> None:
    assert feed(logbook, ROWS, "--new", "--hold", "2 min").status == 0
    plan = hold_of(state_of(logbook)[0]).plan
    assert plan is not None
    assert plan.hold_s == 120


# --- carrying on ---------------------------------------------------------------------------------------------------


def test_the_same_rows_again_are_not_stored_twice(logbook: Path) -> None:
    assert feed(logbook, ROWS[:3], "--new").status == 0
    again = feed(logbook, [*ROWS, "240,499.6,21.0"])
    assert (again.status, again.lines) == (
        0,
        ["already stored 1", "already stored 2", "already stored 3", "stored 4", "stored 5"],
    )
    assert state_of(logbook)[1] == [0.0, 60.0, 120.0, 180.0, 240.0]


def test_other_values_for_a_time_that_is_stored_are_refused(logbook: Path) -> None:
    assert feed(logbook, ROWS, "--new").status == 0
    before = state_of(logbook)[1]
    again = feed(logbook, ["0,480.0,21.0", "30,499.0,21.0", "200,499.6,21.0"])
    assert (again.status, again.lines) == (2, ["stored 5"])
    refused = [line for line in again.err.splitlines() if line.startswith("refused: ")]
    assert len(refused) == 2
    assert "other values are stored for that time" in refused[0]
    assert "nothing is stored for that time" in refused[1]
    assert state_of(logbook)[1] == [*before, 200.0]


def test_a_bad_row_is_refused_and_the_rest_goes_on(logbook: Path) -> None:
    bad = ["60,abc,21.0", "70,499.9", "80,1'000.0,21.0", "90,2500.0,21.0", "5,499.9,21.0", "", "95,499.9,-400"]
    fed = feed(logbook, [ROWS[0], *bad, ROWS[2]], "--new")
    assert (fed.status, fed.lines) == (2, ["stored 1", "stored 2"])
    refused = [line for line in fed.err.splitlines() if line.startswith("refused: ")]
    assert [line.split()[2].rstrip(":,") for line in refused] == ["6", "7", "8", "9", "10", "12"]
    assert state_of(logbook)[1] == [0.0, 120.0]


def test_rows_without_a_time_are_stamped_on_arrival_and_move_on(logbook: Path) -> None:
    head = HEAD.replace("elapsed [s],", "")
    fed = feed(logbook, ["500.0,21.0", "499.9,21.0", "499.8,21.0"], "--new", head=head)
    assert fed.status == 0
    times = state_of(logbook)[1]
    assert 0 <= times[0] < times[1] < times[2] < 30


def test_lines_that_come_too_late_to_count_are_named_when_it_is_carried_on(logbook: Path) -> None:
    feed(logbook, ROWS[:2], "--new")
    same = feed(logbook, ROWS[:3])
    assert "does not count" not in same.err
    head = HEAD.replace("1.2 L", "9 L").replace("hose off", "valve only")
    other = feed(logbook, ROWS, head=head)
    assert (other.status, other.lines[-1]) == (0, "stored 4")
    assert "does not count: volume, source of this input" in other.err
    plan = hold_of(state_of(logbook)[0]).plan
    assert plan is not None
    assert plan.volume_m3 == pytest.approx(1.2e-3)


def test_time_of_day_is_placed_against_the_first_row_also_when_carried_on(logbook: Path) -> None:
    head = HEAD.replace("elapsed [s]", "time")
    rows = [f"2031-05-04T18:3{minute}:00+02:00,500.{9 - minute},21.0" for minute in range(5)]
    assert feed(logbook, rows[:2], "--new", head=head).status == 0
    again = feed(logbook, rows, head=head)
    assert (again.status, again.lines[:3]) == (0, ["already stored 1", "already stored 2", "stored 3"])
    assert state_of(logbook)[1] == [0.0, 60.0, 120.0, 180.0, 240.0]


# --- readings from the future, and from a file ---------------------------------------------------------------------


@pytest.fixture
def still(arriving: Arriving) -> Arriving:
    """A clock that does not move with the rows: they come all at once."""
    arriving.comes = lambda line: None  # type: ignore[method-assign]
    return arriving


def test_rows_that_lie_after_now_are_refused_so_that_two_rows_are_no_hold(logbook: Path, still: Arriving) -> None:
    # an hour's hold in a second: 0 and 10 min, then the verdict, was a pass
    fed = feed(logbook, ["0,500.0,21.0", "600,500.0,21.0"], "--new", "--hold", "10 min")
    assert (fed.status, fed.lines) == (2, ["stored 1"])
    assert "line 6: it is said to be read 600 s after the start, which was 0 s ago" in fed.err
    assert called("end-hold", "Desk loop", logbook=logbook).status in {3, 4}
    assert still.began_ms is None


def test_rows_by_the_time_of_day_that_lie_after_now_are_refused(logbook: Path, still: Arriving) -> None:
    head = HEAD.replace("elapsed [s]", "time")
    rows = [f"2031-05-04T18:{minute}:00+02:00,500.0,21.0" for minute in (30, 50)]
    fed = feed(logbook, rows, "--new", head=head)
    assert (fed.status, fed.lines) == (2, ["stored 1"])
    assert "which was 0 s ago" in fed.err
    assert still.began_ms is None


@pytest.mark.parametrize(("ahead_s", "status"), [(29, 0), (30, 0), (31, 2)])
def test_a_logger_that_was_started_a_little_earlier_may_run_ahead(
    logbook: Path, still: Arriving, ahead_s: int, status: int
) -> None:
    assert feed(logbook, ["0,500.0,21.0", f"{ahead_s},500.0,21.0"], "--new").status == status
    assert still.began_ms is None


LOG = [f"{60 * n},{500 - 0.02 * n:.2f},21.0" for n in range(31)]


def at(ms: int) -> str:
    """Return a moment as it is typed, at one hour east of UTC."""
    return datetime.fromtimestamp(ms / 1000, timezone(timedelta(hours=1))).isoformat()


def test_a_loggers_file_is_taken_over_and_that_is_said_everywhere(logbook: Path, still: Arriving) -> None:
    began_ms = still.clock.wall_ms - 3_600_000
    fed = feed(logbook, LOG, "--new", "--hold", "30 min", "--began", at(began_ms))
    assert (fed.status, fed.lines[-1]) == (0, "stored 31")
    said = "Taken over from notes or a file; this program did not see it happen."
    shown = called("show", "Desk loop", logbook=logbook)
    assert f"hold 1 reason: {said}" in shown.lines
    assert "hold 1 began: 2026-09-21 14:13 +0100" in shown.lines
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (0, "verdict: pass")
    assert f"reason: {said}" in closed.lines
    state, _ = state_of(logbook)
    hold = judged_hold(state)
    assert hold is not None
    assert hold.began_ms == began_ms
    assert hold.verdict_entry is not None
    assert hold.verdict_entry.verdict.reasons[-1].code == "taken_over"
    assert said in called("show", "Desk loop", logbook=logbook).out


def test_a_part_that_is_rated_after_the_pass_that_did_not_test_it_is_told_to_be_held(
    logbook: Path, still: Arriving
) -> None:
    book = open_logbook(logbook).book
    with contextlib.closing(book):
        build = ready_build(book, "Desk loop")
        book.work(Sheet).add_part(build, replace(RADIATOR, part_id="tank", name="glass tank", max_gauge_pa=None))
    told = "next: open this part to the test pressure and hold again; the last hold did not test it"
    assert told not in called("rate", "Desk loop", "glass tank", "--left-out", "no sheet", logbook=logbook).lines
    began = at(still.clock.wall_ms - 3_600_000)
    assert feed(logbook, LOG, "--new", "--hold", "30 min", "--began", began).status == 0
    assert called("end-hold", "Desk loop", logbook=logbook).lines[0] == "verdict: pass"
    assert called("rate", "Desk loop", "glass tank", "1 bar", logbook=logbook).lines[-1] == told
    assert "pressure hold: stale" in called("show", "Desk loop", logbook=logbook).out


def test_a_file_that_is_shorter_than_its_plan_is_judged_by_what_it_holds(logbook: Path, still: Arriving) -> None:
    began = at(still.clock.wall_ms - 86_400_000)
    assert feed(logbook, LOG[:20], "--new", "--hold", "30 min", "--began", began).status == 0
    assert "running for 19 min of the planned 30 min" in called("show", "Desk loop", logbook=logbook).out
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (3, "verdict: inconclusive")


def test_a_file_by_the_time_of_day_is_taken_over_from_its_start(logbook: Path, still: Arriving) -> None:
    head = HEAD.replace("elapsed [s]", "time")
    began_ms = still.clock.wall_ms - 600_000
    rows = [f"{at(began_ms + 1000 * s)},500.0,21.0" for s in (30, 90, 700)]
    fed = feed(logbook, rows, "--new", "--began", at(began_ms), head=head)
    assert (fed.status, fed.lines) == (2, ["stored 1", "stored 2"])
    assert state_of(logbook)[1] == [30.0, 90.0]


@pytest.mark.parametrize(
    ("began", "said"),
    [
        ("2026-03-14T20:00", "does not say how far from UTC"),
        ("2026-03-14", "is no moment"),
        ("yesterday", "is no date"),
        ("2096-03-14T20:00+01:00", "after now"),
        ("2026-09-21T15:10+01:00", "after now; correct --began"),
    ],
)
def test_a_start_that_cannot_be_true_is_refused_before_anything_is_made(
    logbook: Path, still: Arriving, began: str, said: str
) -> None:
    fed = feed(logbook, ["600,500.0,21.0"], "--new", "--began", began)
    assert (fed.status, fed.out) == (2, "")
    assert said in one_line(fed.err)
    if logbook.exists():
        assert head_of(logbook) == Head(seq=0, digest="")
    assert still.began_ms is None


def test_a_file_needs_the_time_of_each_row_and_a_hold_of_its_own(logbook: Path, still: Arriving) -> None:
    began = at(still.clock.wall_ms - 600_000)
    untimed = feed(logbook, ["500.0,21.0"], "--new", "--began", began, head=HEAD.replace("elapsed [s],", ""))
    assert "each row needs its time" in one_line(untimed.err)
    assert "--began goes with --new" in one_line(feed(logbook, LOG, "--began", began).err)


def test_a_file_from_before_the_last_hold_says_nothing_of_the_loop_as_it_is(logbook: Path, arriving: Arriving) -> None:
    first_ms = arriving.clock.wall_ms
    assert feed(logbook, LOG, "--new", "--hold", "30 min").status == 0
    assert called("end-hold", "Desk loop", logbook=logbook).status == 0
    arriving.clock.run(7200)
    before = head_of(logbook)
    early = feed(logbook, LOG, "--new", "--began", at(first_ms - 60_000))
    assert (early.status, early.out) == (2, "")
    assert '("hold ended"). It proves nothing of the loop as it is' in one_line(early.err)
    assert head_of(logbook) == before
    assert feed(logbook, LOG, "--new", "--began", at(first_ms + 1_900_000)).status == 0


# --- clocks that are moved -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("step_s", "way"), [(-3600, "back"), (3600, "forward")])
def test_a_clock_that_is_set_while_rows_come_is_told_and_does_not_count(
    logbook: Path, arriving: Arriving, step_s: int, way: str
) -> None:
    assert feed(logbook, LOG[:10], "--new", "--hold", "30 min").status == 0
    began_ms = arriving.began_ms
    assert began_ms is not None
    arriving.clock.step_wall(step_s)
    arriving.began_ms = began_ms + 1000 * step_s
    fed = feed(logbook, LOG)
    assert fed.status == 0
    told = [line for line in fed.err.splitlines() if line.startswith("warning: ")]
    assert told == [
        f"warning: the computer's clock was set {way} by 1 h during the hold; "
        "the hold counts by a clock that cannot be set"
    ]
    assert state_of(logbook)[1] == [60.0 * n for n in range(31)]
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (0, "verdict: pass")
    assert f"reason: The computer's clock was set {way} by 1 h during the hold" in closed.out


def test_a_restart_with_a_clock_set_back_leaves_no_verdict(logbook: Path, arriving: Arriving) -> None:
    head = HEAD.replace("elapsed [s],", "")
    assert feed(logbook, ["500.0,21.0"], "--new", "--hold", "30 min", head=head).status == 0
    arriving.clock.run(1200)
    assert feed(logbook, ["490.0,21.0"], head=head).status == 0
    arriving.clock.restart(60)
    arriving.clock.step_wall(-3600)
    fed = feed(logbook, ["489.9,21.0"], head=head)
    assert (fed.status, fed.lines) == (2, [])
    assert "clock was set back" in fed.err
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (4, "verdict: invalid")
    assert "reason: The clock was set back during the hold." in closed.lines


FAKED = """
from commission.instruments.system_clock import SystemClock
from commission.base.frozen import replace
real, calls = SystemClock.now, []
def stepped(self):
    mark = real(self)
    calls.append(0)
    return mark if len(calls) < 12 else replace(mark, wall_ms=mark.wall_ms - 7_200_000)
SystemClock.now = stepped
"""


def test_a_real_process_whose_clock_is_set_back_tells_it(logbook: Path) -> None:
    with start(logbook, "--new", sabotage=FAKED) as process:
        send(process, HEAD.replace("elapsed [s],", "") + "500.0,21.0\n" * 20)
        assert process.stdin is not None
        process.stdin.close()
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.read().decode().splitlines()[-1] == "stored 20"
        assert b"clock was set back by 2 h during the hold" in process.stderr.read()
        assert process.wait(60) == 0
    times = state_of(logbook)[1]
    assert times == sorted(times)
    assert times[-1] < 60


def test_gauge_and_absolute_pressure_are_not_mixed_in_one_hold(logbook: Path) -> None:
    assert feed(logbook, ROWS, "--new").status == 0
    before = head_of(logbook)
    other = feed(logbook, ["200,150.0,21.0"], head="elapsed [s],absolute [kPa],air [degC]\n")
    assert (other.status, other.out) == (2, "")
    assert "gauge [mbar]" in one_line(other.err)
    assert head_of(logbook) == before


def test_a_last_line_that_may_be_torn_off_is_refused(logbook: Path) -> None:
    torn = called("feed", "--build", "b", "--new", text=f"{HEAD}{ROWS[0]}\n60,499.9,2", logbook=logbook)
    assert (torn.status, torn.lines) == (2, ["stored 1"])
    assert "torn off" in torn.err
    whole = called("feed", "--build", "b", text=f"{HEAD}{ROWS[0]}\n{ROWS[1]}", logbook=logbook)
    assert (whole.status, whole.lines) == (0, ["already stored 1", "stored 2"])


# --- the end of a hold ---------------------------------------------------------------------------------------------


def test_close_judges_at_the_planned_end_and_says_so_with_its_status(logbook: Path) -> None:
    rows = [f"{60 * n},{500 - 0.02 * n:.2f},21.0" for n in range(31)]
    assert feed(logbook, rows, "--new", "--hold", "30 min").status == 0
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (0, "verdict: pass")
    held = judged_hold(state_of(logbook)[0])
    assert held is not None
    assert held.verdict_entry is not None
    assert (held.verdict_entry.ending, held.verdict_entry.samples) == ("at its planned end", 31)
    again = called("end-hold", "Desk loop", logbook=logbook)
    assert again.status == 2
    assert "no hold is running" in one_line(again.err)


def test_closed_before_its_planned_end_a_hold_does_not_pass(logbook: Path) -> None:
    rows = [f"{60 * n},{500 - 0.02 * n:.2f},21.0" for n in range(25)]
    assert feed(logbook, rows, "--new", "--hold", "30 min").status == 0
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (3, "verdict: inconclusive")


def test_a_gross_leak_may_be_closed_early(logbook: Path) -> None:
    # the sample with four times the limit: its verdict is the physical truth of a simulation that knows no judge
    text = (SAMPLES / "pinched-seal.csv").read_text(encoding="utf-8")
    fed = called(
        "feed", "--build", "Desk loop", "--new", "--source", "hose off", "--hold", "60 min", text=text, logbook=logbook
    )
    assert fed.status == 0
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (1, "verdict: fail")
    held = judged_hold(state_of(logbook)[0])
    assert held is not None
    assert held.verdict_entry is not None
    assert held.verdict_entry.ending == "early, gross leak"


# --- real processes ------------------------------------------------------------------------------------------------


SOON = [f"{n},{500 - n / 10:.1f},21.0" for n in range(4)]
"""Rows that a logger sends as quickly as a test may: all within what may run ahead of the clock."""


def start(logbook: Path, *more: str, sabotage: str = "") -> subprocess.Popen[bytes]:
    # planned by hand: to find the time that decides, a process loads scipy, which takes longer than all the rest
    planned = ("--hold", "15 min") if "--new" in more else ()
    arguments = command("feed", "--build", "Desk loop", *more, *planned)
    if sabotage:
        arguments[1:3] = ["-c", f"{sabotage}\nfrom commission.__main__ import main\nmain()"]
    return subprocess.Popen(
        arguments, env=environment(logbook), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )


def send(process: subprocess.Popen[bytes], text: str) -> None:
    assert process.stdin is not None
    process.stdin.write(text.encode())
    process.stdin.flush()


def answer(process: subprocess.Popen[bytes]) -> str:
    assert process.stdout is not None
    return process.stdout.readline().decode().strip()


def test_each_row_is_acknowledged_while_the_pipe_stays_open(logbook: Path) -> None:
    with start(logbook, "--new") as process:
        send(process, HEAD)
        for number, row in enumerate(SOON, 1):
            send(process, f"{row}\n")
            assert answer(process) == f"stored {number}"
        assert process.stdin is not None
        process.stdin.close()
        assert process.wait(PATIENCE_S) == 0


@pytest.mark.faults
@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
def test_a_kill_loses_no_row_that_was_acknowledged(logbook: Path) -> None:
    sent, acknowledged = 0, 0
    for life in range(6):
        with start(logbook, *(["--new"] if life == 0 else [])) as process:
            send(process, HEAD + "".join(f"{n / 100:.2f},{500 - n / 100:.2f},21.0\n" for n in range(sent + 200)))
            sent += 200
            deadline = time.monotonic() + 0.05 * life
            while True:
                told = answer(process)
                assert told, "the process ended by itself"
                acknowledged = max(acknowledged, int(told.split()[-1]))
                if acknowledged > 20 * (life + 1) and time.monotonic() > deadline:
                    break
            process.send_signal(signal.SIGKILL)
        stored = state_of(logbook)[1]
        assert len(stored) >= acknowledged
        assert stored == [n / 100 for n in range(len(stored))]
    verified = called("verify", logbook=logbook)
    assert (verified.status, verified.lines[-1]) == (0, "verdict: sound")


ANSWERS_TOO_EARLY = """
from commission.stages.pressure_hold.work.holds import Holds
kept = []
real = Holds.stream
def late(self, build_id, samples, *, header=""):
    kept.extend(samples)
    if len(kept) % 10 == 0:
        real(self, build_id, kept[-10:], header=header)
    return len(kept)
Holds.stream = late
"""


@pytest.mark.faults
@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
def test_the_kill_would_show_if_rows_were_acknowledged_before_they_are_stored(logbook: Path) -> None:
    with start(logbook, "--new", sabotage=ANSWERS_TOO_EARLY) as process:
        send(process, HEAD + "".join(f"{n},{500 - n / 100:.2f},21.0\n" for n in range(17)))
        told = [answer(process) for _ in range(17)]
        process.send_signal(signal.SIGKILL)
    assert told[-1] == "stored 17"
    assert len(state_of(logbook)[1]) == 10


@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
def test_ctrl_c_ends_quietly_with_130_and_the_hold_goes_on(logbook: Path) -> None:
    with start(logbook, "--new") as process:
        send(process, f"{HEAD}{SOON[0]}\n")
        assert answer(process) == "stored 1"
        process.send_signal(signal.SIGINT)
        assert process.wait(PATIENCE_S) == 130
        assert process.stderr is not None
        assert "Traceback" not in process.stderr.read().decode()
    assert hold_of(state_of(logbook)[0]).running


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
def test_when_nobody_reads_the_answers_it_stops_with_141_and_what_is_stored_counts(logbook: Path) -> None:
    with start(logbook, "--new") as process:
        send(process, f"{HEAD}{SOON[0]}\n")
        assert answer(process) == "stored 1"
        assert process.stdout is not None
        process.stdout.close()
        send(process, f"{SOON[1]}\n")
        assert process.wait(PATIENCE_S) == 141
        assert process.stderr is not None
        assert "Traceback" not in process.stderr.read().decode()
    assert state_of(logbook)[1] == [0.0, 1.0]


def test_a_second_writer_is_told_who_holds_the_logbook(logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("commission.shell.options.WAIT_S", 0.0)
    with start(logbook, "--new") as process:
        send(process, f"{HEAD}{SOON[0]}\n")
        assert answer(process) == "stored 1"
        second = feed(logbook, SOON[1:2])
        assert (second.status, second.out) == (2, "")
        assert f"process {process.pid}" in one_line(second.err)
        assert "nothing was stored" in second.err
        assert called("end-hold", "Desk loop", logbook=logbook).status == 2
        shown = called("show", "Desk loop", logbook=logbook)
        assert (shown.status, "hold 1 readings: 0 typed, 1 fed" in shown.lines) == (0, True)
        process.communicate(timeout=PATIENCE_S)
    assert state_of(logbook)[1] == [0.0]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        fed = feed(tmp_path / "x.logbook", SOON, "--new")
    finally:
        tmp_path.chmod(0o700)
    assert fed.status == 2
    assert "cannot be made" in one_line(fed.err)
