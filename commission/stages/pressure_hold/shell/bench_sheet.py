"""``commission bench-sheet``: one page for paper, where no computer stands at the bench."""

from __future__ import annotations

import click

from commission.base.errors import NotAllowed
from commission.shell.console import say
from commission.shell.options import logbook_option, opened_logbook


@click.command("bench-sheet", no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@logbook_option
def bench_sheet(build: str) -> None:
    """Print the planned hold as one page for paper: plan, cautions, an empty table of readings, room for the verdict.

    Plain text, 80 columns. Nothing is written to the record: type the readings in afterwards, each with the time when
    it was taken, or feed them from a file.

    \b
    Example:
      commission bench-sheet "Desk loop"
    """
    from commission.bench.moment import moment
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.rows.bench_sheet import sheet_lines
    from commission.stages.pressure_hold.rows.plan import plan_pairs
    from commission.stages.pressure_hold.shell.caution_text import caution_lines

    with opened_logbook(read_only=True) as opened:
        hand = HoldAtHand(opened.book, opened.book.find_build(build))
        plan = hand.last_plan
        if plan is None:
            raise NotAllowed(f'"{build}" has no plan of a hold yet; "commission plan" makes one')
        cautions = (line.removeprefix("caution: ") for line in caution_lines(hand.stage, hand.state.tested_parts, plan))
        title = f"{hand.state.name}, attempt {hand.hold.attempt}"
        now = opened.book.clock.now()
        told = f"as logged up to entry {opened.book.head().seq}, printed {moment(now.wall_ms, now.offset_min)}"
        for line in sheet_lines(title, told, plan, plan_pairs(plan), cautions):
            say(line)
