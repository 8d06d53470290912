"""What the commands share: where the logbook is, and how it is opened."""

from __future__ import annotations

from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.errors import FileError
from commission.shell.start import ENVIRONMENT, UNITS, logbook_of_environment, units_asked_for, units_kept
from commission.units.chosen import Chosen, use_units, use_units_later

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import Any

    from commission.bootstrap import Opened
from typing import TYPE_CHECKING

from commission.base.errors import ReadOnly

if TYPE_CHECKING:
    from commission.record.logbook import Logbook

WAIT_S = 3.0
"""A command waits so long for another one that writes [s]; our choice: most of them are done within one second."""
LOOK_S = 0.1
"""How often it looks meanwhile [s]."""
_KEY = "commission.record"
_UNITS = "commission.units"


def _keep(context: click.Context, _parameter: click.Parameter, value: Path | None) -> Path | None:
    if value is not None:
        context.meta[_KEY] = value
    return value


_LOGBOOK: dict[str, Any] = {
    "metavar": "PATH",
    "type": click.Path(path_type=Path),
    "expose_value": False,
    "callback": _keep,
    "help": f"The logbook to use, instead of the usual one or ${ENVIRONMENT}.",
}


def logbook() -> click.Option:
    """Return the option ``--logbook``, which may stand before or after the command's name."""
    return click.Option(["--logbook"], **_LOGBOOK)


def logbook_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the option ``--logbook``."""
    return click.option("--logbook", **_LOGBOOK)(command)


def chosen_logbook() -> Path | None:
    """Return the logbook that was asked for on the command line or in the environment; None for the usual one."""
    typed = click.get_current_context().meta.get(_KEY)
    return typed if isinstance(typed, Path) else logbook_of_environment()


def units_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give the top command the option ``--units``, and let every amount be worded in them."""
    return click.option(
        "--units",
        metavar="TEXT",
        expose_value=False,
        callback=_word_in,
        help=f'Show amounts in these units, such as "psi degF", instead of those kept or of ${UNITS}.',
    )(command)


def asked_units() -> Chosen | None:
    """Return the units that were asked for on the command line or in the environment; None where none were."""
    return units_asked_for(typed_units())


def typed_units() -> str | None:
    """Return the units as they were typed on the command line; None where none were."""
    typed = click.get_current_context().meta.get(_UNITS)
    return typed if isinstance(typed, str) else None


def _word_in(context: click.Context, _parameter: click.Parameter, value: str | None) -> None:
    context.meta[_UNITS] = value
    asked = units_asked_for(value)
    if asked is not None:
        use_units(asked)
    else:
        use_units_later(_units_of_logbook)


def _units_of_logbook() -> Chosen:
    """Return the units kept beside the logbook of the command that runs; after it, the program's own."""
    running = click.get_current_context(silent=True) is not None
    return units_kept(chosen_logbook()) if running else Chosen()


@contextmanager
def opened_logbook(*, read_only: bool = False) -> Iterator[Opened]:
    """Open the chosen logbook and let it go at the end.

    Raises
    ------
    FileError
        If it is only to be read and there is none.
    """
    from commission.bootstrap import default_path
    from commission.shell.groups import job_here

    path = chosen_logbook() or default_path()
    if read_only and not path.exists():
        raise FileError(f'there is no logbook at {path} yet; "commission" makes one, --logbook names another')
    opened = job_here().open(path, read_only=read_only)
    try:
        yield opened
    finally:
        opened.book.close()


@contextmanager
def read_logbook() -> Iterator[Opened]:
    """Open the chosen logbook to show what it holds; where its chain is broken, that is told on standard error.

    Raises
    ------
    FileError
        If there is none.
    """
    from commission.bootstrap import broken_at
    from commission.shell.console import tell

    with opened_logbook(read_only=True) as opened:
        broken = broken_at(opened)
        if broken:
            tell(f"NOT SOUND: {broken}. Trust nothing of what is shown; run commission verify and restore a backup")
        yield opened


def refuse_read_only(book: Logbook) -> None:
    """Refuse to go on where nothing can be recorded; another command that writes for a moment is waited for.

    Raises
    ------
    ReadOnly
        With the reason, which says who holds the logbook.
    """
    if not book.read_only_because:
        return
    from time import monotonic, sleep

    until_s = monotonic() + WAIT_S
    while not book.take_over():
        if not book.can_take_over or monotonic() > until_s:
            again = ", or try again" if book.can_take_over else ""
            raise ReadOnly(f"nothing was stored: {book.read_only_because}{again}")
        sleep(LOOK_S)
