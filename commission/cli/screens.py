"""``commission ui`` and ``commission demo``: the screens, on the logbook or on a private copy of the sample one."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.cli.console import ascii_only, say
from commission.cli.options import logbook_option, opened_logbook

if TYPE_CHECKING:
    from commission.logbook.book import Logbook


@click.command("ui")
@logbook_option
def user_interface() -> None:
    """Open the screens on the logbook; the same as no command at all.

    \b
    Example:
      commission ui --logbook bench.logbook
    """
    open_screens()


@click.command()
@click.pass_context
def demo(context: click.Context) -> None:
    """Open the screens on a private copy of the sample logbook; nothing that you do there touches your own.

    \b
    Example:
      commission demo
    """
    from commission.bootstrap import sample_logbook

    folder = Path(tempfile.mkdtemp(prefix="commission-demo-"))
    opened = sample_logbook(folder)
    try:
        status = _screens(opened.book)
    finally:
        opened.book.close()
    say(f"demo logbook: {opened.path}")
    context.exit(status)


def open_screens() -> None:
    """Open the screens on the chosen logbook and end with their status."""
    with opened_logbook() as opened:
        status = _screens(opened.book)
    click.get_current_context().exit(status)


def _screens(book: Logbook) -> int:
    """Run the screens and return their status; an error inside them must not look like a good end."""
    from commission.tui.app import CommissionApp

    app = CommissionApp(book, ascii_only=ascii_only())
    app.run()
    return app.return_code or 0
