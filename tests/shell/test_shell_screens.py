"""``commission``, ``commission ui`` and ``commission demo``: which logbook the screens get, and how they end."""

import gc
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.errors import CommissionError
from commission.bench.job import Job
from commission.record.logbook import Logbook
from commission.shell import _status
from commission.shell.console import FAULT
from commission.shell.main import exit_status
from commission.storage.unsent import UnsentFile
from commission.ui.looks import Looks
from commission.units.chosen import Chosen
from tests.shell.running import SAMPLES, called, command, environment
from tests.surroundings import PATIENCE_S

BUILDS = ["North shelf", "Guest cube", "Loft desk", "Travel box", "Corner tower", "Window desk"]
"""Those of the sample logbook, the one opened last first."""


class Stage:
    """Stands in for the screens: keeps what it was given and ends as told."""

    seen: list[str] = []  # noqa: RUF012 - one list for all
    glanced: list[str] = []  # noqa: RUF012 - one list for all
    sub_title = ""
    ends_with = 0
    failure: CommissionError | None = None

    kept_at: list[str] = []  # noqa: RUF012 - one list for all
    told: list[str] = []  # noqa: RUF012 - one list for all

    def __init__(
        self,
        opener: Callable[[], Logbook],
        *,
        job: Job,
        names: list[tuple[str, str]],
        on_first_paint: Callable[[], None],
        ascii_only: bool,
        beside: UnsentFile | None,
        looks: Looks,
    ) -> None:
        assert isinstance(looks, Looks)
        assert len(job.stages()) > 1
        self.kept_at.extend([] if beside is None else [beside.path.name])
        self.opener = opener
        self.on_first_paint = on_first_paint
        self.return_code = self.ends_with
        self.ascii_only = ascii_only
        self.glanced.extend(name for _, name in names)

    def lost(self, status: int) -> None:
        raise AssertionError(f"nothing was lost here, yet status {status}")

    def run(self) -> None:
        assert not gc.isenabled()
        self.on_first_paint()
        assert gc.isenabled()
        try:
            book = self.opener()
        except CommissionError as error:
            self.failure = error
            return
        self.told[:] = [self.sub_title]
        self.seen.extend(row.name for row in book.builds())
        if not book.read_only_because:
            book.open_build("made on the screens")


@pytest.fixture(autouse=True)
def stage(monkeypatch: pytest.MonkeyPatch) -> None:
    Stage.seen = []
    Stage.glanced = []
    Stage.kept_at = []
    Stage.ends_with = 0
    monkeypatch.setattr("commission.ui.app.CommissionApp", Stage)
    for module in ("start", "screens"):  # nobody looks on here
        monkeypatch.setattr(f"commission.shell.{module}.refuse_without_terminal", lambda: None)


@pytest.mark.parametrize("arguments", [(), ("ui",)])
def test_without_a_command_the_screens_open_on_the_logbook(arguments: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "new" / "bench.logbook"
    assert called(*arguments, logbook=path).status == 0
    assert "made on the screens" in called("list", logbook=path).out
    assert Stage.kept_at == ["bench.logbook.unsent"]
    assert Stage.told == [""]


@pytest.mark.parametrize("arguments", [[], ["ui"]])
def test_past_the_commands_the_screens_get_what_the_commands_would_give_them(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[tuple[object, ...]] = []

    def open_screens(*given: object) -> int:
        opened.append(given)
        return 0

    for module in ("start", "screens", "main"):
        monkeypatch.setattr(f"commission.shell.{module}.open_screens", open_screens)
    monkeypatch.setenv("COMMISSION_LOGBOOK", str(tmp_path / "bench.logbook"))
    monkeypatch.setenv("COMMISSION_UNITS", "psi")
    the_job = job()
    assert (_status(arguments, the_job), exit_status(arguments, the_job)) == (0, 0)
    straight, by_command = opened
    assert straight == by_command
    assert straight[0] == tmp_path / "bench.logbook"
    assert isinstance(straight[2], Chosen)
    assert straight[2].pressure == "psi"


def test_a_file_that_is_no_logbook_ends_the_command_with_one_line_and_stays_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear all", encoding="utf-8")
    refused = called("ui", logbook=path)
    assert refused.status == 2
    assert "not a logbook" in refused.err
    assert Stage.glanced == []
    assert path.read_text(encoding="utf-8") == "Dear all"


def test_screens_that_end_with_an_error_end_the_command_with_it(tmp_path: Path) -> None:
    # Textual itself would leave status 0 behind after an exception in a handler, and its own 1 means FAIL elsewhere
    Stage.ends_with = 1
    assert called("ui", logbook=tmp_path / "bench.logbook").status == FAULT


def test_the_demo_is_a_private_copy_whose_place_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    before = (SAMPLES / "workshop.jsonl").read_bytes()
    own = tmp_path / "own.logbook"
    shown = called("demo", "--keep", logbook=own)
    assert shown.status == 0
    assert Stage.seen == Stage.glanced == BUILDS
    path = Path(shown.lines[-1].removeprefix("demo logbook: "))
    assert path.parent.parent == tmp_path
    assert "made on the screens" in called("list", "--logbook", str(path)).out
    assert not own.exists()
    assert Stage.kept_at == []
    assert (SAMPLES / "workshop.jsonl").read_bytes() == before


def test_the_demo_leaves_nothing_behind_unless_asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    assert "is deleted" in called("demo").lines[-1]
    assert Stage.seen == BUILDS
    assert list(tmp_path.iterdir()) == []
    called("demo", "--keep")
    assert [path.name.startswith("commission-demo-") for path in tmp_path.iterdir()] == [True]


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")
def test_the_demo_opens_in_a_terminal_of_80_by_24_and_leaves_it_as_it_was(tmp_path: Path) -> None:
    import pexpect

    env = environment(tmp_path / "own.logbook", {"TERM": "xterm-256color", "TMPDIR": str(tmp_path)})
    child = pexpect.spawn(command("demo")[0], command("demo")[1:], env=env, dimensions=(24, 80), timeout=PATIENCE_S)
    try:
        child.expect_exact("A sample workshop")
        child.expect_exact("Window desk")
        child.sendcontrol("q")
        child.expect_exact("\x1b[?1049l")
        child.expect_exact("is deleted")
        child.expect(pexpect.EOF)
    finally:
        child.close(force=True)
    assert child.exitstatus == 0


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")
def test_the_demo_leaves_nothing_behind_where_its_window_is_closed(tmp_path: Path) -> None:
    import pexpect

    env = environment(tmp_path / "own.logbook", {"TERM": "xterm-256color", "TMPDIR": str(tmp_path)})
    child = pexpect.spawn(command("demo")[0], command("demo")[1:], env=env, dimensions=(24, 80), timeout=PATIENCE_S)
    try:
        child.expect_exact("running now")
        assert list(tmp_path.glob("commission-demo-*"))
        child.kill(signal.SIGHUP)
        child.expect(pexpect.EOF)
    finally:
        child.close(force=True)
    assert list(tmp_path.glob("commission-demo-*")) == []
