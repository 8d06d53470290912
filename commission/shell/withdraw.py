"""``commission withdraw``: a wrong entry stays in the record and no longer counts."""

from __future__ import annotations

import click

from commission.base.errors import UnknownName
from commission.record.payload import kind_shown
from commission.shell.recording import recording, records


@records("BUILD")
@click.argument("seq", metavar="SEQ", type=click.IntRange(min=1))
@click.option("--reason", required=True, help="Why the entry is wrong.")
def withdraw(build: str, seq: int, reason: str, *, as_json: bool) -> None:
    """Withdraw a wrong entry of a build; it stays in the record and no longer counts.

    SEQ is the number of the entry, as "commission show BUILD --entries" lists it. What was judged on it goes stale.

    \b
    Example:
      commission withdraw "Desk loop" 41 --reason "typed 520 for 250"
    """
    with recording(build, as_json=as_json) as job:
        book, build_id = job.book, job.build_id
        entries = book.entries(build_id)
        target = next((entry for entry in entries if entry.seq == seq), None)
        if target is None:
            raise UnknownName(f'entry {seq} is none of "{build}"; "commission show" with --entries lists them')
        book.withdraw(seq, reason)
        text = book.entry_text(target.payload, names=book.names(entries))
        job.say(f"withdrawn: entry {seq}: {kind_shown(target.payload)}: {text}")
