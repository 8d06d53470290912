"""An instrument that prints lines on a serial port: which one is meant, and its lines as rows of a table."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.line_pattern import read_line_pattern, read_port
from commission.base.text import clip

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from commission.record.machine.instrument import Instrument

EVERY_S = 10.0
"""Usual time between two rows that are kept [s]; our choice: six a minute show any leak; each is written at once."""

SILENT_S = 30.0
"""Without a line that fits for so long, it is said [s]; our choice: three rows."""


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
    tell: Callable[[str], object],
    lines: Iterator[str] | None = None,
    *,
    every_s: float = EVERY_S,
    clock: Callable[[], float] = time.monotonic,
) -> Iterator[tuple[str, ...]]:
    """Yield the headings first, then the numbers of each line that fits, one in so many seconds.

    Lines that come sooner are left out. Where none fits for long, that is said once.

    Parameters
    ----------
    heading
        How what it reads is headed, such as ``gauge [mbar]``.
    tell
        Says that nothing fits, and that the port is gone or there again.
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
