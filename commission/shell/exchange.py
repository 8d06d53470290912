"""``commission export`` and ``commission import``: the whole record as lines of JSON, out and in."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.errors import FileError
from commission.base.text import counted
from commission.bench.build_facts import last_text
from commission.shell.console import say
from commission.shell.options import chosen_logbook, logbook_option, opened_logbook

if TYPE_CHECKING:
    from commission.record.arrival import Arrival


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"


@click.command("export")
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--build", metavar="BUILD", help="Only this build, as a file that another logbook merges.")
@click.option("--tables", is_flag=True, help="Write tables: FILE is a new folder of CSV, or a name ending in .sqlite.")
@logbook_option
def export_record(target: Path, build: str | None, *, tables: bool) -> None:
    """Write the whole record to a new FILE as lines of JSON; - writes to standard output.

    The file is there whole and on the disk, readable by its owner only, or not there at all. With --tables other
    programs read it: a table for each kind of entry, figures with their units, withdrawn rows marked. A text that a
    spreadsheet would take for a formula has a ' before it in CSV. The lines of JSON alone hold everything.

    \b
    Example:
      commission export backup.jsonl
      commission export --build "Desk loop" desk.jsonl
      commission export --tables desk-tables
      commission export --tables desk.sqlite
    """
    from commission.bootstrap import export_build, export_bundle, export_file, export_tables

    if build is not None and (tables or str(target) == "-"):
        raise click.UsageError("with --build name a new FILE, and leave --tables out")
    with opened_logbook(read_only=True) as opened:
        if tables:
            say(f"exported: {export_tables(opened, target)} tables to {target}")
            return
        if str(target) == "-":
            sys.stdout.writelines(export_bundle(opened))
            return
        if build is None:
            head = export_file(opened, target)
        else:
            head = export_build(opened, opened.book.find_build(build), target)
    say(f"exported: {_entries(head.seq)} to {target}")
    say(f"last digest: {last_text(head)}")


AS_STORED = click.option(
    "--as-stored", is_flag=True, help="Take verdicts of another version that this one would not give as they stand."
)

OWN_PROCEDURE = click.option(
    "--own-procedure",
    is_flag=True,
    help="Take builds judged by a procedure that somebody changed; all that is shown says so.",
)


@click.command("import")
@click.argument("source", metavar="FILE", type=click.Path(path_type=Path))
@AS_STORED
@OWN_PROCEDURE
@click.option("--dry-run", is_flag=True, help="Say what would come in and every refusal; change nothing.")
@logbook_option
def import_record(source: Path, *, as_stored: bool, own_procedure: bool, dry_run: bool) -> None:
    """Make a new logbook from an exported FILE: all of it, checked, or nothing.

    Each verdict is judged again. One that says more than what stands before it is refused; where another version of
    this program gave it, its rules may have been others, and --as-stored takes it. Locks and limits are those of a
    procedure that ships, or --own-procedure takes others; verdicts, list, show and report then say so.

    FILE may be a logbook as well. Into a logbook that is there "commission merge" takes it.

    \b
    Example:
      commission import backup.jsonl --logbook restored.logbook
      commission import backup.jsonl --dry-run
    """
    from commission.bootstrap import default_path, import_bundle, look_at_import
    from commission.shell.groups import job_here

    target = chosen_logbook() or default_path()
    with _there(source):
        if dry_run:
            _say_arrival(
                look_at_import(source, target, job_here().registry(), as_stored=as_stored, own_procedure=own_procedure),
                dry=True,
            )
            return
        told = import_bundle(source, target, job_here().registry(), as_stored=as_stored, own_procedure=own_procedure)
    for line in told:
        say(f"kept as stored: {line}")
    say(f"imported: {source}")
    say(f"logbook: {target}")


@click.command()
@click.argument("source", metavar="FILE", type=click.Path(path_type=Path))
@AS_STORED
@OWN_PROCEDURE
@click.option("--dry-run", is_flag=True, help="Say what would come in and every refusal; change nothing.")
@logbook_option
def merge(source: Path, *, as_stored: bool, own_procedure: bool, dry_run: bool) -> None:
    """Take what FILE has more into the logbook: all of it, checked, or nothing.

    FILE is an exported file or another logbook of the same workshop. A build that went on at another bench goes on
    here. Where both went on by themselves nothing is taken, and the entries are named. A second time changes nothing.
    Who works stays who it was here. Entries get new numbers here: a report that was handed out keeps those of the
    logbook where it was made.

    \b
    Example:
      commission merge laptop.logbook
      commission merge laptop.jsonl --dry-run
    """
    from commission.bootstrap import merge_logbook
    from commission.shell.groups import job_here

    with opened_logbook(read_only=True) as opened:
        path, operator = opened.path, opened.book.shop().operator
    with _there(source):
        arrival = merge_logbook(
            source, path, job_here().registry(), operator, dry=dry_run, as_stored=as_stored, own_procedure=own_procedure
        )
    _say_arrival(arrival, dry=dry_run)
    if not dry_run:
        say(f"last digest: {last_text(arrival.head)}")


@contextmanager
def _there(source: Path) -> Iterator[None]:
    try:
        yield
    except FileNotFoundError:
        raise FileError(f"there is no file {source}; check its name") from None


def _say_arrival(arrival: Arrival, *, dry: bool) -> None:
    """Tell what came in, or would; raises FileError where something is refused."""
    for name, count in arrival.builds:
        say(f"build: {name}; {f'{_entries(count)} new' if count else 'nothing new'}")
    say(f"{'would come in' if dry else 'came in'}: {_entries(arrival.entries)}, {counted(arrival.readings, 'reading')}")
    for line in arrival.told:
        say(f"kept as stored: {line}")
    for refusal in arrival.refusals:
        say(f"refused: {refusal}")
    if arrival.refusals:
        raise FileError(f"{counted(len(arrival.refusals), 'refusal')}: nothing would come in")


@click.command()
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
@logbook_option
def copy(target: Path) -> None:
    """Copy the logbook to a new FILE, also while a window writes; the copy is checked as verify does.

    It is a logbook like the first: a backup, or a file for other programs to read. Never point those at the logbook
    itself: a program that reads it can make a reading wait, and one that writes to it spoils it.

    \b
    Example:
      commission copy backup.logbook
    """
    from commission.bootstrap import copy_logbook

    with opened_logbook(read_only=True) as opened:
        head = copy_logbook(opened, target)
    say(f"copied: {_entries(head.seq)} to {target}")
    say(f"last digest: {last_text(head)}")
