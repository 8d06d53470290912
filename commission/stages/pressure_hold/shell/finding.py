"""``commission hold-defect``: what was found after a hold that failed."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import click

from commission.base.errors import UnknownName
from commission.bench.defect import found_deed
from commission.shell.recording import recording, records
from commission.stages.pressure_hold.work.holds import PLACES, Holds

if TYPE_CHECKING:
    from commission.record.fold import BuildState


@records("BUILD", name="hold-defect")
@click.argument("note", metavar="NOTE")
@click.option("--where", type=click.Choice(PLACES), required=True, help="Where the defect is.")
@click.option("--part", metavar="NAME", help="Which part of the build it is.")
def hold_defect(build: str, note: str, where: str, part: str | None, *, as_json: bool) -> None:
    """Record a defect that was found after a hold.

    \b
    Example:
      commission hold-defect "Desk loop" --where seal "bubbles at the lower port"
    """
    with recording(build, as_json=as_json) as job:
        part_id = None if part is None else _part(job.book.build(job.build_id), part)
        raise_it = partial(job.book.work(Holds).raise_finding, job.build_id, where=where, part_id=part_id)
        job.do(found_deed(note, where, lambda found: raise_it(note=found)))
        job.say('next: "commission repaired" records what was done about it')


def _part(state: BuildState, name: str) -> str:
    wanted = " ".join(name.casefold().split())
    for part in state.parts:
        if part.name.casefold() == wanted:
            return part.part_id
    known = ", ".join(f'"{part.name}"' for part in state.parts) or "none yet"
    raise UnknownName(f'there is no part "{name}" in this build; there are: {known}')
