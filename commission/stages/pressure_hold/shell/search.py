"""``commission search``: the leak search after a hold that leaked."""

import click

from commission.base.errors import InputError
from commission.shell.console import say
from commission.shell.options import logbook_option, opened_logbook, refuse_read_only
from commission.shell.stored import store


@click.command(no_args_is_help=True)
@click.argument("build", metavar="BUILD")
@click.argument("line", metavar="[LINE]", required=False)
@logbook_option
def search(build: str, line: str | None) -> None:
    """Search for a leak by parting the loop off, piece by piece; without LINE, tell where the search stands.

    \b
    LINE is what comes next:
      "pump, cpu block, top radiator"   suspects from the gauge on
      "500 mbar"                        gauge, parted off and pumped up
      "behind pump 500 mbar"            the same at a place of your own
      "488 mbar", "499 mbar tight"      gauge at the end of the try
      "0 mbar"                          vented, before the next clamp

    \b
    Example:
      commission search "Desk loop" "pump, cpu block, top radiator"
    """
    from commission.stages.pressure_hold.card.search import Searching
    from commission.stages.pressure_hold.lines.at_hand import HoldAtHand
    from commission.stages.pressure_hold.lines.search import search_deed, searched
    from commission.stages.pressure_hold.rows.search import search_rows

    with opened_logbook() as opened:
        book = opened.book
        hand = HoldAtHand(book, book.find_build(build))
        if line is not None:
            refuse_read_only(book)
            store(book, search_deed(hand, line))
            hand.refresh()
        hold = searched(hand)
        if hold.search is None:
            raise InputError("no leak search was begun; type the parts and joints from the gauge on")
        for row in search_rows(hold.search):
            say(row.line())
        asked = Searching(hand, str).question()
        if not hold.let_down and hold.search.pumped is None:
            say("next: vent, and type what the gauge shows")
        elif asked is not None:
            say(f"next: {asked.prompt.ask}")
