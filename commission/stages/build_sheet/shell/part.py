"""``commission part`` and ``commission parts``: what the loop is made of."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.shell.recording import of_file, recording, records
from commission.stages.build_sheet.work import Sheet

if TYPE_CHECKING:
    from commission.record.logbook import Logbook


@records("BUILD")
@click.argument("what", metavar="PART")
@click.option("--size", metavar="SIZE", help='Inner diameter x length of a tube, such as "10 mm x 1.2 m".')
@click.option("--volume", metavar="VOLUME", help='Internal volume of one, such as "320 mL +- 5 %".')
@click.option("--rating", metavar="PRESSURE", help='Highest gauge pressure its maker allows, or "unknown".')
@click.option("--wetted", metavar="MATERIALS", help='What touches the coolant, such as "copper, nickel".')
@click.option("--name", metavar="NAME", help="What it is called.")
def part(build: str, what: str, *, as_json: bool, **figures: str | None) -> None:
    """Add a part to the parts list.

    PART is such as "radiator 360", "3 x radiator 240" or "tube 10 mm x 1.2 m". What is not typed is the usual
    figure of such a part, and counts as assumed.

    \b
    Example:
      commission part "Desk loop" "radiator 360" --rating "0.8 bar"
    """
    from commission.stages.build_sheet.card.add import add_deed

    changes = tuple(f"{word} {typed}" for word, typed in figures.items() if typed is not None)
    with recording(build, as_json=as_json) as job:
        job.do(add_deed(job.book, job.build_id, what, changes))
        for warning in _warnings(job.book, job.build_id):
            job.remark(warning)


@records("BUILD", "FILE")
def parts(build: str, file: str, *, as_json: bool) -> None:
    """Add the parts of a file to the parts list: all rows are read before the first is stored.

    FILE is a table with the columns part, and where known size, volume, rating, wetted, name; a lone - reads standard
    input.

    \b
    Example:
      commission parts "Desk loop" parts.csv
    """
    from commission.stages.build_sheet.card.add import parts_deeds

    with recording(build, as_json=as_json) as job:
        with of_file(file):
            deeds = parts_deeds(job.book, job.build_id, Path(file))
        for deed in deeds:
            job.do(deed)
        for warning in _warnings(job.book, job.build_id):
            job.remark(warning)


@records("BUILD", name="part-edit")
@click.argument("named", metavar="PART")
@click.option("--size", metavar="SIZE", help='Inner diameter x length of a tube, such as "10 mm x 1.2 m".')
@click.option("--volume", metavar="VOLUME", help='Internal volume, such as "320 mL +- 5 %".')
@click.option("--rating", metavar="PRESSURE", help='Highest gauge pressure its maker allows, or "unknown".')
@click.option("--wetted", metavar="MATERIALS", help='What touches the coolant, such as "copper, nickel".')
@click.option("--name", metavar="NAME", help="What it is called from now on.")
def part_edit(build: str, named: str, *, as_json: bool, **figures: str | None) -> None:
    """Describe a part of the list again, before any hold was started; what stood there stays in the record.

    \b
    Example:
      commission part-edit "Desk loop" "radiator 360" --volume "310 mL"
    """
    from commission.stages.build_sheet.card.add import correct_deed

    changes = tuple(f"{word} {typed}" for word, typed in figures.items() if typed is not None)
    if not changes:
        raise click.UsageError("say what is different, such as --volume")
    with recording(build, as_json=as_json) as job:
        job.do(correct_deed(job.book, job.build_id, named, changes))


@records("BUILD", name="part-out")
@click.argument("name", metavar="PART")
@click.option("--reason", required=True, help="Why it is taken out.")
def part_out(build: str, name: str, reason: str, *, as_json: bool) -> None:
    """Take a part off the parts list, with a reason; what was recorded of it stays.

    \b
    Example:
      commission part-out "Desk loop" "radiator 360" --reason "bent fins"
    """
    from commission.bench.deed import said
    from commission.stages.build_sheet.card.add import part_named

    with recording(build, as_json=as_json) as job:
        found = part_named(job.book.build(job.build_id), name)
        job.do(
            said(
                f"taken out: {found.name}",
                lambda: job.book.work(Sheet).remove_part(job.build_id, found.part_id, reason),
            )
        )


def _warnings(book: Logbook, build_id: str) -> list[str]:
    from commission.units.show import say

    return [say(phrase) for phrase in book.work(Sheet).warnings(book.build(build_id))]
