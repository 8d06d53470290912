"""``commission fans``: headers, chains and what sits where, line by line as on the screen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.shell.groups import Commands
from commission.shell.recording import of_file, recording, records

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.bench.deed import Deed
    from commission.stages.fan_headers.at_hand import HeadersAtHand

MAINS_OUT = "Say that the machine is shut down and its mains plug is out."
"""What ``--mains-out`` means."""


@click.group(cls=Commands, path="fans")
def fans() -> None:
    """Record headers, chains, what sits where, sweeps and duties; "commission headers" shows them.

    \b
    Example:
      commission fans sheet "Desk loop" sheet.txt
      commission fans plug "Desk loop" "front on H1" --mains-out
      commission fans end "Desk loop"
    """


@records("BUILD", "LINE...")
def header(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Write headers down: label, pins, rating, modes, and how each is set.

    \b
    Example:
      commission fans header "Desk loop" "H1 4-pin 2 A pwm" "H2 3-pin 1 A"
    """
    from commission.stages.fan_headers.typed.sheet import header_deed

    _each(build, lines, header_deed, as_json=as_json)


@records("BUILD", "LINE...")
def chain(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Write chains of fans, or a pump, down; "hub" or "supply" where those feed it.

    \b
    Example:
      commission fans chain "Desk loop" "front 3 fans 4-wire 0.2 A start 0.3 A"
      commission fans chain "Desk loop" "pump 4-wire 1.5 A 4800 rpm supply full"
    """
    from commission.stages.fan_headers.typed.sheet import chain_deed

    _each(build, lines, chain_deed, as_json=as_json)


@records("BUILD", "LINE...", name="set", later="at")
def set_header(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record how headers were set in the firmware; sweeps on them count no longer.

    \b
    Example:
      commission fans set "Desk loop" "H1 pwm" "H2 pwm lock"
    """
    from commission.stages.fan_headers.typed.sheet import set_deed

    _each(build, lines, set_deed, as_json=as_json)


@records("BUILD", "LINE")
def remove(build: str, line: str, *, as_json: bool) -> None:
    """Take a header or a chain off the sheet, with a reason; what was recorded of it stays.

    \b
    Example:
      commission fans remove "Desk loop" "chain front replaced by thicker fans"
    """
    from commission.stages.fan_headers.typed.sheet import remove_deed

    _each(build, (line,), remove_deed, as_json=as_json)


@records("BUILD", "LINE...", later="at")
def duty(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record at which duty chains were left in the firmware, and the speed shown there.

    This only records: nothing is set.

    \b
    Example:
      commission fans duty "Desk loop" "front 45 640" "pump 100 4750"
    """
    from commission.stages.fan_headers.typed.duty import leave_deed

    _each(build, lines, leave_deed, as_json=as_json)


@records("BUILD", "LINE...", later="at began")
@click.option("--mains-out", is_flag=True, help=MAINS_OUT)
def plug(build: str, lines: tuple[str, ...], *, mains_out: bool, as_json: bool) -> None:
    """Record that chains were plugged into headers.

    Budgets are checked, and a pump on a header that could stop it is refused. The cautions are printed and the record
    says so.

    \b
    Example:
      commission fans plug "Desk loop" "front on H1" "pump on H2" --mains-out
    """
    from commission.stages.fan_headers.typed.plug import plug_deed

    _each(build, lines, plug_deed, as_json=as_json, mains_out=mains_out)


@records("BUILD", "LINE...", later="at")
@click.option("--mains-out", is_flag=True, help=MAINS_OUT)
def unplug(build: str, lines: tuple[str, ...], *, mains_out: bool, as_json: bool) -> None:
    """Record that chains were taken off their headers; LINE is the chain, then # and why.

    \b
    Example:
      commission fans unplug "Desk loop" "front # nearer header" --mains-out
    """
    from commission.stages.fan_headers.typed.plug import unplug_deed

    _each(build, lines, unplug_deed, as_json=as_json, mains_out=mains_out)


@records("BUILD", "LINE...", later="at began")
def found(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record plugs that sit already, as they were found, right or wrong.

    What is wrong is told, bars the start of the machine, and blocks the verdict until it is moved.

    \b
    Example:
      commission fans found "Desk loop" "pump on H1 # as it came"
    """
    from commission.stages.fan_headers.typed.plug import found_deed

    _each(build, lines, found_deed, as_json=as_json, plugging=True)


@records("BUILD", "FILE")
def sheet(build: str, file: str, *, as_json: bool) -> None:
    """Write all headers and chains of a file down: lines as for "fans header" and "fans chain", with that word first.

    All lines are read before the first is stored; a lone - reads standard input, # begins a remark.

    \b
    Example:
      commission fans sheet "Desk loop" sheet.txt
    """
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.card.sheet_file import sheet_file_deed

    with recording(build, as_json=as_json) as job, of_file(file):
        job.do(sheet_file_deed(HeadersAtHand(job.book, job.build_id), Path(file)))


def _each(
    build: str,
    lines: Sequence[str],
    deed: Callable[[HeadersAtHand, str], Deed],
    *,
    as_json: bool,
    mains_out: bool | None = None,
    plugging: bool = False,
) -> None:
    """Do what each line means, in order; before plugging the cautions, and the word that power is off.

    Raises
    ------
    CommissionError
        If one cannot be done; those before it are stored then.
    """
    from commission.procedure.model import When
    from commission.stages.fan_headers.at_hand import HeadersAtHand

    if mains_out is False:
        raise click.UsageError(
            "plugs are moved only on a dead machine: shut it down, pull its mains plug, then say --mains-out"
        )
    with recording(build, as_json=as_json) as job:
        hand = HeadersAtHand(job.book, job.build_id)
        for line in lines:
            done = deed(hand, line)
            if mains_out or plugging:
                job.print_cautions(hand, When.BEFORE_PLUGGING)
            job.do(done)
            hand.refresh()
