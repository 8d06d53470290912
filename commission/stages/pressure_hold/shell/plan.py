"""``commission plan``: how a hold is to be run and judged, and what such a hold can decide."""

from __future__ import annotations

import click

from commission.shell.recording import recording, records


@records("BUILD")
@click.argument("lines", metavar="[LINE]...", nargs=-1)
def plan(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Plan the hold of a build, and tell what it can decide.

    Without LINE it counts with the parts, the gauge, thermometer and barometer described last, and the usual limit;
    once there is a plan it is only shown, and nothing is stored.
    LINE changes one thing: limit, time, settle, pressure, every, room, volume, gauge, thermometer, barometer. Without a
    time it is the time that decides. "commission feed --new --planned" starts the hold by this plan.

    \b
    Example:
      commission plan "Desk loop"
      commission plan "Desk loop" "pressure 0.4 bar" "limit strict"
    """
    from commission.bench.deed import said
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.card.whole_plan import whole_plan
    from commission.stages.pressure_hold.rows.plan import blind_text, decides_text, plan_line
    from commission.stages.pressure_hold.work.holds import Holds

    with recording(build, as_json=as_json) as job:
        holds, hand = job.book.work(Holds), HoldAtHand(job.book, job.build_id)
        if not lines and hand.hold.plan is not None:
            made = hand.hold.plan
            job.say(f"plan as stored: {plan_line(made)}")
        else:
            made = whole_plan(job.book, hand.state, hand.last_plan, lines)
            job.do(said(plan_line(made), lambda: holds.plan(job.build_id, made)))
        able = holds.capability(hand.state, made)
        job.remark(decides_text(able))
        job.remark(blind_text(made, holds.blind_s(hand.state, made)))
