"""``commission rests``: what each proof rests on, and what each kind of entry takes."""

from __future__ import annotations

import click

from commission.bench.json_line import json_line
from commission.bench.rests import rest_lines, rests
from commission.shell.console import say
from commission.shell.groups import job_here


@click.command("rests")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def rests_on(*, as_json: bool) -> None:
    """Print what each stage rests on, and which verdicts each kind of entry takes.

    A verdict that was taken is stale: what it proved has to be shown again. "commission show BUILD" says of each proof
    which entries would undo it, or which one did.

    \b
    Example:
      commission rests
      commission rests --json
    """
    from commission.procedure.load import load_procedure

    job = job_here()
    table = rests(job.registry(), load_procedure(job.procedure()))
    if as_json:
        say(json_line(table))
        return
    for line in rest_lines(table):
        say(line)
