"""Tables as files for other programs: a folder of CSV, or one SQLite file without guards; whole or not at all."""

import csv
import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from itertools import islice
from pathlib import Path

from commission.base.errors import FileError
from commission.base.text import clean
from commission.record.table import Cell, Holds, Table
from commission.storage.faults import FAULTS, disk_words, is_disk_fault, one_line
from commission.storage.files import create_private, new_file, new_folder, synchronise_file

FORMULA = tuple("=+-@\t\r\n＝＋－＠")
"""What begins a formula to a spreadsheet. Source: OWASP, "CSV Injection", as of 2025 (from memory)."""

BATCH = 5000
"""Rows that are written at a time."""

_TYPES = {Holds.TEXT: "TEXT", Holds.WHOLE: "INTEGER", Holds.NUMBER: "REAL", Holds.YES_NO: "INTEGER"}


def write_csv_folder(path: Path, tables: Iterable[Table]) -> int:
    """Write a new folder with a CSV file a table and return how many; RFC 4180, UTF-8 without a mark.

    A text that a spreadsheet would take for a formula has a ``'`` before it; numbers never do.

    Raises
    ------
    FileError
        If something has that name already, or it cannot be written.
    """
    count = 0
    with new_folder(path) as folder:
        for count, table in enumerate(tables, 1):  # noqa: B007 - it is returned
            _write_csv(folder / f"{table.name}.csv", table)
    return count


def _write_csv(path: Path, table: Table) -> None:
    handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow([column.name for column in table.columns])
        writer.writerows([_csv_cell(cell) for cell in row] for row in table.rows)
        file.flush()
        os.fsync(handle)


def _csv_cell(cell: Cell) -> Cell:
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if not isinstance(cell, str):
        return cell
    # by what was typed: a tab is spelled out when it is cleaned, and was one all the same; some programs drop blanks
    return f"'{clean(cell)}" if cell.startswith(FORMULA) or cell.lstrip().startswith(FORMULA) else clean(cell)


def write_sqlite_file(path: Path, tables: Iterable[Table]) -> int:
    """Write a new SQLite file with these tables and return how many; it is no logbook and has no guards.

    Raises
    ------
    FileError
        If something has that name already, or it cannot be written.
    """
    with new_file(path) as beside:
        create_private(beside)
        try:
            count = _fill(beside, tables)
        except FAULTS as error:
            why = disk_words(error)[0] if is_disk_fault(error) else one_line(error)
            raise FileError(f"{path} cannot be written ({why}): nothing was left there") from error
        synchronise_file(beside)
    return count


def _fill(path: Path, tables: Iterable[Table]) -> int:
    connection = sqlite3.connect(path, isolation_level=None)
    count = 0
    with closing(connection):
        # the file has no name yet: where this is interrupted it is gone, so it needs no journal
        connection.execute("PRAGMA journal_mode = OFF")
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("BEGIN")
        for count, table in enumerate(tables, 1):  # noqa: B007 - it is returned
            columns = ", ".join(f'"{column.name}" {_TYPES[column.holds]}' for column in table.columns)
            connection.execute(f'CREATE TABLE "{table.name}" ({columns})')
            places = ", ".join("?" * len(table.columns))
            for rows in _batches(table.rows):
                connection.executemany(f'INSERT INTO "{table.name}" VALUES ({places})', rows)  # noqa: S608
        connection.execute("COMMIT")
    return count


def _batches(rows: Iterable[tuple[Cell, ...]]) -> Iterator[list[tuple[Cell, ...]]]:
    cleaned = (tuple(clean(cell) if isinstance(cell, str) else cell for cell in row) for row in rows)
    while batch := list(islice(cleaned, BATCH)):
        yield batch
