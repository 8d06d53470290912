"""``commission headers``: what sits on which header, or sat there on an earlier day."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.errors import FileError
from commission.shell.console import say
from commission.shell.day_type import At, DayType
from commission.shell.options import logbook_option, read_logbook
from commission.shell.renamed import renamed

if TYPE_CHECKING:
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@renamed("--at", "--date")
@click.option(
    "--date", "at", type=DayType(), help="A day, to its end in local time, or a moment with its offset; default: now."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
@click.option("--map", "as_map", is_flag=True, help="Print a sheet of 80 columns to tape into the case.")
@click.option(
    "-o",
    "--output",
    "path",
    metavar="FILE.html",
    type=click.Path(path_type=Path),
    help="With --map: a new file with the sheet as a card to cut out, and flags for the cables.",
)
@logbook_option
def headers(build: str, at: At | None, path: Path | None, *, as_json: bool, as_map: bool) -> None:
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
      commission headers "Desk loop" --map -o card.html
    """
    if as_map and (as_json or at is not None):
        raise click.UsageError("--map is a sheet of how it is now; leave --date and --json out")
    if path is not None and not as_map:
        raise click.UsageError("-o is for the sheet; give --map too")
    from commission.bench.json_line import json_line
    from commission.stages.fan_headers.rows.headers_json import plain_time
    from commission.stages.fan_headers.rows.headers_text import seats_lines, seats_of

    with read_logbook() as opened:
        book = opened.book
        state = book.build(book.find_build(build))
        if as_map:
            _sheet(book, state, path)
            return
        seats = seats_of(book, state, None if at is None else (at.ms, at.offset_min))
        told = seats.told
        if as_json:
            say(json_line(told))
            return
        say(f"build: {told.build}")
        if told.at is not None:
            say(f"at: {plain_time(told.at)}")
        for fact in seats_lines(seats):
            say(fact if isinstance(fact, str) else fact.line())


def _sheet(book: Logbook, state: BuildState, path: Path | None) -> None:
    from commission.stages.fan_headers.rows.map_sheet import map_card, map_lines

    card = map_card(book, state)
    if path is None:
        for line in map_lines(card):
            say(line)
        return
    from commission.bootstrap import write_file
    from commission.report.card_page import card_page

    if path.suffix.lower() != ".html":
        raise FileError(f"{path.name}: the card is written as .html; end the name with that, or leave -o out for text")
    write_file(path, card_page(card).encode())
    say(f"card: {path}")
