"""``commission export`` and ``commission import``: the whole record as lines of JSON, out and in."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from commission.base.errors import FileError
from commission.bench.build_facts import last_text
from commission.shell.console import say
from commission.shell.options import chosen_logbook, logbook_option, opened_logbook


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"


@click.command("export")
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--tables", is_flag=True, help="Write tables: FILE is a new folder of CSV, or a name ending in .sqlite.")
@logbook_option
def export_record(target: Path, *, tables: bool) -> None:
    """Write the whole record to a new FILE as lines of JSON; - writes to standard output.

    The file is there whole and on the disk, readable by its owner only, or not there at all. With --tables other
    programs read it: a table for each kind of entry, figures with their units, withdrawn rows marked. A text that a
    spreadsheet would take for a formula has a ' before it in CSV. The lines of JSON alone hold everything.

    \b
    Example:
      commission export backup.jsonl
      commission export --tables desk-tables
      commission export --tables desk.sqlite
    """
    from commission.bootstrap import export_bundle, export_file, export_tables

    with opened_logbook(read_only=True) as opened:
        if tables:
            say(f"exported: {export_tables(opened, target)} tables to {target}")
            return
        if str(target) == "-":
            sys.stdout.writelines(export_bundle(opened))
            return
        head = export_file(opened, target)
    say(f"exported: {_entries(head.seq)} to {target}")
    say(f"last digest: {last_text(head)}")


@click.command("import")
@click.argument("source", metavar="FILE", type=click.Path(path_type=Path))
@logbook_option
def import_record(source: Path) -> None:
    """Make a new logbook from an exported FILE: all of it, checked, or nothing.

    \b
    Example:
      commission import backup.jsonl --logbook restored.logbook
    """
    from commission.bootstrap import default_path, import_bundle
    from commission.shell.groups import job_here

    target = chosen_logbook() or default_path()
    try:
        import_bundle(source, target, job_here().registry())
    except FileNotFoundError:
        raise FileError(f"there is no file {source}; check its name") from None
    say(f"imported: {source}")
    say(f"logbook: {target}")


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
