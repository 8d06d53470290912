"""An entry whose columns say otherwise than its sealed text is never shown, counted or left out."""

from pathlib import Path

import pytest

from commission.base.errors import Damaged
from commission.record.entries import NoteAdded
from commission.stages.pressure_hold.entries import HoldClosed
from commission.storage.guards import make_guards
from commission.storage.schema import BUILD_IN_BODY, KIND_IN_BODY
from tests.registered import open_log, open_log_for_reading
from tests.shell.running import called, one_line
from tests.storage.making import draft, filled, raw, without_guards

OTHER = {
    "uid": "'x'",
    "build": "'b2'",
    "kind": "'note added'",
    "operator": "'Max'",
    "wall_ms": "wall_ms + 1",
    "offset_min": "0",
    "mono_ms": "1",
    "boot_ms": "NULL",
    "boot_id": "'x'",
    "observed_ms": "5",
}


def _edit(path: Path, statement: str) -> None:
    connection = without_guards(path)
    assert connection.execute(statement).rowcount > 0
    make_guards(connection)
    connection.close()


@pytest.mark.parametrize("column", OTHER)
def test_reading_stops_at_a_column_that_was_changed(tmp_path: Path, column: str) -> None:
    path = tmp_path / "x"
    filled(path).close()
    _edit(path, f"UPDATE entry SET {column} = {OTHER[column]} WHERE seq = 7")
    log = open_log_for_reading(path)
    line = f"entry 7: its columns differ from its sealed text: {column}; run commission verify"
    for read in (
        log.entries,
        lambda: log.entries("b1"),
        lambda: log.entry(7),
        lambda: log.entries_of_kind(HoldClosed.KIND),
    ):
        with pytest.raises(Damaged, match=line):
            read()
    assert len(log.entries_of_kind("withdrawn")) == 1
    log.close()


def test_an_entry_cannot_be_put_into_another_build(tmp_path: Path) -> None:
    """By columns alone it was missing from its own build without a word."""
    path = tmp_path / "x"
    filled(path).close()
    _edit(path, "UPDATE entry SET build = 'elsewhere' WHERE seq = 7")
    log = open_log_for_reading(path)
    for build in ("b1", "elsewhere"):
        with pytest.raises(Damaged, match="entry 7: its columns differ from its sealed text: build"):
            log.entries(build)
    assert log.entries("b2") == []
    log.close()


@pytest.mark.parametrize("build", ['a "b" \\', '","kind":"x', ',"build":"', "µ 'x' é\u2028", "", "~s", "\\"])
def test_entries_are_found_by_their_text_whatever_their_build_is_called(tmp_path: Path, build: str) -> None:
    path = tmp_path / "x"
    log = open_log(path, holder="tests")
    for name in ("other", build, "more"):
        log.append(draft(build=name))
    assert [entry.seq for entry in log.entries(build)] == [2]
    log.close()
    # a column that lies hides nothing: the text alone finds it
    _edit(path, "UPDATE entry SET build = 'nowhere' WHERE seq = 2")
    again = open_log_for_reading(path)
    with pytest.raises(Damaged, match="entry 2"):
        again.entries(build)
    again.close()


def test_both_ways_of_finding_an_entry_go_by_an_index(tmp_path: Path) -> None:
    filled(tmp_path / "x").close()
    connection = raw(tmp_path / "x")
    for where, indexes in (
        (f"build = 'b1' OR {BUILD_IN_BODY} = 'b1'", {"entry_build", "entry_body_build"}),
        (f"kind = 'x' OR {KIND_IN_BODY} = 'x'", {"entry_kind", "entry_body_kind"}),
    ):
        plan = connection.execute(f"EXPLAIN QUERY PLAN SELECT seq FROM entry WHERE {where}").fetchall()
        told = " ".join(row[3] for row in plan)
        assert "SCAN" not in told
        assert all(f"USING INDEX {name} " in told for name in indexes)
    connection.close()


def test_a_chain_that_is_broken_in_the_middle_is_seen_when_a_small_file_is_opened(tmp_path: Path) -> None:
    path = tmp_path / "x"
    filled(path).close()
    _edit(path, "UPDATE entry SET body = replace(body, 'note ', 'Note ') WHERE seq = 3")
    log = open_log(path, holder="tests")
    assert "entry 3 does not match its digest" in log.read_only_because
    log.close()
    _edit(path, "DELETE FROM entry WHERE seq = 3")
    log = open_log(path, holder="tests")
    assert "entry 3 is missing before entry 4" in log.read_only_because
    log.close()


FEED = "# volume: 1.2 L\n# source: hose off\ngauge [mbar]\n"


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET build = 'x' WHERE kind = 'hold started'",
        "UPDATE entry SET kind = 'note added' WHERE kind = 'hold planned'",
        "UPDATE entry SET observed_ms = 5 WHERE kind = 'build opened'",
    ],
)
def test_list_show_feed_and_close_do_not_go_on_from_such_an_entry(tmp_path: Path, statement: str) -> None:
    path = tmp_path / "bench.logbook"
    assert called("feed", "--build", "Desk", "--new", text=f"{FEED}500.0\n499.9\n", logbook=path).status == 0
    _edit(path, statement)
    for arguments in (("list",), ("show", "Desk"), ("show", "Desk", "--entries"), ("end-hold", "Desk")):
        refused = called(*arguments, logbook=path)
        assert (refused.status, refused.lines) == (2, []), arguments
        assert "its columns differ from its sealed text" in one_line(refused.err)
    fed = called("feed", "--build", "Desk", text=f"{FEED}499.8\n", logbook=path)
    assert (fed.status, fed.lines) == (2, [])
    assert one_line(fed.err)
    assert called("verify", logbook=path).status == 1


def test_a_kind_is_found_by_its_text(tmp_path: Path) -> None:
    log = filled(tmp_path / "x")
    assert [entry.seq for entry in log.entries_of_kind(NoteAdded.KIND)] == [1, 2, 3, 4, 5]
    log.close()
