"""``commission feed --began``: a start that is given wrongly, and rows that were seen before."""

import contextlib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from commission.base.pump_supply import PumpSupply
from commission.procedure.model import When
from commission.stages.fill.work.fills import Fills
from commission.stages.pressure_hold.card.hold import HoldFlow
from tests.registered import open_logbook
from tests.shell.arriving import Arriving
from tests.shell.running import Ran, called, one_line
from tests.wet_builds import CAN, answer, pour

HEAD = "# volume: 1.2 L +- 5 %\n# source: hose off\n# gauge step: 0.1 mbar\nelapsed [s],gauge [mbar],air [degC]\n"
TIGHT = [f"{60 * n},{500 - 0.02 * n:.2f},21.0" for n in range(31)]
LATE = [f"{60 * n},{500.0 if n <= 45 else 500.0 - 2.0 * (n - 45):.1f},21.0" for n in range(61)]
"""An hour of which 45 min were tight; then 2 mbar a minute went, four times what the limit of 1e-2 mbar·L/s takes
from 1.2 L (60 s · 1e-2 / 1.2 = 0.5 mbar)."""


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    return tmp_path / "bench.logbook"


@pytest.fixture
def still(arriving: Arriving) -> Arriving:
    """A clock that does not move with the rows: they come all at once."""
    arriving.comes = lambda line: None  # type: ignore[method-assign]
    return arriving


def taken_over(logbook: Path, rows: list[str], began_ms: float, *more: str, build: str = "Desk loop") -> Ran:
    """Feed a file as a hold that began at a moment."""
    began = datetime.fromtimestamp(began_ms / 1000, UTC).isoformat()
    text = HEAD + "".join(f"{row}\n" for row in rows)
    return called("feed", "--build", build, "--new", "--began", began, *more, text=text, logbook=logbook)


def kinds(logbook: Path) -> list[str]:
    """Return the words of the build's entries."""
    opened = open_logbook(logbook, read_only=True)
    with contextlib.closing(opened.book):
        return [entry.payload.KIND for entry in opened.book.entries(opened.book.find_build("Desk loop"))]


def test_a_file_that_reaches_past_now_passes_nothing_and_is_taken_over_again_with_its_true_start(
    logbook: Path, still: Arriving
) -> None:
    now_ms = still.clock.wall_ms
    late = taken_over(logbook, LATE, now_ms - 720_000, "--hold", "10 min")
    assert (late.status, late.lines[-1]) == (2, "stored 13")
    assert late.err.count("The start that was given is wrong and this hold proves nothing") == 1
    assert kinds(logbook).count("rows refused") == 1
    closed = called("end-hold", "Desk loop", logbook=logbook)
    assert (closed.status, closed.lines[0]) == (4, "verdict: invalid")
    assert "Rows of the file lay after now, at 13 min of the hold: the start that was given is wrong." in closed.out
    again = taken_over(logbook, LATE, now_ms - 3_660_000)
    assert (again.status, again.lines[-1]) == (0, "stored 61")
    assert called("end-hold", "Desk loop", logbook=logbook).lines[0] == "verdict: fail"


DAY_MS = 86_400_000


@pytest.mark.parametrize("days_ago", [739_000, 20_000, 367])
def test_a_start_of_more_than_a_year_ago_is_a_slip(logbook: Path, still: Arriving, days_ago: int) -> None:
    """The year 1, the 1970 of a clock that nobody set, and last year for this."""
    fed = taken_over(logbook, TIGHT, still.clock.wall_ms - days_ago * DAY_MS)
    assert (fed.status, fed.lines) == (2, [])
    assert "more than a year ago; correct the time that it began" in one_line(fed.err)


def test_a_start_within_the_year_is_taken(logbook: Path, still: Arriving) -> None:
    assert taken_over(logbook, TIGHT, still.clock.wall_ms - 365 * DAY_MS).status == 0


def test_rows_that_another_hold_was_judged_by_are_no_pass(logbook: Path, still: Arriving) -> None:
    told = 'The same rows were read in hold 1 of "Desk loop": one of the two is not this loop\'s file.'
    began_ms = still.clock.wall_ms - 3_600_000
    taken_over(logbook, TIGHT, began_ms, "--hold", "30 min")
    first = called("end-hold", "Desk loop", logbook=logbook)
    assert first.lines[0] == "verdict: pass"
    assert told not in first.out
    taken_over(logbook, TIGHT, began_ms - 60_000, "--hold", "30 min", build="Other")
    other = called("end-hold", "Other", logbook=logbook)
    assert other.lines[0] == "verdict: inconclusive"
    assert f"reason: {told}" in other.lines
    assert called("vented", "Other", "0 mbar", logbook=logbook).status == 0
    with contextlib.closing(open_logbook(logbook).book) as book:
        asked = HoldFlow(book, book.find_build("Other")).now()
        assert asked is not None
        assert asked.ask.startswith("Not a pass: take over this hold's own file, or hold again.")
    taken_over(logbook, TIGHT[:-1], began_ms, "--hold", "30 min", build="Third")  # cut, it is the same file
    assert called("end-hold", "Third", logbook=logbook).lines[0] == "verdict: inconclusive"


NOTED = HEAD.replace("air [degC]", "air [degC],note")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            [*(f"{row}," for row in TIGHT[:20]), f"{TIGHT[20]},pumped up again", *(f"{row}," for row in TIGHT[21:])],
            "Air",
        ),
        (
            [*(f"{row}," for row in TIGHT[:25]), *(f"{60 * n},----,21.0," for n in range(25, 31))],
            "6 rows behind the last",
        ),
    ],
    ids=["pumped up again", "the gauge showed no number any more"],
)
def test_what_a_fed_table_says_beside_its_readings_counts(
    logbook: Path, still: Arriving, rows: list[str], said: str
) -> None:
    began = datetime.fromtimestamp(still.clock.wall_ms / 1000 - 3_600, UTC).isoformat()
    text = NOTED + "".join(f"{row}\n" for row in rows)
    called("feed", "--build", "Desk loop", "--new", "--began", began, "--hold", "20 min", text=text, logbook=logbook)
    ended = called("end-hold", "Desk loop", logbook=logbook)
    assert ended.lines[0] == "verdict: inconclusive"
    assert said in ended.out


def test_a_file_that_begins_late_in_a_hold_does_not_reach_its_planned_end(logbook: Path, still: Arriving) -> None:
    """Six minutes behind 100 min of which nobody knows anything are no hold of half an hour."""
    rows = [f"{6000 + 60 * n},{500 - 0.02 * n:.2f},21.0" for n in range(7)]
    taken_over(logbook, rows, still.clock.wall_ms - 7_200_000, "--hold", "30 min")
    assert called("end-hold", "Desk loop", logbook=logbook).lines[0] == "verdict: inconclusive"
    assert "ended by hand" in called("show", "Desk loop", "--entries", logbook=logbook).out


def filled(logbook: Path) -> None:
    """Vent the loop and pour 300 mL."""
    assert called("vented", "Desk loop", "0 mbar", logbook=logbook).status == 0
    with contextlib.closing(open_logbook(logbook).book) as book:
        build = book.find_build("Desk loop")
        book.work(Fills).choose_pump_supply(build, PumpSupply.OWN)
        book.work(Fills).add_bottle(CAN)
        answer(book, build, book.work(Fills), When.BEFORE_POURING)
        pour(book, build, 300)


@pytest.mark.parametrize("began", [False, True], ids=["now", "taken over"])
def test_a_hold_over_coolant_by_the_record_starts_only_once_the_loop_was_said_to_be_drained(
    logbook: Path, still: Arriving, began: bool
) -> None:
    taken_over(logbook, TIGHT, still.clock.wall_ms - 3_600_000, "--hold", "30 min")
    assert called("end-hold", "Desk loop", logbook=logbook).lines[0] == "verdict: pass"
    filled(logbook)
    still.clock.run(7_200)
    more = ("--began", datetime.fromtimestamp(still.clock.wall_ms / 1000 - 3_600, UTC).isoformat()) if began else ()
    command = ("feed", "--build", "Desk loop", "--new", *more)
    text, before = f"{HEAD}{TIGHT[0]}\n", kinds(logbook)
    wet = called(*command, text=text, logbook=logbook)
    assert (wet.status, wet.lines, kinds(logbook)) == (2, [], before)
    assert "by the log coolant is in the loop" in one_line(wet.err)
    assert "--drained" in wet.err
    if not began:  # a gauge that is read live is not waited for
        assert "--drained" in called(*command, text="", logbook=logbook).err
    assert called(*command, "--drained", text=text, logbook=logbook).lines == ["stored 1"]


def moment(ms: float) -> str:
    """Return a moment as it is typed."""
    return datetime.fromtimestamp(ms / 1000, UTC).isoformat()


def test_two_holds_of_one_evening_are_written_up_with_what_was_done_between_them(
    logbook: Path, still: Arriving
) -> None:
    began_ms = still.clock.wall_ms - 6 * 3_600_000
    minute = 60_000

    def later(*typed: str, minutes: int) -> Ran:
        return called(*typed, "--at", moment(began_ms + minutes * minute), logbook=logbook)

    assert taken_over(logbook, LATE, began_ms).status == 0
    early = later("end-hold", "Desk loop", minutes=59)
    assert (early.status, "before the last reading of the hold" in one_line(early.err)) == (2, True)
    ended = later("end-hold", "Desk loop", minutes=61)
    assert (ended.status, ended.lines[0]) == (1, "verdict: fail")
    assert later("vented", "Desk loop", "0 mbar", minutes=62).status == 0
    found = later("hold-defect", "Desk loop", "bubbles", "--where", "seal", minutes=70)
    assert found.lines[-2].endswith("written up now")
    assert later("repaired", "Desk loop", "new seal", minutes=65).status == 2  # before it was found
    assert later("repaired", "Desk loop", "new seal", minutes=80).status == 0
    sooner = taken_over(logbook, TIGHT, began_ms + 79 * minute, "--hold", "30 min")
    assert "before entry" in one_line(sooner.err)
    assert taken_over(logbook, TIGHT, began_ms + 90 * minute, "--hold", "30 min").status == 0
    second = later("end-hold", "Desk loop", minutes=121)
    assert second.lines[0] == "verdict: pass"
    assert "reason: Taken over from notes or a file; this program did not see it happen." in second.lines


def test_a_hold_that_this_program_saw_run_ends_now(logbook: Path, arriving: Arriving) -> None:
    text = HEAD + "".join(f"{row}\n" for row in TIGHT)
    assert called("feed", "--build", "Desk loop", "--new", text=text, logbook=logbook).status == 0
    ended = called("end-hold", "Desk loop", "--at", moment(arriving.clock.wall_ms), logbook=logbook)
    assert (ended.status, "this program saw the hold run" in one_line(ended.err)) == (2, True)
