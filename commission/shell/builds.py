"""``commission list`` and ``commission show``: what the logbook knows, as plain lines."""

from __future__ import annotations

import click

from commission.shell.console import say
from commission.shell.moment import moment
from commission.shell.options import logbook_option, opened_logbook
from commission.shell.show_text import entry_lines, rung_text, show_lines


@click.command("list")
@logbook_option
def list_builds() -> None:
    """List the builds, the one opened last first, each with where it stands.

    \b
    Example:
      commission list
    """
    with opened_logbook(read_only=True) as opened:
        rows = opened.book.builds()
        if not rows:
            say("builds: none yet")
        for row in rows:
            state = opened.book.build(row.build_id)
            mark = opened.book.entries(row.build_id)[0].mark
            rungs = "; ".join(rung_text(rung) for rung in opened.book.ladder(state))
            say(f"build: {row.name}; opened: {moment(mark.wall_ms, mark.offset_min)}; {rungs}")


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.option("--entries", is_flag=True, help="List every entry, one a line; withdrawn ones say so.")
@logbook_option
def show(build: str, entries: bool) -> None:
    """Show one build as plain lines: parts, volume, warnings, holds with verdicts, findings, what runs now.

    Nothing is shown of a build whose readings are no longer those that a verdict was given on.

    \b
    Example:
      commission show "Desk loop"
      commission show "Desk loop" --entries
    """
    from commission.record.sealed import require_sealed

    with opened_logbook(read_only=True) as opened:
        state = opened.book.build(opened.book.find_build(build))
        require_sealed(opened.book, state)
        for line in show_lines(opened.book, state):
            say(line)
        if entries:
            for line in entry_lines(opened.book, state):
                say(line)
