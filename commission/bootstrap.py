"""Puts the pieces together: a path, a clock and a procedure become a logbook, a folder of the kernel a board.

The only importer of storage, and beside the stages' file formats of instruments. Nothing heavy is imported before it is
needed.
"""

from __future__ import annotations

import threading
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from commission import __version__
from commission.base.errors import FileError
from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from commission.instruments.hwmon import HwmonBoard
    from commission.record.arrival import Arrival
    from commission.record.face import Registry
    from commission.record.logbook import Logbook
    from commission.record.logged import Head
    from commission.record.ports import Clock, EntryLog, Machine
    from commission.storage.arrival import Rules, Stamp
    from commission.storage.unsent import UnsentFile

    Begin = Callable[[Logbook, Callable[[float], None]], None]
    """Writes into a logbook what runs; the second sets its clock back by so many seconds."""

FILE_NAME = "workshop.logbook"
"""Name of the logbook file where no other is given."""

SQLITE_ENDS = (".sqlite", ".sqlite3", ".db")
"""What the name of an SQLite file ends on, by which it is told from a folder."""

SAMPLE = "workshop.jsonl"
"""The bundle of the sample logbook."""
SAMPLE_COPY = "demo.logbook"
"""Name of the logbook that is made of it."""


class Opened(Frozen):
    """A logbook that was opened, and where it stands."""

    book: Logbook
    """The logbook."""
    path: Path
    """Its file."""


def default_path() -> Path:
    """Return where the logbook stands when nobody says otherwise: the user's data folder of this system."""
    from platformdirs import user_data_path

    return user_data_path("commission", appauthor=False) / FILE_NAME


def glance(path: Path | None = None) -> list[tuple[str, str]]:
    """Return id and name of the builds for the first picture, without loading what the logbook needs."""
    from commission.storage.glance import glance as names

    return names(default_path() if path is None else path)


def unsent_file(path: Path) -> UnsentFile:
    """Return what keeps, beside a logbook, the text that was typed and not entered."""
    from commission.storage.unsent import UnsentFile

    return UnsentFile(path)


def looks_file(path: Path) -> UnsentFile:
    """Return what keeps, beside a logbook, its colours and whether it rings."""
    from commission.storage.unsent import UnsentFile

    return UnsentFile(path, "looks")


def open_logbook(
    path: Path | None,
    registry: Registry,
    *,
    procedure: str = "",
    read_only: bool = False,
    clock: Clock | None = None,
) -> Opened:
    """Open a logbook; for writing where that is possible, else read-only with the reason in words.

    Parameters
    ----------
    path
        The file; None for the usual place.
    registry
        The stages that its entries are read with.
    procedure
        Text of the procedure under which new builds are opened; the one that ships with the program if empty.
    read_only
        Only look: makes no file and takes no lock.
    clock
        Where the time comes from; the computer's own clocks if None.

    Raises
    ------
    LogbookError
        If the file is no logbook, or there is none and none can be made.
    FileError
        If it is only to be read and there is none.
    """
    from commission.storage.opening import open_log, open_log_for_reading

    path = default_path() if path is None else path
    if read_only:
        log = open_log_for_reading(path, registry, reread=registry.reread)
    else:
        log = open_log(path, registry, holder=f"commission {__version__}", reread=registry.reread)
    return Opened(book=_book(log, clock, registry, procedure), path=path)


def _book(log: EntryLog, clock: Clock | None, registry: Registry, procedure: str) -> Logbook:
    from commission.instruments.system_clock import SystemClock
    from commission.procedure.load import default_toml
    from commission.record.logbook import Logbook

    return Logbook(
        log,
        clock or SystemClock(),
        registry=registry,
        procedure_toml=procedure or default_toml(),
        program=__version__,
        machine=_machine,
    )


def _machine() -> Machine:
    import platform

    from commission.record.ports import Machine
    from commission.storage.connection import sqlite_version

    return Machine(
        sqlite=sqlite_version(),
        python=platform.python_version(),
        system=f"{platform.system()} {platform.release()}",
    )


def sample_folder() -> Path:
    """Return the folder of the sample logs: beside the source, or inside the installed package.

    Raises
    ------
    FileError
        If neither is there.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / "_sample_logs", here.parent / "sample_logs"):
        if folder.is_dir():
            return folder
    raise FileError("the sample logs are missing from this installation; install the program again")


def sample_names() -> list[tuple[str, str]]:
    """Return id and name of the builds of the sample logbook, before a copy of it is made."""
    from commission.storage.glance import glance_bundle

    return glance_bundle(sample_folder() / SAMPLE)


def sample_logbook(folder: Path, registry: Registry, begin: Iterable[Begin] = ()) -> Opened:
    """Make a private copy of the sample logbook in a folder and open it.

    Each of ``begin`` writes into it what runs now, on the computer's clocks set back and brought forward again.
    """
    from commission.instruments.clock_behind import ClockBehind
    from commission.storage.exchange import import_bundle

    path = folder / SAMPLE_COPY
    with (sample_folder() / SAMPLE).open("rb") as lines:
        import_bundle(lines, path, registry)
    clock = ClockBehind()
    opened = open_logbook(path, registry, clock=clock)
    for write in begin:
        write(opened.book, clock.set_behind)
    clock.set_behind(0.0)
    return opened


def broken_at(opened: Opened) -> str:
    """Return where the chain of a logbook is broken first, in one line; empty where it holds."""
    from commission.storage.store import SqliteLog
    from commission.storage.verify import broken_at as broken

    log = opened.book.log
    return broken(log.connection) if isinstance(log, SqliteLog) and log.has_tables() else ""


def export_bundle(opened: Opened) -> Iterator[str]:
    """Yield the whole record as lines of JSON, as it stands on the disk."""
    from commission.storage.exchange import export_bundle as lines_of
    from commission.storage.opening import open_log_for_reading

    with closing(open_log_for_reading(opened.path, opened.book.registry)) as log:
        yield from lines_of(log)


def export_file(opened: Opened, target: Path) -> Head:
    """Write the whole record to a new file, whole and durable or not at all, and return the head that it holds."""
    from commission.storage.exchange import write_bundle
    from commission.storage.opening import open_log_for_reading

    with closing(open_log_for_reading(opened.path, opened.book.registry)) as log:
        return write_bundle(log, target)


def export_tables(opened: Opened, target: Path) -> int:
    """Write every table of the record to a new folder, or to a new SQLite file where its name ends so; return how many.

    Whole and durable or not at all; raises FileError where that cannot be done.
    """
    from commission.record.tables.every import every_table
    from commission.record.tables.source import source_of
    from commission.storage.opening import open_log_for_reading
    from commission.storage.series_out import series_reader
    from commission.storage.tables_out import write_csv_folder, write_sqlite_file

    registry = opened.book.registry
    with closing(open_log_for_reading(opened.path, registry, reread=registry.reread)) as log:
        samples = series_reader(log)
        source = source_of(log.entries(), samples)
        write = write_sqlite_file if target.suffix.lower() in SQLITE_ENDS else write_csv_folder
        return write(target, every_table(registry, source))


def copy_logbook(opened: Opened, target: Path) -> Head:
    """Make a second logbook file like the first, looked through, and return its head; raises as `copy_log` does."""
    from commission.storage.copy import copy_log
    from commission.storage.opening import open_log_for_reading

    registry = opened.book.registry
    with closing(open_log_for_reading(opened.path, registry)) as log:
        return copy_log(log, target, reread=registry.reread)


def write_file(path: Path, content: bytes) -> None:
    """Write a new file, whole and durable or not at all; raises FileError where that cannot be done."""
    from commission.storage.files import write_new

    write_new(path, (content,))


def export_build(opened: Opened, build_id: str, target: Path) -> Head:
    """Write a bundle of one build to a new file, whole and durable or not at all, and return the head that it holds."""
    from commission.storage.one_build import write_one_build
    from commission.storage.opening import open_log_for_reading

    with closing(open_log_for_reading(opened.path, opened.book.registry)) as log:
        return write_one_build(log, build_id, _stamp(opened.book.shop().operator), target)


def import_bundle(
    source: Path, target: Path, registry: Registry, *, as_stored: bool = False, own_procedure: bool = False
) -> tuple[str, ...]:
    """Make a new logbook file from lines of JSON or from a logbook; nothing that the screens would refuse.

    Returns what must be told of verdicts that another program gave.

    ``registry``: the stages that its entries are read with. ``as_stored``: take verdicts of another program that this
    one would not give. ``own_procedure``: take builds judged by a procedure that ships with no program.
    """
    from commission.storage.arrival import source as lines_of
    from commission.storage.exchange import import_bundle as make
    from commission.storage.judged import judging

    rules, told = _rules(registry, as_stored=as_stored, own_procedure=own_procedure), list[str]()
    judge = judging(registry, rules.judge, told.append)
    with lines_of(source, registry) as lines:
        make(lines, target, registry, admit=rules.admission(), reread=rules.reread, judge=judge)
    return tuple(told)


def look_at_import(
    source: Path, target: Path, registry: Registry, *, as_stored: bool = False, own_procedure: bool = False
) -> Arrival:
    """Return what an import would bring into a new logbook and every refusal; nothing is written."""
    from commission.storage.arrival import look_at_import as look
    from commission.storage.arrival import source as lines_of

    with lines_of(source, registry) as lines:
        return look(lines, target, _rules(registry, as_stored=as_stored, own_procedure=own_procedure))


def merge_logbook(
    source: Path,
    target: Path,
    registry: Registry,
    operator: str,
    *,
    dry: bool,
    as_stored: bool = False,
    own_procedure: bool = False,
) -> Arrival:
    """Take what another logbook or a bundle has more into a logbook, all of it or nothing; raises as `merge` does.

    ``dry``: change nothing, and return every refusal. ``as_stored``, ``own_procedure``: as
    for `import_bundle`.
    """
    from commission.storage.arrival import merge
    from commission.storage.arrival import source as lines_of

    with lines_of(source, registry) as lines:
        rules = _rules(registry, as_stored=as_stored, own_procedure=own_procedure)
        return merge(target, lines, rules, _stamp(operator), dry=dry)


def _rules(registry: Registry, *, as_stored: bool, own_procedure: bool) -> Rules:
    from commission.record.admission import Admission
    from commission.record.again import judge_again
    from commission.storage.arrival import Rules

    return Rules(
        registry=registry,
        admission=lambda: Admission(registry, own_procedure=own_procedure),
        reread=registry.reread,
        judge=partial(judge_again, registry, __version__, as_stored=as_stored),
    )


def _stamp(operator: str) -> Stamp:
    """Return what makes an entry about where others came from, with the clocks of this moment."""
    from commission.instruments.system_clock import SystemClock
    from commission.record.logged import Draft
    from commission.record.record import SESSIONS, random_id

    return lambda payload: Draft(
        uid=random_id(), build=SESSIONS, operator=operator, mark=SystemClock().now(), payload=payload
    )


def hwmon_board(root: Path | None = None) -> HwmonBoard:
    """Return a reader of the speeds and temperatures that the kernel offers; nothing is ever written.

    Parameters
    ----------
    root
        The folder that holds ``class/hwmon``; None for the one of this system.
    """
    from commission.instruments.hwmon import HwmonBoard

    return HwmonBoard(Path("/sys") if root is None else root)


def serial_lines(
    name: str, speed: int, tell: Callable[[str], object], *, sleep: Callable[[float], None] | None = None
) -> Iterator[str]:
    """Yield the lines that come from a serial port, which is never written to; an empty text while none comes.

    Raises
    ------
    FileError
        If the extra is missing or the port cannot be opened.
    """
    import time

    from commission.instruments.serial_port import serial_lines as lines

    return lines(name, speed, tell, sleep=sleep or time.sleep)


def warm(modules: Iterable[str] = ()) -> threading.Thread:
    """Import in the background what the next screens need, after the first one is painted: what all use, and more."""
    thread = threading.Thread(target=_import_heavy, args=(tuple(modules),), name="warm-up", daemon=True)
    thread.start()
    return thread


def _import_heavy(modules: tuple[str, ...]) -> None:
    import importlib

    for name in ("sqlite_utils", "commission.units.registry", "pint", "scipy.special", *modules):
        importlib.import_module(name)
