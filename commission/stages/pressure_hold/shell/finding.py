"""``commission hold-defect``: what was found after a hold that failed."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import click

from commission.base.errors import UnknownName
from commission.bench.defect import found_deed
from commission.shell.recording import recording, records
from commission.stages.pressure_hold.work.holds import PLACES, Holds
from commission.stages.pressure_hold.work.searches import RIG

if TYPE_CHECKING:
    from commission.record.fold import BuildState


@records("BUILD", name="hold-defect", later="at")
@click.argument("note", metavar="NOTE")
@click.option("--where", metavar="PLACE", required=True, help=f"A part, a joint, or one of {', '.join(PLACES)}.")
@click.option("--part", metavar="NAME", help="Which part of the build it is.")
def hold_defect(build: str, note: str, where: str, part: str | None, *, as_json: bool) -> None:
    """Record a defect that was found after a hold.

    \b
    Example:
      commission hold-defect "Desk loop" --where seal "bubbles at the lower port"
    """
    with recording(build, as_json=as_json) as job:
        kind, part_id = _place(job.book.build(job.build_id), where, part)
        if kind == "unknown" and where.casefold().strip() != kind and note.strip():
            note = f"{' '.join(where.split())}: {note.strip()}"
        raise_it = partial(job.book.work(Holds).raise_finding, job.build_id, where=kind, part_id=part_id)
        job.do(found_deed(note, where, lambda found: raise_it(note=found)))
        job.say('next: "commission repaired" records what was done about it')


def _place(state: BuildState, where: str, part: str | None) -> tuple[str, str | None]:
    """Return the kind of place, and the id of the part where one is named; any other place is one in words."""
    wanted = " ".join(where.casefold().split())
    if part is not None and wanted not in PLACES:
        raise UnknownName(f'with --part, --where is one of {", ".join(PLACES)}, not "{where}"')
    if wanted in PLACES:
        return wanted, None if part is None else _part(state, part)
    if wanted == RIG:
        return "rig", None
    if any(one.name.casefold() == wanted for one in state.parts):
        return "part", _part(state, where)
    return "unknown", None


def _part(state: BuildState, name: str) -> str:
    wanted = " ".join(name.casefold().split())
    for part in state.parts:
        if part.name.casefold() == wanted:
            return part.part_id
    known = ", ".join(f'"{part.name}"' for part in state.parts) or "none yet"
    raise UnknownName(f'there is no part "{name}" in this build; there are: {known}')
