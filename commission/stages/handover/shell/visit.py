"""``commission visit``: a service visit, what was done on it, and its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.shell.groups import Commands
from commission.shell.recording import recording, records

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.bench.deed import Deed
    from commission.stages.fill.at_hand import CoolantAtHand


@click.group(cls=Commands, path="visit")
def visit() -> None:
    """Record a service visit: why it began, what was done, and that the machine goes back.

    \b
    Example:
      commission visit begin "Desk loop" "yearly service" --plug-out
      commission visit top-up "Desk loop" "12 mL"
      commission visit end "Desk loop"
    """


@records("BUILD", "WHY", later="at")
@click.option("--plug-out", is_flag=True, help="Say that the machine is off and its mains plug out.")
def begin(build: str, why: str, *, plug_out: bool, as_json: bool) -> None:
    """Record that a service visit begins. The cautions are printed before anything is opened.

    \b
    Example:
      commission visit begin "Desk loop" "first look" --plug-out
    """
    from commission.procedure.model import When
    from commission.stages.handover.card.deeds import at_hand, visit_deed

    if not plug_out:
        raise click.UsageError("shut the machine down and pull its mains plug, then say --plug-out")
    with recording(build, as_json=as_json) as job:
        hand = at_hand(job.book, job.build_id)
        job.do(visit_deed(hand, why))
        job.print_cautions(hand, When.BEFORE_SERVICE)


@records("BUILD", "LINE", later="at")
def top_up(build: str, line: str, *, as_json: bool) -> None:
    """Record a top-up to the mark; it is told whether that much is usual.

    \b
    Example:
      commission visit top-up "Desk loop" "12 mL from clear premix"
    """
    from commission.stages.handover.card.deeds import top_up_deed

    _do(build, lambda hand: top_up_deed(hand, line), as_json=as_json)


@records("BUILD", later="at")
@click.argument("note", metavar="[SEEN]", default="")
def looked(build: str, note: str, *, as_json: bool) -> None:
    """Record a look at level and joints, and what was seen; what is wet opens a defect, as "commission defect" does.

    \b
    Example:
      commission visit looked "Desk loop" "all dry, level 4 mm down"
    """
    from commission.stages.handover.card.deeds import done_deed
    from commission.stages.handover.model import ServiceItem

    _do(build, lambda hand: done_deed(hand, ServiceItem.LOOK, note), as_json=as_json)


@records("BUILD", later="at")
@click.argument("note", metavar="[SEEN]", default="")
def cleaned(build: str, note: str, *, as_json: bool) -> None:
    """Record that filters and radiators were cleaned.

    \b
    Example:
      commission visit cleaned "Desk loop" "front filter was full"
    """
    from commission.stages.handover.card.deeds import done_deed
    from commission.stages.handover.model import ServiceItem

    _do(build, lambda hand: done_deed(hand, ServiceItem.CLEANING, note), as_json=as_json)


@records("BUILD", "LINE", later="at")
def changed(build: str, line: str, *, as_json: bool) -> None:
    """Record that a part was changed for another of its kind, and why; which proofs that takes is told.

    A part of the loop takes all proofs, a fan its sweep and the soak, the supply all under power, paste the soak.

    \b
    Example:
      commission visit changed "Desk loop" "front fans: a bearing rattles"
      commission visit changed "Desk loop" "paste cpu: dried out"
    """
    from commission.stages.handover.card.deeds import changed_deed

    _do(build, lambda hand: changed_deed(hand, line), as_json=as_json)


@records("BUILD", "LINE", later="at")
def drained(build: str, line: str, *, as_json: bool) -> None:
    """Record that coolant was let out; the fill is then done again.

    \b
    Example:
      commission visit drained "Desk loop" "850 mL"
    """
    from commission.stages.handover.card.deeds import drained_deed

    _do(build, lambda hand: drained_deed(hand, line), as_json=as_json)


@records("BUILD", later="at")
@click.option("--no-look", is_flag=True, help="Say that it goes back without the look that is due.")
def end(build: str, *, no_look: bool, as_json: bool) -> None:
    """Record that the machine goes back; refused while a proof is missing, and the next thing to do is told.

    Where a look at level and joints is due and none was logged, it is refused without --no-look.

    \b
    Example:
      commission visit end "Desk loop"
    """
    from commission.bench.doubt import refuse_unsaid
    from commission.stages.handover.card.deeds import back_deed, look_missing

    about = refuse_unsaid(no_look, "--no-look")
    _do(build, lambda hand: about(back_deed(hand), look_missing(hand)), as_json=as_json)


def _do(build: str, deed_of: Callable[[CoolantAtHand], Deed], *, as_json: bool) -> None:
    """Do what a line means, and tell which stages no longer count by it."""
    from commission.stages.handover.card.deeds import at_hand

    with recording(build, as_json=as_json) as job:
        deed = deed_of(at_hand(job.book, job.build_id))
        with job.telling_stages():
            job.do(deed)
            if deed.calls:
                job.leak(where=deed.at or "place not named", seen=deed.seen)
