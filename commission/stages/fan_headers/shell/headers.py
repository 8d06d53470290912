"""``commission headers``: what sits on which header, or sat there on an earlier day."""

from __future__ import annotations

import click

from commission.shell.console import say
from commission.shell.day_type import At, DayType
from commission.shell.options import logbook_option, opened_logbook
from commission.shell.renamed import renamed


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@renamed("--at", "--date")
@click.option(
    "--date", "at", type=DayType(), help="A day, to its end in local time, or a moment with its offset; default: now."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@click.option("--map", "as_map", is_flag=True, help="Print a sheet of 80 columns to tape into the case.")
@logbook_option
def headers(build: str, at: At | None, *, as_json: bool, as_map: bool) -> None:
    """Show what sits on which header of a build, since when, and what its last sweep showed.

    Each header is told with its load beside its rating, those with nothing on them too. With --date the record answers
    for an earlier day: what sat where, how it was set, and whether a sweep still counted then; what is gone since is
    told with its name. Nothing is written.

    \b
    Example:
      commission headers "Desk loop"
      commission headers "Desk loop" --date 2026-03-14
      commission headers "Desk loop" --date 2026-03-14T18:30:00+01:00 --json
      commission headers "Desk loop" --map
    """
    if as_map and (as_json or at is not None):
        raise click.UsageError("--map is a sheet of how it is now; leave --date and --json out")
    from commission.stages.fan_headers.rows.headers_json import plain_time, seats_line
    from commission.stages.fan_headers.rows.headers_text import seats_lines, seats_of

    with opened_logbook(read_only=True) as opened:
        book = opened.book
        state = book.build(book.find_build(build))
        if as_map:
            from commission.stages.fan_headers.rows.map_sheet import map_lines

            for line in map_lines(book, state):
                say(line)
            return
        seats = seats_of(book, state, None if at is None else (at.ms, at.offset_min))
        told = seats.told
        if as_json:
            say(seats_line(told))
            return
        say(f"build: {told.build}")
        if told.at is not None:
            say(f"at: {plain_time(told.at)}")
        for fact in seats_lines(seats):
            say(fact if isinstance(fact, str) else fact.line())
