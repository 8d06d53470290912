"""``commission verify``: whether the record is sound."""

from __future__ import annotations

import click

from commission.cli.console import say
from commission.cli.options import logbook_option, opened_logbook

UNSOUND = 1
"""Exit status where the record is not sound."""


@click.command()
@logbook_option
@click.pass_context
def verify(context: click.Context) -> None:
    """Check the whole record: the file, the guards, the chain of entries, the seals of the readings.

    Write the printed chain head down outside the computer: with it even a cut tail can be found.

    \b
    Exit status: 0 all is sound, 1 something is not,
                 2 there is no logbook or it is something else.

    \b
    Example:
      commission verify
    """
    with opened_logbook(read_only=True) as opened:
        problems = opened.book.verify()
        head = opened.book.head()
        for problem in problems:
            where = f"entry {problem.seq}: " if problem.seq else ""
            say(f"problem: {where}{problem.message}")
        say(f"logbook: {opened.path}")
        say(f"entries: {head.seq}")
        say(f"chain head: {head.digest or 'none yet'}")
        say(f"verdict: {'NOT SOUND' if problems else 'sound'}")
    if problems:
        context.exit(UNSOUND)
