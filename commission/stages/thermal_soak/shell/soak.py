"""``commission soak``: its start, its readings, the look at the joints, its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.groups import Commands
from commission.shell.recording import of_file, recording, records, said_to_begin

if TYPE_CHECKING:
    from commission.bench.at_hand import StageAtHand
    from commission.shell.recording import Recording
    from commission.stages.thermal_soak.work.soaks import Soaks


@click.group(cls=Commands, path="soak")
def soak() -> None:
    """Record the thermal soak: its start, readings, the look at the hot joints, its end.

    \b
    Example:
      commission soak begin "Desk loop" --coolant water
      commission soak read "Desk loop" "warm 36.2 cool 34.5 air 22 load 400 W"
      commission soak end "Desk loop"
    """


@records("BUILD", later="began")
@click.option("--coolant", help='water, or glycol by mass: "propylene glycol 30 %"; else what the fill recorded.')
def begin(build: str, *, coolant: str | None, as_json: bool) -> None:
    """Record that the soak begins: its clock runs from here. This only records.

    \b
    Example:
      commission soak begin "Desk loop" --coolant "propylene glycol 30 %"
    """
    with recording(build, as_json=as_json) as job:
        _begin(job, _hand(job), coolant)


@records("BUILD", "LINE...", later="at")
def read(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record readings: coolant, air, components, flow, load, duties; each number behind its name.

    A duty stands behind the name of its chain; fans means all of them. A component that failed a soak is read in the
    next one too, and the load with it: else that one is no pass.

    \b
    Example:
      commission soak read "Desk loop" "warm 36 cool 34 air 22 cpu 71 load 400 W"
      commission soak read "Desk loop" "after 30 min cool 34.5 air 22 fans 50 %"
    """
    from commission.stages.thermal_soak.card.deeds import read_deed

    with recording(build, as_json=as_json) as job:
        hand = _hand(job)
        for line in lines:
            job.do(read_deed(hand, line))
            hand.refresh()


@records("BUILD", "FILE", later="began")
@click.option("--coolant", help="With --began: water, or glycol by mass; else what the fill recorded.")
@click.option("--same", is_flag=True, help="Say that the readings of an earlier soak are right for this one, too.")
@columns_option
def feed(build: str, file: str, coolant: str | None, *, same: bool, as_json: bool) -> None:
    """Record the readings of a table, as for "commission judge soak"; a row that lies after now is refused.

    A soak of an earlier time is begun by its table, with --began: the verdict says that it is taken over. Say of its
    look at the hot joints, its levels and its end when they were, with --at.

    \b
    Example:
      commission soak feed "Desk loop" evening.csv
      commission soak feed "Desk loop" log.csv --began 2026-03-14T20:00+01:00
      commission soak joints "Desk loop" --all-dry --at 2026-03-14T20:50+01:00
    """
    from commission.bench.doubt import refuse_unsaid
    from commission.stages.thermal_soak.card.deeds import feed_deed

    if coolant is not None and not said_to_begin():
        raise click.UsageError("--coolant goes with --began: the coolant of a running soak stands")
    with recording(build, as_json=as_json) as job:
        hand, begins = _hand(job), said_to_begin()
        with of_file(file):
            ask = refuse_unsaid(same, "--same")
            deed = feed_deed(hand, file, ask, asked_columns(job.book.shop().instruments), begins=begins)
        if begins:
            _begin(job, hand, coolant)
        job.do(deed)


@records("BUILD", later="at")
@click.option("--all-dry", is_flag=True, help="Say that paper stayed dry at every joint while hot.")
def joints(build: str, *, all_dry: bool, as_json: bool) -> None:
    """Record that every joint was touched with dry paper while hot; by the names of the last leak watch.

    \b
    Example:
      commission soak joints "Desk loop" --all-dry
    """
    if not all_dry:
        raise click.UsageError('touch every joint with dry paper while hot, then say --all-dry; one alone: "soak look"')
    _look(build, ("all dry",), as_json=as_json)


@records("BUILD", "LINE...", later="at")
def look(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record what dry paper showed at hot joints, now: "all dry", or a joint and dry, damp or wet.

    A wet joint opens a defect, as "commission defect BUILD leak" does.

    \b
    Exit status: 0 stored, 1 a joint is wet: load off, power off, mains plug out.

    \b
    Example:
      commission soak look "Desk loop" "block in dry" "block out damp # wiped"
    """
    _look(build, lines, as_json=as_json)


def _look(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    from commission.base.verdict import Outcome
    from commission.stages.thermal_soak.card.deeds import look_deed

    wet = False
    with recording(build, as_json=as_json) as job:
        hand = _hand(job)
        for line in lines:
            deed = look_deed(hand, line)
            job.do(deed)
            if deed.calls:
                wet = True
                job.leak(where=deed.at, seen=deed.seen or "wet paper while hot")
            hand.refresh()
        if wet:
            job.judged(Outcome.FAIL, ("Load off, power off, mains plug out with dry hands.",))


@records("BUILD", "LINE")
def limit(build: str, line: str, *, as_json: bool) -> None:
    """Record how warm a component may get in the warmest room, by its maker's word; else the procedure says it.

    \b
    Example:
      commission soak limit "Desk loop" "cpu 90 degC, data sheet"
    """
    from commission.stages.thermal_soak.card.deeds import limit_deed

    with recording(build, as_json=as_json) as job:
        job.do(limit_deed(_hand(job), line))


@records("BUILD", "LINE", later="at")
def level(build: str, line: str, *, as_json: bool) -> None:
    """Record the level in the reservoir: cold before the first reading, and cold again after the load.

    \b
    Example:
      commission soak level "Desk loop" "120 mm 23 degC"
    """
    from commission.stages.thermal_soak.card.coolant import level_in

    with recording(build, as_json=as_json) as job:
        job.do(level_in(_hand(job), "level", line))


@records("BUILD", later="at")
def end(build: str, *, as_json: bool) -> None:
    """End the soak and judge it, as it stands.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission soak end "Desk loop"
    """
    from commission.stages.thermal_soak.rows.figures import reasons_of
    from commission.stages.thermal_soak.work.soaks import Soaks

    with recording(build, as_json=as_json) as job:
        verdict = job.book.work(Soaks).close(job.build_id)
        job.stored()
        job.judged(verdict.outcome, reasons_of(verdict))


def _begin(job: Recording, hand: StageAtHand[Soaks], coolant: str | None) -> None:
    """Begin a soak, with the coolant that was typed or that the fill recorded."""
    from commission.procedure.model import When
    from commission.stages.thermal_soak.card.coolant import coolant_in
    from commission.stages.thermal_soak.card.deeds import begin_deed

    known = coolant if coolant is not None else coolant_in(hand.state)
    if known is None:
        raise click.UsageError("the record does not say what coolant is in the loop; say --coolant")
    deed = begin_deed(hand, known)
    job.print_cautions(hand, When.BEFORE_SOAK)
    job.do(deed)
    hand.refresh()


def _hand(job: Recording) -> StageAtHand[Soaks]:
    from commission.bench.at_hand import StageAtHand
    from commission.stages.thermal_soak.work.soaks import Soaks

    return StageAtHand(job.book, job.build_id, job.book.work(Soaks))
