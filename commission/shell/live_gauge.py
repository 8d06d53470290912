"""A gauge that prints lines on a serial port, as the rows of a table."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.base.line_pattern import read_line_pattern, read_port
from commission.base.text import clip
from commission.shell.columns_option import columns_asked
from commission.shell.console import tell

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from typing import Any

    from commission.record.machine.instrument import Instrument, InstrumentKind

EVERY_S = 10.0
"""Usual time between two rows that are kept [s]; our choice: six a minute show any leak; each is written at once."""

SILENT_S = 30.0
"""Without a line that fits for so long, it is said [s]; our choice: three rows."""


_LIVE, _EVERY = "commission.live", "commission.every"


def live_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options ``--live`` and ``--every``."""

    def keep(key: str) -> Callable[..., None]:
        return lambda context, _parameter, value: context.meta.__setitem__(key, value)

    every = click.option(
        "--every",
        type=click.FloatRange(0.5, 3600),
        default=EVERY_S,
        metavar="SECONDS",
        expose_value=False,
        callback=keep(_EVERY),
        help="With --live: least time between two rows; usual: 10.",
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
    rows = live_rows(one, f"{headed[one.kind]} [{one.unit}]", every_s=every_s)
    return (f"{','.join(row)}\n".encode() for row in rows)


def live_instrument(name: str, instruments: Iterable[Instrument]) -> Instrument:
    """Return the instrument of that name, which must print lines on a port.

    Raises
    ------
    InputError
        If there is none, or its port or its line is not described.
    """
    from commission.bench.ask import one_of

    live = {one.name: one for one in instruments if one.port and one.pattern}
    if not live:
        raise InputError(
            "no instrument has a port and a pattern yet; "
            '"commission instrument NAME --edit --port ... --pattern ..." describes them'
        )
    return live[one_of(name, {one: one for one in live}, "instrument that prints lines")]


def live_rows(
    instrument: Instrument,
    heading: str,
    lines: Iterator[str] | None = None,
    *,
    every_s: float = EVERY_S,
    clock: Callable[[], float] = time.monotonic,
) -> Iterator[tuple[str, ...]]:
    """Yield the headings first, then the numbers of each line that fits, one in so many seconds.

    Lines that come sooner are left out. Where none fits for long, that is said once.

    Parameters
    ----------
    instrument
        With a port and a pattern.
    heading
        How what it reads is headed, such as ``gauge [mbar]``.
    lines
        The lines, an empty text while none comes; None: from its port.
    every_s
        Least time between two rows [s].
    clock
        Seconds that never step.

    Raises
    ------
    FileError
        If the port cannot be opened.
    """
    from commission.bootstrap import serial_lines

    pattern = read_line_pattern(instrument.pattern)
    port, speed = read_port(instrument.port)
    yield tuple(place or heading for place in pattern.places)
    kept_s: float | None = None
    fitted_s, told, last = clock(), False, ""
    for line in serial_lines(port, speed, tell) if lines is None else lines:
        now_s = clock()
        numbers = pattern.numbers(line) if line else None
        last = line or last
        if numbers is not None:
            fitted_s, told = now_s, False
            if kept_s is None or now_s - kept_s >= every_s:
                kept_s = now_s
                yield numbers
        elif not told and now_s - fitted_s >= SILENT_S:
            told = True
            came = f"the last one was {clip(last)}" if last else "no line came at all"
            tell(f'no line like "{instrument.pattern}" for {SILENT_S:g} s; {came}')
