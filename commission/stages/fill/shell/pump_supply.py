"""``commission pump-supply``: what powers the pump while a loop is filled and bled."""

from __future__ import annotations

import click

from commission.base.pump_supply import PumpSupply
from commission.bench.at_hand import StageAtHand
from commission.shell.recording import recording, records
from commission.stages.fill.typed.pump_supply import supply_deed
from commission.stages.fill.work.fills import Fills


@records("BUILD")
@click.argument("way", metavar="own|bridged", type=click.Choice([str(way) for way in PumpSupply], case_sensitive=False))
def pump_supply(build: str, way: str, *, as_json: bool) -> None:
    """Record what powers the pump while a loop is filled and bled.

    "own" is a supply of the pump's own; the computer's plug stays out throughout. "bridged" is the computer's supply
    with nothing on it but the pump: it waits until its cables and its voltages passed in the first power-on. Nothing is
    poured, and the pump does not run, before this is answered; the cautions that follow are those of the one chosen.

    \b
    Example:
      commission pump-supply "Desk loop" own
    """
    with recording(build, as_json=as_json) as job:
        fills = job.book.work(Fills)
        fills.known(job.build_id)
        job.do(supply_deed(StageAtHand(job.book, job.build_id, fills), way))
