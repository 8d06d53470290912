"""Opens the screens; free of click, since nothing may hold up the first picture."""

import gc
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.shell.console import FAULT, ascii_only

if TYPE_CHECKING:
    from commission.bench.job import Job
    from commission.bench.unsent_kept import Beside
    from commission.record.logbook import Logbook
    from commission.units.chosen import Chosen

ENVIRONMENT = "COMMISSION_LOGBOOK"
"""Environment variable that names the logbook."""
UNITS = "COMMISSION_UNITS"
"""Environment variable that names the units amounts are shown in."""
SERVED_BY = "COMMISSION_SERVED_BY"
"""Environment variable by which ``commission web`` tells a window the number of its own process."""


def logbook_of_environment() -> Path | None:
    """Return the logbook that the environment names, or None for the usual one."""
    named = os.environ.get(ENVIRONMENT, "")
    return Path(named) if named else None


def units_asked_for(typed: str | None) -> "Chosen | None":
    """Return the units that were typed, or else those of the environment; None where there are none.

    Raises
    ------
    InputError
        If the text names no units.
    """
    from commission.units.chosen import read_units

    named = os.environ.get(UNITS, "") if typed is None else typed
    return read_units(named) if named else None


def units_kept(path: Path | None) -> "Chosen":
    """Return the units that are kept beside a logbook, or beside the usual one."""
    from commission.bootstrap import default_path, looks_file
    from commission.ui.looks import Looks

    return Looks(looks_file(path or default_path())).units


def refuse_without_terminal() -> None:
    """Refuse to draw where nobody can see it: the screens would wait for keys that never come.

    Raises
    ------
    InputError
        If standard input or standard error, on which the screens are drawn, is no terminal, and no browser shows them.
    """
    if not _on_terminal() and not served():
        raise InputError('the screens need a terminal, and there is none here; "commission --help" lists the commands')


def _on_terminal() -> bool:
    return all(stream is not None and stream.isatty() for stream in (sys.__stdin__, sys.__stderr__))


def served() -> bool:
    """Return whether a browser shows the screens: the parent said so, and is still there to end with."""
    return os.environ.get(SERVED_BY) == str(os.getppid())


def open_screens(path: Path | None, job: "Job", units: "Chosen | None" = None) -> int:
    """Open the screens on a logbook, or on the usual one, and return their exit status.

    ``units``: those to show amounts in, where they are not those kept beside the logbook.

    Raises
    ------
    CommissionError
        If the logbook cannot be opened, or there is no terminal.
    """
    from commission.bootstrap import default_path, glance, looks_file, unsent_file

    refuse_without_terminal()
    path = path or default_path()
    return show_screens(
        lambda: job.open(path).book, glance(path), job, beside=unsent_file(path), looks=looks_file(path), units=units
    )


def show_screens(
    opener: "Callable[[], Logbook]",
    names: list[tuple[str, str]],
    job: "Job",
    *,
    beside: "Beside | None" = None,
    looks: "Beside | None" = None,
    units: "Chosen | None" = None,
    about: str = "",
    end: "Callable[[int], object]" = os._exit,
) -> int:
    """Run the screens, close the logbook, and return a status; an error inside must not look like a good end.

    Until the first picture no cycles are collected: what is loaded for it stays, and to look through it holds it up.

    ``about`` says above the builds what this logbook is, where it is not the user's own.

    Does not return where the terminal or the parent went away, or the process was told to end: then ``end`` is called
    with the status, and must end the process.

    Raises
    ------
    CommissionError
        If the logbook cannot be opened.
    """
    gc.disable()
    try:
        return _run_screens(opener, names, job, beside=beside, looks=looks, units=units, about=about, end=end)
    finally:
        _collect_again()


def _run_screens(
    opener: "Callable[[], Logbook]",
    names: list[tuple[str, str]],
    job: "Job",
    *,
    beside: "Beside | None",
    looks: "Beside | None",
    units: "Chosen | None",
    about: str,
    end: "Callable[[int], object]",
) -> int:
    from commission.ui.app import CommissionApp
    from commission.ui.lifeline import Lifeline
    from commission.ui.looks import Looks
    from commission.ui.theme import usual_theme

    opened: list[Logbook] = []

    def opened_once() -> "Logbook":
        opened.append(opener())
        return opened[0]

    chosen = Looks(looks, usual=usual_theme(os.environ))
    chosen.units = chosen.units if units is None else units
    app = CommissionApp(
        opened_once,
        job=job,
        names=names,
        on_first_paint=_collect_again,
        ascii_only=ascii_only(),
        beside=beside,
        looks=chosen,
    )
    app.sub_title = about
    with Lifeline(end, parent=_server()) as lifeline:
        lifeline.on_lost = app.lost
        try:
            app.run()
        finally:
            for book in opened:
                book.close()
    if app.failure is not None:
        raise app.failure
    # the screens' own status of a fault is 1, which is a failed hold elsewhere
    return FAULT if app.return_code == 1 else app.return_code or 0


def _server() -> int | None:
    """Return the process that serves the screens to a browser; None where a terminal shows them.

    It may have ended since the screens were let in: then the window ends at the first look.
    """
    named = os.environ.get(SERVED_BY, "")
    return int(named) if named.isascii() and named.isdigit() and not _on_terminal() else None


def _collect_again() -> None:
    """Let the collector of cycles look again, but not at what was loaded for the first picture."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
