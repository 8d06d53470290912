"""Files that released versions wrote open for ever: read as they are, brought up to date, and exported unchanged.

``tests/data/version_N`` holds what the program of that version wrote: a logbook with one hold that was closed and one
that still runs, its bundle, and the bundle of the sample workshop.
"""

import shutil
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.shell.main import exit_status
from commission.storage.exchange import export_bundle
from commission.storage.guards import compare_guards
from commission.storage.schema import SCHEMA_VERSION
from tests.registered import import_bundle, open_log, open_log_for_reading
from tests.storage.making import draft, raw

DATA = Path(__file__).parent.parent / "data"
OLD = sorted(DATA.glob("version_*"))
BUNDLES = [path for folder in OLD for path in sorted(folder.glob("*.jsonl"))]


def _lines(bundle: Path) -> list[str]:
    return bundle.read_text(encoding="utf-8").splitlines(keepends=True)


@pytest.fixture(params=OLD, ids=lambda folder: folder.name)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Path, Path]:
    """Return a copy of an old logbook, and the bundle that its own program made of it."""
    folder: Path = request.param
    return Path(shutil.copy(folder / "running.logbook", tmp_path / "x.logbook")), folder / "running.jsonl"


def test_every_version_before_this_one_is_kept() -> None:
    assert [folder.name for folder in OLD] == [f"version_{n}" for n in range(1, SCHEMA_VERSION)]


def test_an_old_file_is_read_without_a_change_to_it(old: tuple[Path, Path]) -> None:
    path, bundle = old
    before = path.read_bytes()
    log = open_log_for_reading(path)
    assert list(export_bundle(log)) == _lines(bundle)
    assert len(log.entries()) == log.head().seq
    assert log.verify() == []
    log.close()
    assert path.read_bytes() == before


def test_an_old_file_is_brought_up_to_date_and_exported_unchanged(old: tuple[Path, Path]) -> None:
    path, bundle = old
    log = open_log(path, holder="tests")
    assert log.read_only_because == ""
    assert list(export_bundle(log)) == _lines(bundle)
    assert log.verify() == []
    before = log.head().seq
    assert log.append(draft()).seq == before + 1
    assert log.verify() == []
    log.close()
    connection = raw(path)
    assert connection.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
    assert compare_guards(connection) == []
    connection.close()


@pytest.mark.parametrize("bundle", BUNDLES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_an_old_bundle_is_imported_and_exported_unchanged(bundle: Path, tmp_path: Path) -> None:
    lines = _lines(bundle)
    import_bundle(lines, tmp_path / "y")
    log = open_log(tmp_path / "y", holder="tests")
    assert list(export_bundle(log)) == lines
    assert log.verify() == []
    log.close()


@pytest.mark.parametrize("words", [["list"], ["show", "Blue Heron"], ["show", "Grey Wren", "--entries"], ["verify"]])
def test_the_command_line_reads_an_old_file(
    old: tuple[Path, Path], words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert exit_status([*words, "--logbook", str(old[0])], job()) == 0
    printed = capsys.readouterr().out
    if words == ["list"]:
        assert "build: Blue Heron" in printed
        assert "build: Grey Wren" in printed
