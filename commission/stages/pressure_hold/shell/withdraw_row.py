"""``commission withdraw-row``: a fed row of a running hold no longer counts."""

from __future__ import annotations

import click

from commission.shell.recording import recording, records


@records("BUILD", name="withdraw-row")
@click.argument("number", metavar="N", type=click.IntRange(min=1))
@click.option("--reason", required=True, help="Why the row is wrong.")
def withdraw_row(build: str, number: int, reason: str, *, as_json: bool) -> None:
    """Withdraw a wrong row that was fed to the running hold; it stays in the record and no longer counts.

    N is the number that "commission feed" told when it stored the row. The verdict tells what was withdrawn. Feed the
    right row behind it, with a time of its own.

    \b
    Example:
      commission withdraw-row "Desk loop" 7 --reason "typed 50 for 500"
    """
    from commission.stages.pressure_hold.work.fed_rows import FedRows

    with recording(build, as_json=as_json) as job:
        job.book.work(FedRows).withdraw(job.build_id, number, reason)
        job.stored()
        job.say(f"withdrawn: row {number} of the hold")
