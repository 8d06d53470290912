"""``commission finding`` and ``cure``: faults that were found after a hold, with what was done about them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError, UnknownName
from commission.bench.defect import cure_deed, found_deed
from commission.shell.options import logbook_option
from commission.shell.recording import json_option, recording
from commission.stages.pressure_hold.work.holds import PLACES, Holds

if TYPE_CHECKING:
    from commission.record.fold import BuildState, Finding


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.argument("note", metavar="NOTE")
@click.option("--where", type=click.Choice(PLACES), required=True, help="Where the fault is.")
@click.option("--part", metavar="NAME", help="Which part of the build it is.")
@json_option
@logbook_option
def finding(build: str, note: str, where: str, part: str | None, *, as_json: bool) -> None:
    """Record a fault that was found after a hold.

    \b
    Example:
      commission finding "Desk loop" --where seal "bubbles at the lower port"
    """
    with recording(build, as_json=as_json) as job:
        part_id = None if part is None else _part(job.book.build(job.build_id), part)
        raise_it = partial(job.book.work(Holds).raise_finding, job.build_id, where=where, part_id=part_id)
        job.do(found_deed(note, where, lambda found: raise_it(note=found)))
        job.say('next: "commission cure" records what was done about it')


def _part(state: BuildState, name: str) -> str:
    wanted = " ".join(name.casefold().split())
    for part in state.parts:
        if part.name.casefold() == wanted:
            return part.part_id
    known = ", ".join(f'"{part.name}"' for part in state.parts) or "none yet"
    raise UnknownName(f'there is no part "{name}" in this build; there are: {known}')


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.argument("note", metavar="NOTE")
@click.option("--finding", "seq", type=click.IntRange(min=1), help="Number of its entry, where several are open.")
@json_option
@logbook_option
def cure(build: str, note: str, seq: int | None, *, as_json: bool) -> None:
    """Record what was done about a fault; the next hold shows whether it worked.

    \b
    Example:
      commission cure "Desk loop" "new seal, turned home by hand"
    """
    with recording(build, as_json=as_json) as job:
        chosen = _open_finding(job.book.build(job.build_id), seq)
        deed = cure_deed(chosen, note, partial(job.book.work(Holds).cure_finding, job.build_id))
        job.do(deed, understood=f"entry {chosen.seq}, {chosen.told}; cure: {deed.told}")
        job.say("next: hold the pressure again; only that shows whether it worked")


def _open_finding(state: BuildState, seq: int | None) -> Finding:
    """Return the finding that is meant: by its number, or the only open one."""
    found = state.open_findings if seq is None else tuple(one for one in state.findings if one.seq == seq)
    if len(found) == 1:
        return found[0]
    if not found:
        missing = (
            "there is no open finding in this build" if seq is None else f"entry {seq} is no finding of this build"
        )
        raise UnknownName(f'{missing}; "commission finding" records one')
    listed = ", ".join(f"{one.seq} ({one.raised.where})" for one in found)
    raise InputError(f"several findings are open; type --finding and one of {listed}")
