"""``commission show``: what the logbook knows of a build, as plain lines."""

from __future__ import annotations

import click

from commission.bench.build_facts import show_facts
from commission.shell.console import say
from commission.shell.groups import job_here
from commission.shell.options import logbook_option, read_logbook
from commission.shell.show_text import entry_lines, show_lines


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.option("--entries", is_flag=True, help="List every entry, one a line; withdrawn ones say so.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object: every fact with the number behind it.")
@logbook_option
def show(build: str, entries: bool, as_json: bool) -> None:
    """Show one build as plain lines: parts, volume, warnings, holds with verdicts, findings, what runs now.

    Nothing is shown of a build whose readings are no longer those that a verdict was given on.

    \b
    Example:
      commission show "Desk loop"
      commission show "Desk loop" --entries
      commission show "Desk loop" --json
    """
    from commission.record.sealed import require_sealed

    if entries and as_json:
        raise click.UsageError("with --json leave --entries out; commission export writes every entry for programs")
    with read_logbook() as opened:
        state = opened.book.build(opened.book.find_build(build))
        require_sealed(opened.book, state)
        if as_json:
            from commission.shell.show_json import show_line

            say(show_line(show_facts(opened.book, job_here().stages(), state)))
            return
        for line in show_lines(opened.book, job_here().stages(), state):
            say(line)
        if entries:
            for line in entry_lines(opened.book, state):
                say(line)
