"""``commission verify``: whether the record is sound."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from commission.base.errors import FileError, InputError
from commission.bench.build_facts import last_text
from commission.record.logged import Head
from commission.shell.console import say
from commission.shell.options import logbook_option, opened_logbook
from commission.shell.quantity_type import TextType

if TYPE_CHECKING:
    from commission.record.logbook import Logbook

UNSOUND = 1
"""Exit status where the record is not sound."""

_PAIR = re.compile(r"([1-9][0-9]{0,14}):([0-9a-f]{64})")


class _LastType(TextType[Head]):
    """A pair of number and digest as it was written down."""

    name = "pair"

    def read(self, text: str) -> Head:
        """Return the pair; refuses anything else with one line."""
        found = _PAIR.fullmatch(text.strip().lower())
        if found is None:
            raise InputError("not a number, a colon and 64 hexadecimal digits; copy the pair that show prints")
        return Head(seq=int(found[1]), digest=found[2])


@click.command()
@click.option(
    "--last",
    "known",
    type=_LastType(),
    metavar="SEQ:DIGEST",
    help="The last digest as show or verify printed it earlier; finds out if entries were cut off since.",
)
@logbook_option
@click.pass_context
def verify(context: click.Context, known: Head | None) -> None:
    """Check the whole logbook: the file, the guards, the chain of entries, the seals of the readings.

    Write the printed last digest down outside the computer: with --last it shows whether entries at the end were cut
    off, which nothing inside the file can show.

    \b
    Exit status: 0 all is sound, 1 something is not,
                 2 there is no logbook, it is empty, or it is something else.

    \b
    Example:
      commission verify
    """
    with opened_logbook(read_only=True) as opened:
        problems = opened.book.verify(known)
        head = opened.book.head()
        if not head.seq and not problems:
            raise FileError(
                f"the logbook {opened.path} is empty: it holds no entry; if it held some before, restore a backup"
            )
        for problem in problems:
            where = f"entry {problem.seq}: " if problem.seq else ""
            say(f"problem: {where}{problem.message}")
        say(f"logbook: {opened.path}")
        say(f"entries: {head.seq}")
        if not problems:
            _say_unsealed(opened.book)
        say(f"last digest: {last_text(head)}")
        say(f"verdict: {'NOT SOUND' if problems else 'sound'}")
    if problems:
        context.exit(UNSOUND)


def _say_unsealed(book: Logbook) -> None:
    for name, count in book.unsealed():
        last = "the last reading" if count == 1 else f"the last {count} readings"
        say(f'not sealed yet: {last} of "{name}"; a change to what has no seal can stay unseen')
