"""``commission power``: supply, cables and voltages of the first power-on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.base.text import clip
from commission.base.verdict import Outcome
from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.groups import Commands
from commission.shell.recording import of_file, recording, records
from commission.stages.first_power.shell.power_wet import hand_of, warn_of_bleed

if TYPE_CHECKING:
    from commission.shell.recording import Recording
    from commission.stages.first_power.at_hand import PowerAtHand


@click.group(cls=Commands, path="power")
def power() -> None:
    """Record the first power-on, step by step; no step is skipped, and nothing here switches anything.

    \b
    Example:
      commission power supply "Desk loop" "Larkspur 850 ATX3" --made 24-pin
      commission power cable "Desk loop" 24-pin readings.csv --unplugged
      commission power rails "Desk loop" voltages.csv
    """


@records("BUILD")
@click.argument("line", metavar="NAME-AND-GUIDE")
@click.option("--made", required=True, metavar="NAMES", help='Cables made or changed by hand, with commas, or "none".')
def supply(build: str, line: str, made: str, *, as_json: bool) -> None:
    """Describe the supply: its name, the guide it claims to follow, ATX2 or ATX3, and its hand-made cables.

    An extension or a sleeved set from a shop counts as hand-made: nobody measured it on this supply. The cautions are
    printed and the record says so.

    \b
    Example:
      commission power supply "Desk loop" "Larkspur 850 ATX3" --made "24-pin, GPU"
      commission power supply "Desk loop" "Larkspur 850 ATX3" --made none
    """
    from commission.bench.deed import said
    from commission.stages.first_power.typed.supply import read_names, read_supply

    with recording(build, as_json=as_json) as job:
        (name, revision), names = read_supply(line), read_names(made)
        hand = hand_of(job)
        _cautions(job, hand)
        told = f"{name}, {revision}; made by hand: {', '.join(names) or 'none'}"
        job.do(
            said(told, lambda: hand.work.describe_supply(job.build_id, name=name, revision=revision, hand_made=names))
        )


@records("BUILD")
@click.argument("name", metavar="NAME")
def meter(build: str, name: str, *, as_json: bool) -> None:
    """Say which multimeter the cables and voltages are read with, by the name on it.

    \b
    Example:
      commission power meter "Desk loop" "bench meter"
    """
    with recording(build, as_json=as_json) as job:
        job.do(hand_of(job).multimeter_deed(name))


@records("BUILD", later="at began")
@click.argument("name", metavar="CABLE")
@click.argument("file", metavar="FILE")
@click.option("--unplugged", is_flag=True, help="Say that both ends are unplugged, mains plug out.")
@click.option("--same", is_flag=True, help="Say that the readings of another cable are right for this one, too.")
def cable(build: str, name: str, file: str, *, unplugged: bool, same: bool, as_json: bool) -> None:
    """Record what the meter showed on a hand-made cable, and what that proves.

    FILE has the columns test (wire or pair), from, to, reading in ohm or OL, and says what the cable is in lines such
    as "# cable: 24-pin 18 AWG 0.6 m", "# map: map.csv" (columns load, supply; or: one to one) and "# meter: 0.2". A
    second file adds to the first. The map is your supply's own, no other's.

    \b
    Exit status: 0 pass, 1 fail, 3 something is still to be measured, 2 error.

    \b
    Example:
      commission power cable "Desk loop" 24-pin readings.csv --unplugged
    """
    from commission.bench.doubt import refuse_unsaid
    from commission.stages.first_power.card.from_file import cable_file_deed
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        with of_file(file):
            deed = cable_file_deed(hand, name, Path(file), refuse_unsaid(same, "--same"), unplugged=unplugged)
        _cautions(job, hand)
        job.do(deed)
        hand.refresh()
        tested = hand.power.cable(name)
        assert tested is not None  # it was just stored
        job.judged(tested.verdict.outcome, map(say, (*tested.verdict.faults, *tested.verdict.missing)))
        for note in tested.verdict.notes:
            job.remark(say(note))


@records("BUILD", "FILE", later="at began")
@columns_option
@click.option("--power-good", metavar="DELAY", help='Delay of PWR_OK after the start, such as "180 ms".')
@click.option("--same", is_flag=True, help="Say that the voltages of an earlier supply are right for this one, too.")
def rails(build: str, file: str, power_good: str | None, *, same: bool, as_json: bool) -> None:
    """Record the voltages of the supply alone, and judge them by its guide.

    FILE is as for "commission judge rails"; a second one adds to the first. Measure at the plugs only, never inside
    the supply.

    \b
    Exit status: 0 pass, 1 fail, 3 something is still to be read, 2 error.

    \b
    Example:
      commission power rails "Desk loop" voltages.csv --power-good "180 ms"
    """
    from commission.bench.doubt import refuse_unsaid
    from commission.record.machine.rungs import Rung
    from commission.stages.first_power.card.from_file import rails_file_deed
    from commission.stages.first_power.typed.rails import power_good_ms
    from commission.units.show import say

    delay = None if power_good is None else power_good_ms(f"PWR_OK {power_good}")
    if power_good is not None and delay is None:
        raise InputError(f'--power-good {power_good!r} is no delay; type such as "180 ms"')
    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        with of_file(file):
            ask, columns = refuse_unsaid(same, "--same"), asked_columns(job.book.shop().instruments)
            deed = rails_file_deed(hand, Path(file), ask, delay_ms=delay, columns=columns)
        warn_of_bleed(hand)
        _cautions(job, hand)
        job.do(deed)
        hand.refresh()
        verdict, supply = hand.power.rails, hand.standing(Rung.SUPPLY)
        assert verdict is not None  # it was just stored
        outcome, why = verdict.outcome, verdict.reasons
        if supply.outcome is Outcome.FAIL and outcome is not Outcome.FAIL:  # by its delay, or a voltage of before
            outcome, why = Outcome.FAIL, hand.verdict.reasons
        job.judged(outcome, map(say, why))
        for finding in verdict.findings:
            job.remark(say(finding))


@records("BUILD")
@click.argument("what", metavar="CABLE|voltages")
@click.argument("reason", metavar="REASON")
def abort(build: str, what: str, reason: str, *, as_json: bool) -> None:
    """Abort the test of a cable, or all voltages, as a whole: an empty one, or one of something else.

    What was measured stays in the log, and "commission show" tells it; it no longer counts, and what was done on top of
    it is done again. What failed stays to be repaired.

    \b
    Example:
      commission power abort "Desk loop" 24-pin "the cable of another supply"
      commission power abort "Desk loop" voltages "the meter stood on ohm"
    """
    from commission.bench.deed import said

    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        cable = next((name for name in hand.power.made if name.casefold() == what.casefold()), None)
        if cable is None and what.casefold() != "voltages":
            raise InputError(f"{clip(what)} is no cable of this supply; type its name, or voltages")
        job.do(said(f"abort {what}: {reason}", lambda: hand.work.aborts.abort(job.build_id, cable or "", reason)))


def _cautions(job: Recording, hand: PowerAtHand) -> None:
    from commission.procedure.model import When

    job.print_cautions(hand, When.BEFORE_POWER, When.MEASURING_CABLES, When.SUPPLY_ALONE)
