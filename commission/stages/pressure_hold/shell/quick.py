"""``commission quick``: from nothing to a planned hold in one line."""

from __future__ import annotations

import click

from commission.shell.recording import recording, records


@records()
@click.argument("line", metavar="NAME VOLUME GAUGE PRESSURE max RATING", nargs=-1, required=True)
def quick(line: tuple[str, ...], *, as_json: bool) -> None:
    """Open a build and plan its hold in one line; everything else is assumed, recorded as assumed, and told.

    GAUGE is "digital" and one step of its display, or "dial" and the distance of two marks. RATING is the lowest of
    everything in the loop. "commission feed --build NAME --new --planned" starts the hold.

    \b
    Example:
      commission quick North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar
      commission quick "Desk loop" 2 L dial 20 mbar quarter 0.5 bar max 1 bar
    """
    from commission.bench.deed import Deed
    from commission.stages.pressure_hold.card.quick import quick_start
    from commission.stages.pressure_hold.rows.plan import assumed_text, decides_text
    from commission.stages.pressure_hold.state.attempt import hold_of
    from commission.stages.pressure_hold.work.holds import Holds

    with recording(None, as_json=as_json) as job:
        start = quick_start(job.book, " ".join(line))

        def do() -> str:
            job.build_id = start.do()
            return start.told

        job.do(Deed(told=start.told, do=do))
        state = job.book.build(job.build_id)
        plan = hold_of(state).plan
        assert plan is not None  # it was just stored
        job.remark(assumed_text(plan))
        job.remark(decides_text(job.book.work(Holds).capability(state, plan)))
