"""``commission bleed``: its start, its cycles, its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.shell.groups import Commands
from commission.shell.recording import recording, records

if TYPE_CHECKING:
    from commission.shell.recording import Recording
    from commission.stages.fill.at_hand import CoolantAtHand


@click.group(cls=Commands, path="bleed")
def bleed() -> None:
    """Record the bleed: its start, each cycle, and its end.

    \b
    Example:
      commission bleed begin "Desk loop" --inlet-covered
      commission bleed cycle "Desk loop" "15 min 12 mL upright few quiet"
      commission bleed end "Desk loop"
    """


@records("BUILD", later="began")
@click.option("--inlet-covered", is_flag=True, help="Say that coolant covers the pump's inlet, level at the mark.")
def begin(build: str, *, inlet_covered: bool, as_json: bool) -> None:
    """Record that the bleed begins: from here on the pump may run. This only records.

    \b
    Example:
      commission bleed begin "Desk loop" --inlet-covered
    """
    from commission.bench.deed import said
    from commission.procedure.model import When
    from commission.record.locks import refuse_pump
    from commission.stages.bleed.work import OF_A_BLEED, Bleeds
    from commission.stages.fill.work.fills import Fills

    if not inlet_covered:
        raise click.UsageError("a pump that runs dry is soon ruined: look at the level, then say --inlet-covered")
    with recording(build, as_json=as_json) as job:
        hand, work = _hand(job), job.book.work(Bleeds)
        refuse_pump(work.unlocked(job.build_id))
        job.print_cautions(hand, When.BEFORE_PUMP, work=job.book.work(Fills))
        job.print_cautions(hand, *OF_A_BLEED)
        job.do(said("the bleed begins now; inlet covered, level at the mark", lambda: work.start(job.build_id)))


@records("BUILD", "LINE...", later="at")
@click.option("--bottle", metavar="NAME", help="Which bottle is topped up from; usual: the one used last.")
def cycle(build: str, lines: tuple[str, ...], bottle: str | None, *, as_json: bool) -> None:
    """Record cycles: minutes run, what was topped up to the mark, position, bubbles, noise.

    \b
    Example:
      commission bleed cycle "Desk loop" "15 min 12 mL upright few gurgling"
      commission bleed cycle "Desk loop" "15 min 0 mL left none quiet"
    """
    from commission.stages.bleed.typed.cycle_deed import cycle_deed, doubt_of, typed_cycle
    from commission.stages.bleed.work import OF_A_BLEED
    from commission.stages.fill.work.fills import Fills

    with recording(build, as_json=as_json) as job:
        hand = _hand(job)
        if bottle is not None:
            hand.take_bottle(job.book.work(Fills).find_bottle(bottle).bottle_id)
        for line in lines:
            typed = typed_cycle(hand, line)
            doubt = doubt_of(hand, typed)
            job.print_cautions(hand, *OF_A_BLEED)
            job.do(cycle_deed(hand, typed))
            if doubt:
                job.remark(f"{doubt}; the verdict counts no more than that.")
            hand.refresh()


@records("BUILD", later="at")
def end(build: str, *, as_json: bool) -> None:
    """End the bleed and judge it, as it stands.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission bleed end "Desk loop"
    """
    from commission.stages.bleed.work import Bleeds
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        verdict = job.book.work(Bleeds).close(job.build_id)
        job.stored()
        job.judged(verdict.outcome, map(say, verdict.reasons))


def _hand(job: Recording) -> CoolantAtHand:
    from commission.stages.bleed.work import Bleeds
    from commission.stages.fill.at_hand import CoolantAtHand

    return CoolantAtHand(job.book, job.build_id, job.book.work(Bleeds))
