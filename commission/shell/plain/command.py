"""``commission plain``: the bench line by line, for a screen reader, a plain terminal or a script."""

from __future__ import annotations

import re
import sys
from contextlib import closing
from shutil import get_terminal_size
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from commission.base.text import counted
from commission.shell.console import USAGE, mark, say
from commission.shell.groups import job_here
from commission.shell.options import asked_units, logbook_option, opened_logbook
from commission.units.chosen import Chosen, use_units

if TYPE_CHECKING:
    from commission.bench.job import Job
    from commission.bench.unsent_kept import Beside
    from commission.record.logbook import Logbook
    from commission.shell.plain.typed import Lines

FIRST = "Plain lines. Type an answer and Enter; help lists the words, leave or Ctrl+D ends."


@click.command()
@click.argument("build", metavar="BUILD", required=False, default="")
@logbook_option
@click.pass_context
def plain(context: click.Context, build: str) -> None:
    """Work at the bench line by line, without screens: for a screen reader, a braille line, or a script.

    The same questions, cautions and entries as on the screens. Each line is taken with Enter; an empty one takes what
    "Enter takes" names. "details" tells all that is known, "help" the other words. Lines may come through a pipe: then
    it ends at the first that is refused.

    \b
    Exit status: 0 done, 2 a line of a pipe was refused, or a usage, file or
                 logbook error, 130 ended by Ctrl-C.

    \b
    Example:
      commission plain
      commission plain "Desk loop"
      commission --plain "Desk loop" < lines.txt
    """
    from commission.bootstrap import looks_file, unsent_file

    with opened_logbook() as opened:
        build_id = opened.book.find_build(build) if build else ""
        beside, looks = unsent_file(opened.path), looks_file(opened.path)
        context.exit(work(opened.book, job_here(), build_id, beside=beside, looks=looks))


def work(
    book: Logbook, job: Job, build_id: str = "", *, beside: Beside | None = None, looks: Beside | None = None
) -> int:
    """Work line by line on standard input and output, and return the exit status.

    Parameters
    ----------
    build_id
        The build that is opened; empty for the list of builds.
    beside
        Keeps until the next start what is half answered; None: nobody does.
    looks
        Keeps in which units amounts are shown; None: nobody does. Lines through a pipe mean what they mean without it.
    """
    from commission.bench.unsent_kept import KeptUnsent
    from commission.bootstrap import hwmon_board
    from commission.shell.plain.session import Session
    from commission.shell.plain.typed import Lines
    from commission.ui.looks import Looks

    lines, chosen = Lines(sys.stdin), Looks(looks)
    use_units(asked_units() or (chosen.units if lines.typed else Chosen()), of_bare=True)
    session = Session(
        book,
        job.stages(),
        _say_in_rows if sys.stdout.isatty() else say,
        kept=KeptUnsent(beside),
        board=lambda: hwmon_board().read(),
        keep_units=lambda units: chosen.choose(units=units),
    )
    say(FIRST)
    if build_id:
        session.open(build_id)
    with closing(session):
        while not session.over:
            session.ask()
            mark("> ")
            try:
                line = lines.next(session.look_round)
            except KeyboardInterrupt:
                say()
                raise
            if line is None or not lines.typed:
                say(
                    line or ""
                )  # so that what was answered stands in what is read later, and the next line at its start
            if line is None:
                break
            session.take(line)
            if session.refused and not _goes_on(lines):
                return USAGE
    return 0


def _goes_on(lines: Lines) -> bool:
    """Leave out what was sent behind a refused line; return whether a person is there to correct it."""
    left = lines.drop()
    if left:
        say(f"{counted(left, 'line')} behind it {'was' if left == 1 else 'were'} not taken")
    return lines.typed


def _say_in_rows(line: str) -> None:
    """Print a line in rows of the terminal, broken between words and never between a number and its unit."""
    say(rows_of(line, get_terminal_size().columns))


def rows_of(line: str, width: int) -> str:
    """Return a line in rows of at most `width` columns, as far as its words go.

    >>> rows_of("the pump goes on for 600 mL", 24).splitlines()
    ['the pump goes on for', '600 mL']
    """
    glued = re.sub(r"(?<=[0-9]) (?=[A-Za-z%°µ])", "\N{NO-BREAK SPACE}", line)
    rows = wrap(glued, max(20, width - 1), break_long_words=False, break_on_hyphens=False)
    return "\n".join(rows).replace("\N{NO-BREAK SPACE}", " ")
