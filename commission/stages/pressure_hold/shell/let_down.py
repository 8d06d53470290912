"""``commission vented``: the loop is without pressure again after a hold."""

import click

from commission.shell.recording import recording, records


@records("BUILD", name="vented", later="at")
@click.argument("gauge", metavar="GAUGE")
@click.option("--valve-open", is_flag=True, help="The loop is open to the room: a gauge off zero shows its own error.")
def vented(build: str, gauge: str, valve_open: bool, *, as_json: bool) -> None:
    """Record that the pressure was vented after a hold, and what the gauge shows now.

    Zero is at most one step of a digital display, or half of what a dial is read to.
    No coolant is added while the loop is logged as under pressure. Open the valve slowly, eyes away from it.

    \b
    Example:
      commission vented "Desk loop" "0 mbar"
    """
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.typed.after import let_down_deed

    with recording(build, as_json=as_json) as job:
        hand = HoldAtHand(job.book, job.build_id)
        job.do(let_down_deed(hand, f"{gauge} valve open" if valve_open else gauge))
