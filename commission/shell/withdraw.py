"""``commission withdraw``: a wrong entry stays in the record and no longer counts."""

from __future__ import annotations

import click

from commission.base.errors import UnknownName
from commission.shell.console import ascii_only, say
from commission.shell.options import logbook_option, opened_logbook, refuse_read_only


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.argument("seq", metavar="SEQ", type=click.IntRange(min=1))
@click.option("--reason", required=True, help="Why the entry is wrong.")
@logbook_option
def withdraw(build: str, seq: int, reason: str) -> None:
    """Withdraw a wrong entry of a build; it stays in the record and no longer counts.

    SEQ is the number of the entry, as "commission show BUILD --entries" lists it. What was judged on it goes stale.

    \b
    Example:
      commission withdraw "Desk loop" 41 --reason "typed 520 for 250"
    """
    with opened_logbook() as opened:
        book = opened.book
        refuse_read_only(book)
        build_id = book.find_build(build)
        entries = book.entries(build_id)
        target = next((entry for entry in entries if entry.seq == seq), None)
        if target is None:
            raise UnknownName(f'entry {seq} is none of "{build}"; "commission show" with --entries lists them')
        stored = book.withdraw(seq, reason)
        text = book.entry_text(target.payload, names=book.names(entries), ascii_only=ascii_only())
        say(f"withdrawn: entry {seq}: {target.payload.KIND}: {text}")
        say(f"stored: entry {stored.seq}")
