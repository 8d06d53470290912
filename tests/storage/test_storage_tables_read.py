"""Open data read by DuckDB, a reader of its own: every table, its rows, the types that it finds, a few values.

The demo's figures are those that its script pours and reads; what DuckDB adds up is added up here from the text of the
rows. Its reader of SQLite files is an extension: where that is not installed, that part is skipped.
"""

import csv
from pathlib import Path
from typing import Any

import pytest

from tests.shell.running import SAMPLES, called

duckdb = pytest.importorskip("duckdb", reason="the extra test-readers is not installed")


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo's tables as CSV, and as one SQLite file, as the command writes them."""
    folder = tmp_path_factory.mktemp("tables")
    assert called("import", str(SAMPLES / "workshop.jsonl"), logbook=folder / "w.logbook").status == 0
    for name in ("csv", "all.sqlite"):
        assert called("export", "--tables", str(folder / name), logbook=folder / "w.logbook").status == 0
    return folder


READER = duckdb.connect(config={"threads": 1, "autoinstall_known_extensions": False})


def asked(query: str, *values: object) -> list[tuple[Any, ...]]:
    found: list[tuple[Any, ...]] = READER.execute(query, list(values)).fetchall()
    return found


def rows_of(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_every_table_has_all_its_rows_and_columns(exported: Path) -> None:
    files = sorted((exported / "csv").glob("*.csv"))
    assert len(files) > 40
    full = 0
    for file in files:
        rows = rows_of(file)
        ((count,),) = asked("SELECT count(*) FROM read_csv(?, header = true, strict_mode = true)", str(file))
        assert count == len(rows), file.name
        described = asked("DESCRIBE SELECT * FROM read_csv(?, header = true, strict_mode = true)", str(file))
        assert [column[0] for column in described] == file.read_bytes().decode().split("\r\n", 1)[0].split(",")
        full += bool(rows)
    assert full > 30


def test_times_are_times_with_their_zone_and_figures_are_numbers(exported: Path) -> None:
    file = exported / "csv" / "amounts.csv"
    types = {name: kind for name, kind, *_ in asked("DESCRIBE SELECT * FROM read_csv(?)", str(file))}
    assert (types["seen"], types["entry"], types["volume_mL"]) == ("TIMESTAMP WITH TIME ZONE", "BIGINT", "DOUBLE")
    rows = rows_of(file)
    query = "SELECT build, sum(into_loop_mL), count(withdrawn_by) FROM read_csv(?) GROUP BY build ORDER BY build"
    found = {name: (total, gone) for name, total, gone in asked(query, str(file))}
    assert len(found) > 1
    for name, (total, gone) in found.items():
        own = [row for row in rows if row["build"] == name]
        assert total == pytest.approx(sum(float(row["into_loop_mL"]) for row in own))
        assert gone == sum(bool(row["withdrawn_by"]) for row in own)


def test_a_voltage_finds_its_entry_by_the_number(exported: Path) -> None:
    """The demo types 12.060 V at the main plug; a text that begins with + has an apostrophe before it."""
    joined = asked(
        "SELECT r.volt, e.kind FROM read_csv(?) r JOIN read_csv(?) e USING (entry) "
        "WHERE r.rail = '''+12 V' AND r.plug = 'main 24-pin' ORDER BY entry",
        str(exported / "csv" / "rails_read__readings.csv"),
        str(exported / "csv" / "entries.csv"),
    )
    assert joined[0] == (12.06, "rails read")


def test_the_sqlite_file_holds_as_many_rows_in_each_table(exported: Path) -> None:
    try:
        READER.execute("LOAD sqlite")
    except duckdb.Error:
        pytest.skip("DuckDB's reader of SQLite is an extension, and is not installed here")
    READER.execute(f"ATTACH '{exported / 'all.sqlite'}' AS flat (TYPE sqlite, READ_ONLY)")
    names = [name for (name,) in asked("SELECT table_name FROM duckdb_tables() WHERE database_name = 'flat'")]
    assert len(names) > 40
    for name in names:
        ((count,),) = asked(f'SELECT count(*) FROM flat."{name}"')
        assert count == len(rows_of(exported / "csv" / f"{name}.csv")), name
