"""``commission defect`` and ``repaired``: what went wrong at any stage, and what was done about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError, UnknownName
from commission.base.quantity import Measured, Quantity
from commission.record.mishap import Mishap
from commission.shell.console import say, tell
from commission.shell.quantity_type import AmountType
from commission.shell.recording import recording, records

if TYPE_CHECKING:
    from commission.record.fold import BuildState, Finding


@records("BUILD", later="at")
@click.argument("what", metavar="WHAT", type=click.Choice([str(each) for each in Mishap]))
@click.argument("seen", metavar="SEEN")
@click.option("--where", required=True, help="The part, joint or place.")
@click.option("--amount", type=AmountType(Quantity.VOLUME), help="About how much came out.")
@click.option("--from-bottle", is_flag=True, help="A spill beside the loop, from the bottle: no proof is lost.")
@click.option("--on-electronics", is_flag=True, help="Coolant reached a board, card, drive, supply or plug.")
def defect(
    build: str,
    what: str,
    seen: str,
    where: str,
    amount: Measured | None,
    from_bottle: bool,
    on_electronics: bool,
    as_json: bool,
) -> None:
    """Record what went wrong: leak, spill, smoke or burst; what to do first is printed.

    What it undoes is stale from then on, and has to be proved again.

    \b
    Example:
      commission defect "Desk loop" leak "drips" --where "lower port"
      commission defect "Desk loop" spill "under the filler" --where bench \\
        --amount "5 mL" --from-bottle
    """
    from commission.bench.mishap.cards import HURT, MISHAPS, OUT_OF_REACH
    from commission.record.mishaps import Mishaps

    mishap = Mishap(what)
    card = MISHAPS[mishap]
    for line in (HURT, *(f"{number}: {text}" for number, text in enumerate(card.actions, 1)), OUT_OF_REACH):
        (tell if as_json else say)(line)
    with recording(build, as_json=as_json) as job:
        book, build_id = job.book, job.build_id
        with job.telling_stages():
            stored = book.work(Mishaps).note(
                build_id,
                mishap,
                where=where,
                seen=seen,
                from_bottle=from_bottle,
                on_electronics=on_electronics,
                amount=amount,
            )
            job.stored()
        if any(finding.seq == stored.seq for finding in book.build(build_id).findings):
            job.say('next: "commission repaired" records what was done about it')


@records("BUILD", later="at")
@click.argument("done", metavar="DONE")
@click.option("--defect", "seq", type=click.IntRange(min=1), help="Number of its entry, where several are open.")
def repaired(build: str, done: str, seq: int | None, *, as_json: bool) -> None:
    """Record what was done about a defect, whichever stage found it.

    Only the stage that is done again shows whether it worked.

    \b
    Example:
      commission repaired "Desk loop" "new seal, turned home by hand"
    """
    from commission.record.mishaps import Mishaps

    with recording(build, as_json=as_json) as job:
        chosen = _chosen(job.book.build(job.build_id), seq)
        job.book.work(Mishaps).repaired(job.build_id, chosen.raised.finding_id, done)
        job.say(f"repaired: entry {chosen.seq}: {chosen.told}")


def _chosen(state: BuildState, seq: int | None) -> Finding:
    """Return the defect that is meant: by its number, or the only open one."""
    found = state.open_findings if seq is None else tuple(one for one in state.findings if one.seq == seq)
    if len(found) == 1:
        return found[0]
    if not found:
        missing = "no defect is open in this build" if seq is None else f"entry {seq} is no defect of this build"
        raise UnknownName(f'{missing}; "commission show" lists them')
    listed = ", ".join(f"{one.seq} ({one.told})" for one in found)
    raise InputError(f"several defects are open; type --defect and one of {listed}")
