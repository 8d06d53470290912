"""An export is whole under its name or not there, whenever it is killed; nothing is written over."""

import errno
import os
import random
import stat
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import Damaged, FileError
from commission.storage.exchange import export_bundle, write_bundle
from commission.storage.files import write_new
from tests.faults.children import export_in_place_until_killed, export_until_killed, start
from tests.registered import import_bundle, open_log_for_reading
from tests.storage.making import filled, without_guards

pytestmark = pytest.mark.faults

SEED = 20_261_128
KILLS = 25


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("export") / "x.logbook"
    filled(path, notes=60, streamed=3_000).close()
    return path


def _killed(work: Callable[..., None], logbook: Path, folder: Path, kills: int) -> tuple[int, int]:
    """Kill exports at random moments; return how many stand under a final name, and how many of them are not whole."""
    log = open_log_for_reading(logbook)
    whole = "".join(export_bundle(log)).encode()
    log.close()
    rng, found, torn = random.Random(SEED), 0, 0
    for kill in range(kills):
        here = folder / str(kill)
        here.mkdir()
        process, pipe = start(work, logbook, here)
        pipe.recv_bytes()
        time.sleep(rng.uniform(0.0, 0.05))
        process.kill()
        process.join()
        pipe.close()
        for each in here.glob("[0-9]*.jsonl"):
            found += 1
            torn += each.read_bytes() != whole
            assert stat.S_IMODE(each.stat().st_mode) & 0o077 == 0 or work is export_in_place_until_killed
    return found, torn


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_a_kill_at_any_moment_leaves_whole_files_or_none(logbook: Path, tmp_path: Path) -> None:
    found, torn = _killed(export_until_killed, logbook, tmp_path, KILLS)
    assert found >= KILLS
    assert torn == 0, f"seed {SEED}"


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
def test_the_kill_would_show_an_export_that_is_written_in_place(logbook: Path, tmp_path: Path) -> None:
    _, torn = _killed(export_in_place_until_killed, logbook, tmp_path, 6)
    assert torn > 0, f"the kills are idle (seed {SEED})"


def test_an_export_is_its_owners_only_whatever_the_umask(logbook: Path, tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        log = open_log_for_reading(logbook)
        head = write_bundle(log, tmp_path / "out.jsonl")
        assert head == log.head()
        log.close()
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "out.jsonl").stat().st_mode) == 0o600
    assert [each.name for each in tmp_path.iterdir()] == ["out.jsonl"]
    with (tmp_path / "out.jsonl").open("rb") as lines:
        assert import_bundle(lines, tmp_path / "again") == head


@pytest.mark.parametrize("kind", ["file", "folder", "link that leads nowhere"])
def test_nothing_is_written_over(tmp_path: Path, kind: str) -> None:
    target = tmp_path / "out"
    if kind == "file":
        target.write_text("mine")
    elif kind == "folder":
        target.mkdir()
    else:
        target.symlink_to(tmp_path / "nowhere")
    with pytest.raises(FileError, match="is there already; name another file"):
        write_new(target, ["a\n"])
    assert [each.name for each in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("links", [True, False], ids=["links", "no links"])
def test_a_file_that_got_the_name_meanwhile_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, links: bool
) -> None:
    target = tmp_path / "out"

    def lines() -> list[str]:
        target.write_text("mine")
        return ["a\n"]

    def no_link(_from: Path, _to: Path) -> None:
        raise OSError(errno.EPERM, "not here")

    if not links:
        monkeypatch.setattr(os, "link", no_link)
    with pytest.raises(FileError, match="is there already"):
        write_new(target, (line for _ in range(1) for line in lines()))
    assert target.read_text() == "mine"
    assert [each.name for each in tmp_path.iterdir()] == ["out"]
    if not links:
        write_new(tmp_path / "other", ["a\n"])
        assert (tmp_path / "other").read_text() == "a\n"


@pytest.mark.parametrize("call", ["open", "fsync", "link"])
def test_a_disk_that_fails_is_one_line_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    def fails(*_arguments: object, **_more: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, call, fails)
    if call == "link":
        monkeypatch.setattr(Path, "rename", fails)
    with pytest.raises(FileError, match=r"cannot be written \(No space left on device\): nothing was left there"):
        write_new(tmp_path / "out", ["a\n"])
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == []


def test_file_and_folder_are_synchronised_before_it_is_said_to_be_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    fsync, link = os.fsync, os.link

    def _fsync(handle: int) -> None:
        told.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        fsync(handle)

    def _link(source: Path, target: Path) -> None:
        told.append("name")
        link(source, target)

    monkeypatch.setattr(os, "fsync", _fsync)
    monkeypatch.setattr(os, "link", _link)
    write_new(tmp_path / "out", ["a\n"])
    assert told == ["file", "name", "folder"]


def test_a_folder_that_is_missing_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"cannot be written \(No such file or directory\)"):
        write_new(tmp_path / "no" / "out", ["a\n"])


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET body = replace(body, 'note ', 'Note ') WHERE seq = 3",
        "UPDATE sample SET pressure_pa = 1 WHERE n = 3",
    ],
)
def test_a_damaged_logbook_is_not_exported(tmp_path: Path, statement: str) -> None:
    filled(tmp_path / "x").close()
    connection = without_guards(tmp_path / "x")
    connection.execute(statement)
    connection.close()
    log = open_log_for_reading(tmp_path / "x")
    with pytest.raises(Damaged):
        write_bundle(log, tmp_path / "out.jsonl")
    log.close()
    assert not any(each.name.endswith(("jsonl", "part")) for each in tmp_path.iterdir())
