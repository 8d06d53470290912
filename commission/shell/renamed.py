"""Names that options once had: each answers with the one of today, whatever else is missing on the line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any


def renamed(old: str, new: str, *, takes: int = 1) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return what gives a command the old name of an option, refused with the new one; not in the help.

    Parameters
    ----------
    old, new
        The names, such as ``--at`` and ``--temp``.
    takes
        How many values the option has; 0 for a flag.
    """

    def refuse(_context: click.Context, _parameter: click.Parameter, value: Any) -> None:
        if value not in (None, False, ()):
            raise click.UsageError(f"{old} is renamed: type {new}")

    kind: dict[str, Any] = {"is_flag": True} if takes == 0 else {"nargs": takes}
    name = f"old_{old.strip('-').replace('-', '_')}"
    told = f"Renamed: {new}."
    return click.option(old, name, hidden=True, is_eager=True, expose_value=False, callback=refuse, help=told, **kind)
