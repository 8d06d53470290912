"""``commission finding`` and ``cure``: faults that were found after a hold, with what was done about them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError, UnknownName
from commission.bench.defect import cure_deed, found_deed
from commission.shell.console import say
from commission.shell.options import logbook_option, opened_logbook, refuse_read_only
from commission.shell.stored import store
from commission.stages.pressure_hold.work.holds import PLACES, Holds

if TYPE_CHECKING:
    from commission.record.fold import BuildState, Finding


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.argument("note", metavar="NOTE")
@click.option("--where", type=click.Choice(PLACES), required=True, help="Where the fault is.")
@click.option("--part", metavar="NAME", help="Which part of the build it is.")
@logbook_option
def finding(build: str, note: str, where: str, part: str | None) -> None:
    """Record a fault that was found after a hold.

    \b
    Example:
      commission finding "Desk loop" --where seal "bubbles at the lower port"
    """
    with opened_logbook() as opened:
        book = opened.book
        refuse_read_only(book)
        build_id = book.find_build(build)
        part_id = None if part is None else _part(book.build(build_id), part)
        raise_it = partial(book.work(Holds).raise_finding, build_id, where=where, part_id=part_id)
        store(book, found_deed(note, where, lambda found: raise_it(note=found)))
        say('next: "commission cure" records what was done about it')


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
@logbook_option
def cure(build: str, note: str, seq: int | None) -> None:
    """Record what was done about a fault; the next hold shows whether it worked.

    \b
    Example:
      commission cure "Desk loop" "new seal, turned home by hand"
    """
    with opened_logbook() as opened:
        book = opened.book
        refuse_read_only(book)
        build_id = book.find_build(build)
        chosen = _open_finding(book.build(build_id), seq)
        deed = cure_deed(chosen, note, partial(book.work(Holds).cure_finding, build_id))
        store(book, deed, first=f"cured: entry {chosen.seq}: {chosen.told}")
        say("next: hold the pressure again; only that shows whether it worked")


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
