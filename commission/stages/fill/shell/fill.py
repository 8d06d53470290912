"""``commission fill``: steps, reservoir, level and the end of the fill; amounts have a command of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.shell.groups import Commands
from commission.shell.recording import recording, records

if TYPE_CHECKING:
    from commission.shell.recording import Recording
    from commission.stages.fill.at_hand import CoolantAtHand


@click.group(cls=Commands, path="fill")
def fill() -> None:
    """Record the fill beside its amounts: steps, reservoir, level, and its end.

    \b
    Example:
      commission amount "Desk loop" "900 mL" --bottle "red can"
      commission fill end "Desk loop"
    """


@records("BUILD", later="at")
@click.argument("step", metavar="STEP")
@click.option("--note", default="", help="What is worth knowing about it.")
@click.option("--all-dry", is_flag=True, help="With look: say that every joint and every paper is dry.")
def step(build: str, step: str, note: str, *, all_dry: bool, as_json: bool) -> None:
    """Record that a step of the fill was done, in their order; an unknown STEP tells which is next.

    \b
    Example:
      commission fill step "Desk loop" protect
      commission fill step "Desk loop" look --all-dry
    """
    from commission.procedure.model import When
    from commission.stages.fill.work.fills import OF_A_FILL, PUMP_STEP
    from commission.stages.fill.work.judged import LOOK_STEP

    if step == LOOK_STEP and not all_dry:
        raise click.UsageError(
            "look at every joint and every paper, then say --all-dry; record what is wet with commission defect"
        )
    with recording(build, as_json=as_json) as job:
        hand = _hand(job)
        job.print_cautions(hand, *OF_A_FILL)
        if hand.work.missing_steps(hand.state)[:1] == (step,) == (PUMP_STEP,):
            job.print_cautions(hand, When.BEFORE_PUMP)
        job.do(hand.step_deed(step, note.strip()))


@records("BUILD", "LINE")
def reservoir(build: str, line: str, *, as_json: bool) -> None:
    """Describe the straight part of the reservoir: inner diameter, height, "insert" and "cap" where it has them.

    \b
    Example:
      commission fill reservoir "Desk loop" "60 mm 200 mm cap 30 mL"
    """
    from commission.stages.fill.typed.reservoir import reservoir_deed

    with recording(build, as_json=as_json) as job:
        job.do(reservoir_deed(_hand(job), line))


@records("BUILD", "LINE", later="at")
def level(build: str, line: str, *, as_json: bool) -> None:
    """Record the level in the reservoir and the coolant's temperature there.

    \b
    Example:
      commission fill level "Desk loop" "120 mm 23 degC"
    """
    from commission.procedure.stage_ids import FILL
    from commission.stages.fill.typed.reservoir import level_deed

    with recording(build, as_json=as_json) as job:
        job.do(level_deed(_hand(job), line, stage=FILL))


@records("BUILD", later="at")
def end(build: str, *, as_json: bool) -> None:
    """End the fill and judge it, as it stands.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission fill end "Desk loop"
    """
    from commission.procedure.model import When
    from commission.stages.fill.work.fills import OF_A_FILL, Fills
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand = _hand(job)
        job.print_cautions(hand, *OF_A_FILL)
        verdict = job.book.work(Fills).close(job.build_id)
        job.stored()
        job.judged(verdict.outcome, map(say, verdict.reasons))
        job.print_cautions(hand, When.AFTER_VERDICT)


def _hand(job: Recording) -> CoolantAtHand:
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.work.fills import Fills

    return CoolantAtHand(job.book, job.build_id, job.book.work(Fills))
