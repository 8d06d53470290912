"""``commission report``: a build as a report to hand over, from the record alone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.shell.groups import job_here
from commission.shell.options import opened_logbook
from commission.shell.recording import Recording, records

if TYPE_CHECKING:
    from commission.report.handed_out import HandedOut


@records("BUILD")
@click.option(
    "-o",
    "--output",
    "path",
    metavar="FILE",
    type=click.Path(path_type=Path),
    required=True,
    help="A new file; its ending says what is written: .html, .pdf, .json or .txt.",
)
@click.option("--entry", type=click.IntRange(min=1), help="Make the report up to this entry once more; store nothing.")
@click.option("--why", default="", help="Why it replaces the report before; wanted where there is one.")
def report(build: str, path: Path, entry: int | None, why: str, *, as_json: bool) -> None:
    """Write a report of one build to a new FILE, and record that it was handed out.

    It begins with where all stages stand, and says "Not ready to hand over" where one is open. Its number names the
    last entry that it tells of: with --entry the same report is made again, byte for byte by the same version. The
    digest that is recorded is SHA-256 of the .json file. Where the logbook cannot be written it is a draft. A .pdf
    wants the extra pdf.

    \b
    Example:
      commission report "Desk loop" -o desk.html
      commission report "Desk loop" -o desk.pdf
      commission report "Desk loop" -o desk.json --entry 251
      commission report "Desk loop" -o desk2.html --why "fill measured again"
    """
    from commission.report.handed_out import hand_out, hand_out_again

    if entry is not None and why:
        raise click.UsageError("with --entry leave --why out: a report that is made again replaces nothing")
    with opened_logbook(read_only=entry is not None) as opened:
        book, faces = opened.book, job_here().stages()
        job = Recording(book, book.find_build(build), as_json=as_json)
        if entry is None:
            done = hand_out(book, faces, job.build_id, path, why)
        else:
            done = hand_out_again(book, faces, job.build_id, path, entry)
        _tell(job, done, path)
        job.end()


def _tell(job: Recording, done: HandedOut, path: Path) -> None:
    job.say(f"report: {done.report.number}{' DRAFT' if done.report.draft else ''}, {path}")
    job.say(f"stands: {done.report.stands}")
    if done.report.replaces:
        job.say(f"replaces: {done.report.replaces}")
    job.say(f"digest: {done.digest}")
    job.stored()
    if done.remark:
        job.remark(done.remark)
