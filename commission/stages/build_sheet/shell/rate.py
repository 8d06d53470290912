"""``commission rate``: the pressure rating of a part, or that it is left out of the pressure test."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.errors import UnknownName
from commission.shell.recording import recording, records
from commission.stages.build_sheet.work import Sheet

if TYPE_CHECKING:
    from commission.record.fold import BuildState


@records("BUILD")
@click.argument("part", metavar="PART")
@click.argument("rating", metavar="[RATING]", required=False)
@click.option("--left-out", "reason", metavar="WHY", help="Leave the part out of the pressure test, and why.")
def rate(build: str, part: str, rating: str | None, reason: str | None, *, as_json: bool) -> None:
    """Record which pressure the maker of a part allows, or that no test pressure reaches it.

    No hold and no squeeze starts while a part in its way has no rating. Nothing is proved of a part that is left out,
    and the verdict says so.

    \b
    Example:
      commission rate "Desk loop" reservoir "0.7 bar"
      commission rate "Desk loop" reservoir --left-out "glass, no data sheet"
    """
    from commission.base.quantity import Quantity
    from commission.units.parse import parse

    if (rating is None) == (reason is None):
        raise click.UsageError('type either a rating, such as "0.7 bar", or --left-out and why')
    with recording(build, as_json=as_json) as job:
        book, build_id = job.book, job.build_id
        before = book.build(build_id)
        part_id = _part_of(before, part)
        if reason is not None:
            book.work(Sheet).leave_out(build_id, part_id, reason)
        else:
            book.work(Sheet).rate_part(build_id, part_id, parse(rating or "", Quantity.GAUGE_PRESSURE))
        job.stored()
        if part_id in before.left_out and part_id not in book.build(build_id).left_out:
            job.say("next: open this part to the test pressure and hold again; the last hold did not test it")


def _part_of(state: BuildState, name: str) -> str:
    """Return the id of the part of that name."""
    found = [part.part_id for part in state.parts if part.name.casefold() == name.strip().casefold()]
    if len(found) != 1:
        names = ", ".join(f'"{part.name}"' for part in state.parts) or "none"
        raise UnknownName(f'"{name}" is no part of this loop; its parts: {names}')
    return found[0]
