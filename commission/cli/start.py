"""Opens the screens; free of click, since nothing may hold up the first picture."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from commission.cli.console import ascii_only

if TYPE_CHECKING:
    from commission.logbook.book import Logbook

ENVIRONMENT = "COMMISSION_LOGBOOK"
"""Environment variable that names the logbook."""


def logbook_of_environment() -> Path | None:
    """Return the logbook that the environment names, or None for the usual one."""
    named = os.environ.get(ENVIRONMENT, "")
    return Path(named) if named else None


def open_screens(path: Path | None) -> int:
    """Open the screens on a logbook, or on the usual one, and return their exit status.

    Raises
    ------
    CommissionError
        If the logbook cannot be opened.
    """
    from commission.bootstrap import default_path, glance

    path = path or default_path()
    opened: list[Logbook] = []

    def opener() -> "Logbook":
        from commission.bootstrap import open_logbook

        opened.append(open_logbook(path).book)
        return opened[0]

    try:
        return show_screens(opener, glance(path))
    finally:
        for book in opened:
            book.close()


def show_screens(opener: "Callable[[], Logbook]", names: list[tuple[str, str]]) -> int:
    """Run the screens and return their status; an error inside them must not look like a good end.

    Raises
    ------
    CommissionError
        If the logbook cannot be opened.
    """
    from commission.tui.app import CommissionApp

    app = CommissionApp(opener, names=names, ascii_only=ascii_only())
    app.run()
    if app.failure is not None:
        raise app.failure
    return app.return_code or 0
