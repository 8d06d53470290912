"""``commission soak live``: readings of a soak from an instrument that prints lines on a serial port."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import click

from commission.base.errors import FileError
from commission.record.machine.instrument import InstrumentKind
from commission.shell.live_gauge import live_table
from commission.shell.quantity_type import EveryType
from commission.shell.recording import recording, records
from commission.stages.thermal_soak.files.live_table import EVERY_S

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.at_hand import StageAtHand
    from commission.shell.recording import Recording
    from commission.stages.thermal_soak.work.soaks import Soaks


@records("BUILD", "INSTRUMENT")
@click.option(
    "--reads",
    type=click.Choice(["warm", "cool"]),
    default="warm",
    help="Which coolant its own number is: on its way to the radiators, or from them.",
)
@click.option(
    "--every",
    "every_s",
    type=EveryType(3),
    default=EVERY_S,
    help="Least time between two readings; usual: 60 s.",
)
def live(build: str, instrument: str, *, reads: str, every_s: float, as_json: bool) -> None:
    """Record readings from a thermometer on a serial port until Ctrl-C, each stamped on arrival.

    Its lines must tell the air, too, and may tell what else a table of a soak holds; its pattern says where, such as
    "W={} A={air [degC]} CPU={component cpu [degC]}". A lost port is looked for; it is never written to.
    For the look at the joints end it by Ctrl-C, record that, and call it again: the soak goes on.

    \b
    Example:
      commission soak live "Desk loop" "coolant probe" --every 30
    """
    from commission.bench.at_hand import StageAtHand
    from commission.stages.thermal_soak.work.soaks import Soaks

    lines = live_table(instrument, {InstrumentKind.THERMOMETER: reads}, every_s)
    with recording(build, as_json=as_json) as job:
        store_live(job, StageAtHand(job.book, job.build_id, job.book.work(Soaks)), lines)


def store_live(job: Recording, hand: StageAtHand[Soaks], lines: Iterable[bytes]) -> None:
    """Store each row as a reading at the time of its arrival; one that makes no sense is told and left out.

    Parameters
    ----------
    lines
        The header row, then the rows.

    Raises
    ------
    FileError
        If the header row lacks the air or names what a soak does not have.
    InputError
        If a duty in it is of no chain of the build.
    NotAllowed
        If no soak was begun.
    """
    from commission.bench.deed import said
    from commission.shell.console import tell
    from commission.stages.thermal_soak.files.live_table import LiveTable
    from commission.stages.thermal_soak.text import reading_text
    from commission.stages.thermal_soak.work.refused import refuse_duties

    found = iter(lines)
    table = LiveTable(next(found))
    refuse_duties(hand.state, table.probe)
    for line in found:
        hand.refresh()
        try:
            reading = table.reading(hand.work.elapsed_s(hand.state), line)
        except FileError as error:
            tell(f"refused: {error}")
            continue
        job.do(said(reading_text(reading), partial(hand.work.read, hand.build_id, (reading,))))
