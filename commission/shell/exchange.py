"""``commission export`` and ``commission import``: the whole record as lines of JSON, out and in."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from commission.base.errors import FileError
from commission.bench.build_facts import last_text
from commission.shell.console import say
from commission.shell.options import chosen_logbook, logbook_option, opened_logbook


@click.command("export")
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
@logbook_option
def export_record(target: Path) -> None:
    """Write the whole record to a new FILE as lines of JSON; - writes to standard output.

    The file is there whole and on the disk, readable by its owner only, or not there at all.

    \b
    Example:
      commission export backup.jsonl
    """
    from commission.bootstrap import export_bundle, export_file

    with opened_logbook(read_only=True) as opened:
        if str(target) == "-":
            sys.stdout.writelines(export_bundle(opened))
            return
        head = export_file(opened, target)
    say(f"exported: {'1 entry' if head.seq == 1 else f'{head.seq} entries'} to {target}")
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
