"""A gauge that prints lines on a serial port, as the rows of a table."""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.live_rows import EVERY_S, live_instrument, live_rows
from commission.record.machine.instrument import GaugeFace, InstrumentKind
from commission.shell.columns_option import columns_asked
from commission.shell.console import tell
from commission.shell.quantity_type import EveryType

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from typing import Any

    from commission.record.machine.instrument import Instrument

_LIVE, _EVERY = "commission.live", "commission.every"


def live_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options ``--live`` and ``--every``."""

    def keep(key: str) -> Callable[..., None]:
        return lambda context, _parameter, value: context.meta.__setitem__(key, value)

    every = click.option(
        "--every",
        type=EveryType(0.5),
        default=EVERY_S,
        expose_value=False,
        callback=keep(_EVERY),
        help="With --live: least time between two rows; usual: 10 s.",
    )
    live = click.option(
        "--live",
        metavar="INSTRUMENT",
        expose_value=False,
        callback=keep(_LIVE),
        help="Read this gauge on its serial port, not standard input.",
    )
    return live(every(command))


def asked_live(headed: Mapping[InstrumentKind, str]) -> Iterator[bytes] | None:
    """Return `live_table` of the instrument that --live names; None where it names none."""
    meta = click.get_current_context().meta
    if not (name := meta.get(_LIVE)):
        return None
    if columns_asked():
        raise click.UsageError("--columns is of a table, --live of lines; keep one")
    return live_table(name, headed, meta[_EVERY])


def live_table(name: str, headed: Mapping[InstrumentKind, str], every_s: float) -> Iterator[bytes]:
    """Return the lines of a table from an instrument that prints lines on a port.

    Parameters
    ----------
    name
        Its name.
    headed
        How the column of each kind of instrument that fits here is headed, without its unit.
    every_s
        Least time between two rows [s].

    Raises
    ------
    CommissionError
        If it is not described, is of another kind, or its port cannot be opened.
    """
    from commission.shell.options import opened_logbook

    with opened_logbook(read_only=True) as opened:
        one = live_instrument(name, opened.book.shop().instruments)
    if one.kind not in headed:
        raise InputError(f"{clip(one.name)} is a {one.kind}; wanted here: {', '.join(headed)}")
    rows = live_rows(one, f"{headed[one.kind]} [{one.unit}]", tell, every_s=every_s)
    return chain(_described(one), (f"{','.join(row)}\n".encode() for row in rows))


def _described(one: Instrument) -> Iterator[bytes]:
    """Yield the comment lines that say what the workshop knows of a gauge: nothing of it is to be guessed."""
    from commission.bench.figures import instrument_step

    if one.kind not in (InstrumentKind.GAUGE, InstrumentKind.ABSOLUTE_GAUGE):
        return
    if not one.step_guessed:
        yield f"# gauge step: {instrument_step(one)}\n".encode()
    if one.face is not GaugeFace.UNKNOWN:
        yield f"# gauge kind: {one.face}\n".encode()
    if one.face is GaugeFace.DIAL:
        yield f"# tapped: {'yes' if one.tapped else 'no'}\n".encode()
