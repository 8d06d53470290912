"""``commission due``: what is due in the years after handover, on every machine."""

from __future__ import annotations

import click

from commission.bench.json_line import json_line
from commission.shell.console import say
from commission.shell.options import logbook_option, read_logbook


@click.command()
@click.option("--within", metavar="TIME", help="Only what is due within this time, such as 30d; what is overdue, too.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@logbook_option
@click.pass_context
def due(context: click.Context, within: str | None, *, as_json: bool) -> None:
    """List looks, cleanings, coolant changes and soaks that are due on machines that were handed over.

    \b
    Exit status: 0 nothing is due, 1 something is listed with --within or is
                 overdue, 2 the time or the logbook cannot be read.

    \b
    Example:
      commission due
      commission due --within 30d --json
    """
    from commission.stages.handover.rows.due_json import due_line, due_told
    from commission.stages.handover.typed.spares import read_within

    within_s = None if within is None else read_within(within)
    with read_logbook() as opened:
        found = due_told(opened.book, within_s)
    if as_json:
        say(json_line(found))
    elif not found.due:
        say("due: nothing")
    else:
        for one in found.due:
            say(due_line(one))
    context.exit(1 if any(one.days_left < 0 or within_s is not None for one in found.due) else 0)
