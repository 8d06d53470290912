"""Open data: every kind of entry as a table with units in its names, safe for a spreadsheet, whole or not there."""

import csv
import io
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import FileError
from commission.bootstrap import export_tables, open_logbook
from commission.record.entries import BuildOpened
from commission.record.logged import Logged
from commission.record.table import COMMON, Column, Holds, Table
from commission.record.tables.every import every_table
from commission.record.tables.flat import UNIT_OF, shape_of
from commission.record.tables.source import source_of
from commission.record.unknown import Unknown
from commission.storage.tables_out import write_csv_folder, write_sqlite_file
from tests.every_kind import HOSTILE, hostile
from tests.hints import fields_of, item_of, optional_of
from tests.registered import KINDS, REGISTRY, import_bundle
from tests.storage.making import MARK

SAMPLE = Path(__file__).parents[2] / "sample_logs" / "workshop.jsonl"

UNITS = (
    *filter(None, UNIT_OF.values()),
    "ms",
    "rpm",
    "v",
    "volt",
    "ohm",
    "pct",
    "db",
    "mbar",
    "degC",
    "hPa",
    "mL",
    "g",
)
"""Units on which the name of a figure ends."""


def _logged(seq: int, payload: Any, build: str = "b1") -> Logged:
    return Logged(
        seq=seq, uid=f"u{seq}", build=build, operator=HOSTILE, mark=MARK, observed_ms=None, payload=payload, digest=""
    )


def _every_kind() -> Iterator[Table]:
    """Yield the tables of a record that has one entry of each kind, every text of it hostile."""
    entries = [_logged(seq, hostile(kind)) for seq, kind in enumerate(KINDS.values(), 1) if kind is not BuildOpened]
    return every_table(REGISTRY, source_of(entries, lambda _: iter(())))


def _figures(cls: type, unit: str = "") -> Iterator[tuple[str, str]]:
    """Yield class and field of each figure in a class whose unit is said nowhere."""
    for name, hint, _ in fields_of(cls):
        kind = optional_of(hint) or item_of(hint) or hint
        own = getattr(cls, "UNITS", {}).get(name)
        if kind is float and own is None and not unit and not re.search(rf"(^|_)({'|'.join(UNITS)})$", name):
            yield cls.__name__, name
        elif (
            isinstance(kind, type)
            and hasattr(kind, "__struct_fields__")
            and kind.__name__ not in ("Measured", "Phrase")
        ):
            yield from _figures(kind, unit or ("said" if own is not None else ""))


def test_every_figure_of_every_kind_says_its_unit_or_that_it_has_none() -> None:
    without = {found for kind in KINDS.values() for found in _figures(kind)}
    assert {(cls, name) for cls, name in without if "Picture" not in cls} == set()
    names = [column.name for kind in KINDS.values() for column in (*COMMON, *shape_of(kind).columns)]
    assert all(re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", name) for name in names)


def test_hostile_text_in_every_field_of_every_kind_stays_text_in_both_forms(tmp_path: Path) -> None:
    write_csv_folder(tmp_path / "csv", _every_kind())
    write_sqlite_file(tmp_path / "x.sqlite", _every_kind())
    tables = list(_every_kind())
    with sqlite3.connect(tmp_path / "x.sqlite") as flat:
        for table in tables:
            data = (tmp_path / "csv" / f"{table.name}.csv").read_bytes()
            # RFC 4180: rows end in CR LF, all as long as the first; what people typed holds no raw end of line
            assert data.endswith(b"\r\n")
            assert b"\x00" not in data
            assert data.count(b"\n") == data.count(b"\r\n")
            rows = list(csv.reader(io.StringIO(data.decode(), newline=""), strict=True))
            assert {len(row) for row in rows} == {len(table.columns)}
            for row in rows[1:]:
                for column, cell in zip(table.columns, row, strict=True):
                    assert column.holds in (Holds.WHOLE, Holds.NUMBER) or not cell.startswith(("=", "+", "-", "@"))
            (count,) = flat.execute(f'SELECT count(*) FROM "{table.name}"').fetchone()
            assert count == len(rows) - 1
        (text,) = flat.execute("SELECT text FROM note_added").fetchone()
    flat.close()
    assert text == '=HYPERLINK("http://x")\\u000d\\u000a+1,"a\';\\u0000\\u202e</td>'
    with (tmp_path / "csv" / "note_added.csv").open(encoding="utf-8", newline="") as file:
        assert next(iter(csv.DictReader(file)))["text"] == f"'{text}"
    assert {table.name for table in tables if list(table.rows) == [] and "series" not in table.name} <= {
        "build_opened", "readings", "verdicts", "defects", "seats",
    }  # fmt: skip


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder with the tables of the sample logbook, as CSV and as SQLite."""
    folder = tmp_path_factory.mktemp("tables")
    with SAMPLE.open("rb") as lines:
        import_bundle(lines, folder / "x.logbook")
    opened = open_logbook(folder / "x.logbook", REGISTRY, read_only=True)
    export_tables(opened, folder / "csv")
    export_tables(opened, folder / "x.sqlite")
    opened.book.close()
    return folder


def _rows(folder: Path, table: str) -> list[dict[str, str]]:
    with (folder / "csv" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_streamed_readings_have_the_figures_of_their_own_text(sample: Path) -> None:
    rows = _rows(sample, "readings")
    streamed = [row for row in rows if row["came"] == "streamed"]
    assert len(streamed) > 100
    for row in streamed:
        # the columns of the sample's files: seconds or minutes, mbar, degC, hPa
        elapsed, *typed = [float(part) for part in row["text"].split(",")]
        assert [float(row[name]) for name in ("gauge_mbar", "air_degC", "barometer_hPa")] == pytest.approx(typed)
        assert float(row["elapsed_s"]) in (elapsed, 60 * elapsed)
    assert {row["build"] for row in rows} <= {row["name"] for row in _rows(sample, "build_opened")}


def test_withdrawn_rows_stay_and_say_by_what_and_times_have_their_offset(sample: Path) -> None:
    amounts = _rows(sample, "amounts")
    withdrawn = {row["entry"]: row["withdrawn_by"] for row in amounts if row["withdrawn_by"]}
    told = {row["target"]: row["entry"] for row in _rows(sample, "withdrawn")}
    assert withdrawn
    assert withdrawn.items() <= told.items()
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}[+-]\d\d:\d\d", row["seen"]) for row in amounts)
    assert all(
        float(row["into_loop_mL"]) in (float(row["volume_mL"]), -float(row["volume_mL"]), 0.0) for row in amounts
    )


def test_every_table_is_told_with_its_columns_and_both_forms_agree(sample: Path) -> None:
    told: dict[str, list[str]] = {}
    for row in _rows(sample, "columns"):
        told.setdefault(row["table"], []).append(row["column"])
    assert set(told) | {"columns"} == {file.stem for file in (sample / "csv").iterdir()}
    with sqlite3.connect(sample / "x.sqlite") as flat:
        for name, columns in told.items():
            rows = _rows(sample, name)
            found = flat.execute(f'SELECT * FROM "{name}"')
            assert [column[0] for column in found.description] == columns
            assert len(found.fetchall()) == len(rows)
    flat.close()
    entries = _rows(sample, "entries")
    assert [int(row["entry"]) for row in entries] == list(range(1, len(entries) + 1))
    assert entries[-1]["digest"] in SAMPLE.read_text(encoding="utf-8").splitlines()[-1]


def test_blanks_do_not_hide_a_formula_and_numbers_stay_numbers(tmp_path: Path) -> None:
    cells = (" =1+1", "\u3000＝1", " \t+1", "a =1", "", " ", "-1", -1, -1.5)
    columns = tuple(
        Column(f"c{at}", Holds.TEXT if isinstance(cell, str) else Holds.NUMBER) for at, cell in enumerate(cells)
    )
    write_csv_folder(tmp_path / "out", [Table(name="t", columns=columns, rows=iter([cells]))])
    with (tmp_path / "out" / "t.csv").open(encoding="utf-8", newline="") as file:
        _, told = csv.reader(file)
    assert told == ["' =1+1", "'\u3000＝1", "' \\u0009+1", "a =1", "", " ", "'-1", "-1", "-1.5"]


@pytest.mark.parametrize("name", ["out", "out.sqlite"])
def test_tables_are_whole_or_not_there_and_nothing_is_written_over(tmp_path: Path, name: str) -> None:
    write = write_sqlite_file if name.endswith("sqlite") else write_csv_folder

    def broken() -> Iterator[tuple[str]]:
        yield ("one",)
        raise FileError("the record ends here")

    with pytest.raises(FileError, match="ends here"):
        write(tmp_path / name, [Table(name="t", columns=(Column("a"),), rows=broken())])
    assert list(tmp_path.iterdir()) == []
    (tmp_path / name).touch()
    with pytest.raises(FileError, match="is there already"):
        write(tmp_path / name, [])
    assert [(path.name, path.stat().st_size) for path in tmp_path.iterdir()] == [(name, 0)]


def test_an_entry_of_an_unknown_kind_is_listed_with_its_word_and_all_that_it_holds() -> None:
    unknown = _logged(1, Unknown(word="filter seated", text='{"gap_m":0.0008}'))
    tables = {table.name: table for table in every_table(REGISTRY, source_of([unknown], lambda _: iter(())))}
    columns = [column.name for column in tables["entries"].columns]
    (row,) = tables["entries"].rows
    told = dict(zip(columns, row, strict=True))
    assert (told["kind"], told["shown"], told["says"]) == ("filter seated", "filter seated", '{"gap_m":0.0008}')
