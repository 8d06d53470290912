"""The option ``--columns``: tables that a logger heads in its own words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.record.machine.instrument import Instrument

_KEY = "commission.columns"


def _keep(context: click.Context, _parameter: click.Parameter, value: str | None) -> None:
    context.meta[_KEY] = value


columns_option = click.option(
    "--columns",
    metavar="NAMES",
    expose_value=False,
    callback=_keep,
    help='Headings of a logger\'s own, such as "time=Zeit, gauge=Druck [mbar]", or the instrument that keeps them. '
    "Other columns are not read.",
)
"""Names the columns of the input."""


def columns_asked() -> bool:
    """Whether the option was given."""
    return bool(click.get_current_context().meta.get(_KEY))


def asked_columns(instruments: Iterable[Instrument] | None = None) -> str:
    """Return which column is which: as typed, or as the named instrument keeps it; empty where nothing was typed.

    Parameters
    ----------
    instruments
        Those of the workshop; None: read from the logbook, where a name is typed.

    Raises
    ------
    CommissionError
        If it cannot be understood, or no such instrument keeps any.
    """
    from commission.base.own_headings import read_own_headings
    from commission.bench.ask import one_of

    typed: str | None = click.get_current_context().meta.get(_KEY)
    if not typed or "=" in typed:
        if typed:
            read_own_headings(typed)
        return typed or ""
    keep = {one.name: one.columns for one in (_of_logbook() if instruments is None else instruments) if one.columns}
    if not keep:
        raise InputError(
            'no instrument keeps columns yet. Write such as "time=Zeit, gauge=Druck [mbar]"; '
            '"commission instrument NAME --edit --columns ..." keeps them'
        )
    return keep[one_of(typed, {name: name for name in keep}, "instrument that keeps columns")]


def _of_logbook() -> tuple[Instrument, ...]:
    from commission.shell.options import opened_logbook

    with opened_logbook(read_only=True) as opened:
        return tuple(opened.book.shop().instruments)
