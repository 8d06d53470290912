"""A stage that the program has never heard of takes part in everything, without one changed line in the program."""

import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.errors import NotAllowed
from commission.bench.home import HomeFlow
from commission.bench.record import RecordFlow
from commission.procedure.model import When
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.shell.show_text import show_lines
from tests.shell.running import Ran, called, environment, one_line
from tests.surroundings import PATIENCE_S
from tests.toy_stage.job import toy_job
from tests.toy_stage.model import STAGE
from tests.toy_stage.work import Filters

JOB = toy_job()
REASON = "the loop was proved on another bench"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A logbook with one build, whose procedure has the stage."""
    path = tmp_path / "bench.logbook"
    book = JOB.open(path).book
    book.name_operator("Ada")
    book.open_build("North tower")
    book.close()
    return path


def toy(*arguments: str, logbook: Path) -> Ran:
    """Run a command of the program with one stage more."""
    return called(*arguments, logbook=logbook, stages=JOB)


def process(*arguments: str, logbook: Path) -> int:
    """Return how the program with one stage more ends in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "tests.toy_stage", *arguments],
        env=environment(logbook),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=PATIENCE_S,
        check=False,
    ).returncode


def word(book: Logbook, build: str) -> StageWord:
    """Where the stage stands."""
    return next(rung.word for rung in book.ladder(book.build(build)) if rung.stage.id == STAGE)


def opened(path: Path) -> tuple[Logbook, str, Filters]:
    """The logbook, its build, and what may be done at the stage."""
    book = JOB.open(path).book
    return book, book.find_build("North tower"), book.work(Filters)


def test_it_is_locked_opened_recorded_judged_withdrawn_and_stale(path: Path) -> None:
    book, build, filters = opened(path)
    assert word(book, build) is StageWord.LOCKED
    with pytest.raises(NotAllowed, match="Dust filters is locked: it rests on Pressure hold"):
        filters.seat(build, "front", 0.0008)
    book.override(build, "pressure_hold", REASON)
    assert word(book, build) is StageWord.OPEN
    with pytest.raises(NotAllowed, match="not answered yet: 1 caution;"):
        filters.seat(build, "front", 0.0008)
    filters.acknowledge(build, "fans_off", "Fans stand still while a filter is put in.")
    seated = filters.seat(build, "front", 0.0008)
    assert word(book, build) is StageWord.RUNNING
    closed = filters.close(build)
    assert word(book, build) is StageWord.PASSED
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(closed.seq, "by mistake")
    book.withdraw(seated.seq, "read at another filter")
    assert word(book, build) is StageWord.STALE
    filters.acknowledge(build, "fans_off", "Fans stand still while a filter is put in.")
    filters.seat(build, "front", 0.002)
    filters.close(build)
    assert word(book, build) is StageWord.FAILED
    book.close()


def test_the_bench_tells_of_it(path: Path) -> None:
    book, build, filters = opened(path)
    book.override(build, "pressure_hold", REASON)
    filters.print_cautions(build, When.BEFORE_PLUGGING)
    filters.seat(build, "front", 0.0008)
    home = HomeFlow(book, JOB.stages())
    assert home.running() == ["North tower, dust filters: 1 filter so far"]
    shown = list(show_lines(book, JOB.stages(), book.build(build)))
    assert "filter front: gap 0.8 mm" in shown
    assert "dust filters: running, attempt 1" in shown
    assert [row.what for row in RecordFlow(book, build).fetch(0, 99) if row.kind == "filter seated"] == [
        "front, gap 0.8 mm"
    ]
    filters.close(build)
    home.refresh()
    assert home.running() == []
    book.close()


def test_the_program_without_it_says_what_the_build_waits_for(path: Path) -> None:
    book, build, filters = opened(path)
    book.override(build, "pressure_hold", REASON)
    filters.print_cautions(build, When.BEFORE_PLUGGING)
    filters.seat(build, "front", 0.0008)
    book.close()
    usual = job()
    with closing(usual.open(path).book) as without:
        home = HomeFlow(without, usual.stages())
        assert home.look_at(build).next == "a newer program"
        assert home.running() == []


def test_its_commands_work(path: Path) -> None:
    assert process("judge", "filters", "2 mm", logbook=path) == 1
    assert (
        toy("judge", "filters", "0.4 mm", logbook=path).status,
        toy("judge", "filters", "2 mm", logbook=path).status,
    ) == (0, 1)
    helped = toy("judge", "--help", logbook=path).out
    assert "Judge the widest gaps at dust filters." in helped
    assert "Record a dust filter with its widest gap." in toy("--help", logbook=path).out
    refused = toy("filter", "North tower", "front 0.8 mm", logbook=path)
    assert refused.status == 2
    assert "Dust filters is locked" in one_line(refused.err)
    book, build, _ = opened(path)
    book.override(build, "pressure_hold", REASON)
    book.close()
    assert toy("filter", "North tower", "front 0.8 mm", logbook=path).status == 0
    assert "filter front: gap 0.8 mm" in toy("show", "North tower", logbook=path).lines
    assert "dust filters: running, attempt 1" in one_line(toy("list", logbook=path).out)


def test_it_is_exported_imported_and_verified(path: Path, tmp_path: Path) -> None:
    book, build, filters = opened(path)
    book.override(build, "pressure_hold", REASON)
    filters.print_cautions(build, When.BEFORE_PLUGGING)
    filters.seat(build, "front", 0.0008)
    filters.close(build)
    book.close()
    bundle, copy = tmp_path / "bundle.jsonl", tmp_path / "copy.logbook"
    assert toy("export", str(bundle), logbook=path).status == 0
    taken = toy("import", str(bundle), logbook=copy)
    assert (taken.status, taken.err) == (0, "")
    assert toy("verify", logbook=copy).status == 0
    before, after = (toy("show", "North tower", "--entries", logbook=one).out for one in (path, copy))
    assert "filters closed: pass, widest gap 0.8 mm" in after
    assert after == before


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")
def test_its_screen_is_reached_worked_at_and_drawn_in_a_real_process(path: Path) -> None:
    import pexpect
    import pyte

    screen = pyte.Screen(100, 34)
    stream = pyte.ByteStream(screen)
    env = environment(path, {"TERM": "xterm-256color"})
    child = pexpect.spawn(sys.executable, ["-m", "tests.toy_stage"], env=env, dimensions=(34, 100), timeout=PATIENCE_S)

    def shows(text: str) -> None:
        end = time.monotonic() + PATIENCE_S
        while not any(text in line for line in screen.display):
            assert time.monotonic() < end, f"{text!r} does not come:\n" + "\n".join(screen.display)
            stream.feed(child.read_nonblocking(65_536, timeout=PATIENCE_S))

    try:
        shows("Enter opens North tower")
        child.send("North tower\r")  # Enter alone is refused until the window knows that its proposal is painted
        shows("parts list")
        child.send("\x1b[21~")
        shows("Dust filters is locked")
        child.send("\x1bOS")
        shows("log")
        child.send("\x1b[18~" + "\x1b[19~" * 7)
        shows("Dust filters is locked")
        child.send(f"override {REASON}\r")
        shows("Read the caution marked now")
        child.send("read\r")
        shows("Which filter, and how wide")
        child.send("front 0.8 mm\r")
        shows("front |========|")
        child.send("end\r")
        shows("PASS")
        child.sendcontrol("q")
        child.expect(pexpect.EOF)
    finally:
        child.close(force=True)
    book, build, _ = opened(path)
    assert word(book, build) is StageWord.OVERRIDDEN
    judged = book.build(build).judged_run(STAGE)
    assert judged is not None
    assert judged.outcome == "pass"
    book.close()
