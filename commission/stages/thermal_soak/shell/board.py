"""``commission soak board``: readings of a soak from the temperatures that the kernel tells."""

from __future__ import annotations

import click

from commission.shell.quantity_type import EveryType
from commission.shell.recording import recording, records
from commission.stages.thermal_soak.files.live_table import EVERY_S
from commission.stages.thermal_soak.shell.live import store_live


@records("BUILD", "NAMES")
@click.option(
    "--every",
    "every_s",
    type=EveryType(3),
    default=EVERY_S,
    help="Time between two readings; usual: 60 s.",
)
@click.option("--count", type=click.IntRange(1), metavar="N", help="How many readings; usual: until Ctrl-C.")
def board(build: str, names: str, *, every_s: float, count: int | None, as_json: bool) -> None:
    """Record readings from the temperatures that the board tells (Linux), until Ctrl-C.

    NAMES says which sensor is what, by its name or channel as "commission speeds" prints it, behind its chip where two
    are alike: warm or cool coolant, the air at the intake, any component. Nothing is ever written to the board, and no
    duty is set. A sensor without a value is not read. For the look at the joints end it by Ctrl-C, record that, and
    call it again: the soak goes on.

    \b
    Example:
      commission soak board "Desk loop" "warm=T1, air=T2, component cpu=Tctl"
    """
    from commission.bench.at_hand import StageAtHand
    from commission.bootstrap import hwmon_board
    from commission.stages.thermal_soak.files.board_rows import board_lines
    from commission.stages.thermal_soak.work.soaks import Soaks

    lines = board_lines(hwmon_board().read, names, every_s=every_s, count=count)
    with recording(build, as_json=as_json) as job:
        store_live(job, StageAtHand(job.book, job.build_id, job.book.work(Soaks)), lines)
