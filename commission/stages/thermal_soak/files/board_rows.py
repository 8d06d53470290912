"""The temperatures that a board tells, as rows of a soak's table."""

from __future__ import annotations

import time
from collections import Counter
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.own_headings import read_own_headings
from commission.base.text import clean, clip

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.record.machine.board_sensors import BoardReading

ZERO_C = 273.15


def board_lines(
    read: Callable[[], BoardReading],
    names: str,
    *,
    every_s: float,
    count: int | None,
    sleep: Callable[[float], None] = time.sleep,
) -> Iterator[bytes]:
    """Yield a header row and a row for each reading; what a sensor does not tell stays empty.

    Parameters
    ----------
    read
        Returns what the sensors say now.
    names
        Which sensor is what, such as ``warm=T1, air=T2``.
    every_s
        Time between two readings [s].
    count
        How many; None for no end.
    sleep
        Waits for so many seconds.

    Raises
    ------
    InputError
        If there is nothing to read, or a sensor that is named is not there, or there twice.
    """
    pairs = read_own_headings(names)
    wanted = [one.whole for one in pairs]
    reading, taken = read(), 0
    _refuse_unknown(reading, wanted)
    yield (",".join(f"{one.ours} [degC]" for one in pairs) + "\n").encode()
    while True:
        told = {name: kelvin for name, kelvin in _temperatures(reading) if kelvin is not None}
        cells = (f"{told[name] - ZERO_C:.3f}" if name in told else "" for name in wanted)
        yield (",".join(cells) + "\n").encode()
        taken += 1
        if taken == count:
            return
        sleep(every_s)
        reading = read()


def _refuse_unknown(reading: BoardReading, wanted: list[str]) -> None:
    if reading.missing:
        raise InputError(reading.missing)
    there = Counter(name for name, _ in _temperatures(reading))
    for name in wanted:
        if there[name] != 1:
            listed = ", ".join(clean(one) for one in sorted(there) if there[one] == 1) or "none"
            raise InputError(f"{clip(name)} is not one temperature of this board; there are {listed}")


def _temperatures(reading: BoardReading) -> Iterator[tuple[str, float | None]]:
    """Yield each temperature by its label and its channel, alone and behind its chip; None where it is at fault."""
    for chip in reading.chips:
        for one in chip.temperatures:
            for name in dict.fromkeys((one.label, f"temp{one.number}")):
                yield name, None if one.fault else one.kelvin
                yield f"{chip.name} {name}", None if one.fault else one.kelvin
