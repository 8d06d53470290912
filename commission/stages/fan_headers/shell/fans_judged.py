"""``commission fans sweep`` and ``end``: a whole sweep from a file, and the end of the stage."""

from __future__ import annotations

from pathlib import Path

import click

from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.recording import of_file, recording, records


@records("BUILD", later="at")
@click.argument("chain", metavar="CHAIN")
@click.argument("file", metavar="FILE")
@columns_option
@click.option("--same", is_flag=True, help="Say that the speeds of another sweep are right for this one, too.")
@click.option("--done", metavar="TEXT", default="", help="Say what was done since the last sweep of this chain failed.")
def sweep(build: str, chain: str, file: str, *, same: bool, done: str, as_json: bool) -> None:
    """Record the whole sweep of a chain from a table of duty [%] and speed [rpm], and judge it.

    FILE is as for "commission judge sweep"; a lone - reads standard input. Wires, header and mode are those of the
    record. The cautions are printed and the record says so.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission fans sweep "Desk loop" front front.csv
      commission fans sweep "Desk loop" front new.csv --done "lead seated"
    """
    from commission.bench.deed import Deed
    from commission.bench.named_file import read_as_kept, with_comments
    from commission.procedure.model import When
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.entries import SweepSource
    from commission.stages.fan_headers.files.sweep_csv import read_sweep
    from commission.stages.fan_headers.work.sweep_doubts import refuse_unanswered
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand = HeadersAtHand(job.book, job.build_id)
        found, rest = hand.chain_named(chain)
        if rest:
            raise click.UsageError(f"CHAIN is one name; {rest!r} was not expected")
        with of_file(file):
            shop = job.book.shop().instruments
            columns = asked_columns(shop)
            kept = () if columns else shop
            read = read_as_kept(kept, lambda named: read_sweep(Path(file), pump=found.pump, columns=columns or named))
        hand.refuse_locked()
        refuse_unanswered(hand.state, found, read.sweep.readings, Path(file).name, same=same, done=done)
        job.print_cautions(hand, When.BEFORE_SWEEP)
        noted = with_comments(hand, Deed(told=f"sweep of {found.name}"), read.comments, Path(file).name)
        verdict = hand.work.sweeps.take_sweep(
            job.build_id, found.chain_id, read.sweep, SweepSource.FILE, step_rpm=read.setup.step_rpm, done=done
        )
        job.stored()
        if read.comments:
            job.do(noted)
        job.judged(verdict.outcome, (f"{verdict.said}.", *map(say, verdict.reasons)))


@records("BUILD", later="at")
def end(build: str, *, as_json: bool) -> None:
    """End the fan headers and judge them, as they stand.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission fans end "Desk loop"
    """
    from commission.procedure.model import When
    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand = HeadersAtHand(job.book, job.build_id)
        hand.refuse_locked()
        job.print_cautions(hand, When.BEFORE_SWEEP)
        verdict = hand.work.close(job.build_id)
        job.stored()
        job.judged(verdict.outcome, map(say, verdict.reasons))
