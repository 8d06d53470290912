"""``commission speeds``: speeds and temperatures of the board as plain lines."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.shell.console import say_now, tell
from commission.shell.quantity_type import EveryType

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.machine.board_sensors import BoardReading

KEPT_S = 2.0
"""Sooner readings may show the same value again [s]: drivers keep one for up to 1.5 s (Linux
drivers/hwmon/nct6775-core.c, commit 0c23e18c)."""


@click.command("speeds")
@click.option(
    "--every",
    "every_s",
    type=EveryType(0.1),
    default=KEPT_S,
    help="Time between readings; usual: 2 s. Sooner ones may show a kept value again.",
)
@click.option("--count", type=click.IntRange(1), metavar="N", help="How many readings; usual: until Ctrl-C.")
def watch(every_s: float, count: int | None) -> None:
    """Print the speeds and temperatures that the board tells.

    They are read from the kernel's hwmon files, which exist on Linux only; nothing is ever written, and no duty is
    set. Each line holds the time since the start, the chip, the channel with the driver's name for it, and the value.
    Numbers of channels need not agree with the print on the board. A sensor that vanishes is told once, and the rest
    goes on.

    \b
    Exit status: 0 all readings printed, 2 there is nothing to read,
                 130 ended by Ctrl-C, 141 nobody reads the output.

    \b
    Example:
      commission speeds --every 2 --count 30
    """
    from commission.bootstrap import hwmon_board

    watch_board(hwmon_board().read, every_s=every_s, count=count)


def watch_board(
    read: Callable[[], BoardReading],
    *,
    every_s: float,
    count: int | None,
    clock: Callable[[], float] = time.monotonic,
    sleep: Callable[[float], None] = time.sleep,
) -> None:
    """Print reading after reading.

    Parameters
    ----------
    read
        Returns what the sensors say now.
    every_s
        Time between two of them, above 0 [s].
    count
        How many; None for no end.
    clock
        Seconds that never step.
    sleep
        Waits for so many seconds.

    Raises
    ------
    InputError
        If there is nothing to read at the start.
    """
    from commission.stages.fan_headers.rows.watch_lines import Watched

    start_s = due_s = clock()
    reading = read()
    if reading.missing:
        raise InputError(reading.missing)
    if not any(chip.fans for chip in reading.chips):
        tell("no speeds here, only temperatures: the driver of the board's fan chip may not be loaded")
    watched, taken = Watched(), 1
    while True:
        for line in watched.lines(reading, due_s - start_s):
            say_now(line)
        if taken == count:
            return
        due_s += every_s
        while due_s < clock():  # a slow reading leaves out beats and does not shift the rest
            due_s += every_s
        sleep(max(0.0, due_s - clock()))
        reading = read()
        taken += 1
