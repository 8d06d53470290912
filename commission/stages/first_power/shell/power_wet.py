"""``commission power pump`` and what follows: the pump alone, the machine, the end of the first power-on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.errors import NotAllowed
from commission.record.machine.rungs import Rung
from commission.shell.recording import recording, records

if TYPE_CHECKING:
    from commission.shell.recording import Recording
    from commission.stages.first_power.at_hand import PowerAtHand


@records("BUILD", later="began")
@click.option("--joints", metavar="NAMES", help="Every joint that can be wet, with commas; usual: those of the parts.")
@click.option("--alone", is_flag=True, help="Say that only the pump is on the supply, with a hand at the switch.")
def pump(build: str, joints: str | None, *, alone: bool, as_json: bool) -> None:
    """Record that the pump alone was started: the leak watch begins now. This only records.

    \b
    Example:
      commission power pump "Desk loop" --joints "block in, block out" --alone
    """
    from commission.bench.deed import said
    from commission.procedure.model import When
    from commission.record.machine.joints import joints_of
    from commission.stages.first_power.typed.watch import edited

    if not alone:
        raise click.UsageError("unplug board, graphics card, drives and fans at the supply first, then say --alone")
    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        _refuse_locked(hand, Rung.PUMP)
        known = hand.power.joints or joints_of(hand.state.parts)
        watched = known if joints is None else edited(joints, known)
        job.print_cautions(hand, When.BEFORE_POWER, When.SUPPLY_ALONE, When.BEFORE_PUMP)
        told = f"the leak watch begins now; watched: {', '.join(watched)}"
        job.do(said(told, lambda: hand.work.start_pump(job.build_id, watched)))


@records("BUILD", "LINE...", later="at")
def look(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record what dry paper showed at joints, now: "all dry", or a joint and dry, damp or wet.

    A wet joint opens a defect, as "commission defect BUILD leak" does.

    \b
    Exit status: 0 stored, 1 a joint is wet: switch the pump off, mains plug out.

    \b
    Example:
      commission power look "Desk loop" "all dry"
      commission power look "Desk loop" "block in wet # a drop at the seal"
    """
    from commission.base.verdict import Outcome
    from commission.stages.first_power.card.watch import Watching
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        watching = Watching(hand)
        for line in lines:
            deed = watching.looked(line)
            job.do(deed)
            if deed.calls:
                job.leak(where=deed.at, seen=deed.seen or "wet paper in the leak watch")
            hand.refresh()
        failed = watching.verdict.outcome is Outcome.FAIL
        if failed:
            job.judged(
                Outcome.FAIL, ("Switch the pump off at once, mains plug out.", *map(say, watching.verdict.reasons))
            )


@records("BUILD", later="at")
@click.argument("line", metavar="LEVEL-AND-NOISE")
def off(build: str, line: str, *, as_json: bool) -> None:
    """Record that the pump was switched off, what level and noise did, and judge the leak watch.

    Level: steady, sinking, unseen. Noise: quiet, gurgling, rattling, unheard.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission power off "Desk loop" "steady quiet"
    """
    from commission.bench.deed import said
    from commission.stages.first_power.typed.watch import read_state
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand, (level, noise) = hand_of(job), read_state(line)
        told = f"the pump is off; level {level}, {noise}"
        job.do(said(told, lambda: hand.work.end_watch(job.build_id, level=level, noise=noise)))
        hand.refresh()
        verdict = hand.power.wet
        assert verdict is not None  # it was just stored
        job.judged(verdict.outcome, map(say, verdict.reasons))


@records("BUILD", "LINE...", later="at")
def machine(build: str, lines: tuple[str, ...], *, as_json: bool) -> None:
    """Record what was seen at the first start of the whole machine: the pump's sign, then headers and temperature.

    \b
    Exit status: 0 pass, 1 fail, 3 something is still to be looked at, 2 error.

    \b
    Example:
      commission power machine "Desk loop" "speed 2 s 4700 rpm" "right 41 degC"
    """
    from commission.procedure.model import When
    from commission.stages.first_power.card.machine import MachineRung
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        _refuse_locked(hand, Rung.MACHINE)
        rung = MachineRung(hand)
        job.print_cautions(hand, When.BEFORE_POWER, When.BEFORE_MACHINE, When.FIRST_START)
        for line in lines:
            job.do(rung.deed(line))
            hand.refresh()
        verdict = hand.power.machine
        if verdict is None:
            return
        job.judged(verdict.outcome, map(say, verdict.reasons))


@records("BUILD", later="at")
@click.argument("done", metavar="WHAT-WAS-DONE")
def repaired(build: str, done: str, *, as_json: bool) -> None:
    """Record what was done about what failed on a lower step; it stays open until then.

    \b
    Example:
      commission power repaired "Desk loop" "new crimp on pin 3"
    """
    with recording(build, as_json=as_json) as job:
        hand = hand_of(job)
        deed = hand.aside(f"repaired {done}")
        assert deed is not None  # the word is one of them
        job.do(deed)


@records("BUILD", later="at")
def end(build: str, *, as_json: bool) -> None:
    """End the first power-on and judge it, as it stands.

    \b
    Exit status: 0 pass, 1 fail, 3 inconclusive, 4 invalid, 2 nothing was stored.

    \b
    Example:
      commission power end "Desk loop"
    """
    from commission.units.show import say

    with recording(build, as_json=as_json) as job:
        verdict = hand_of(job).work.close(job.build_id)
        job.stored()
        job.judged(verdict.outcome, map(say, verdict.reasons))


def warn_of_bleed(hand: PowerAtHand) -> None:
    """Say that the bleed of the same build goes on, where it does: its mains plug stays out."""
    from commission.shell.console import tell
    from commission.stages.first_power.at_hand import BLEED_GOES_ON

    if hand.bleeding:
        tell(BLEED_GOES_ON)


def _refuse_locked(hand: PowerAtHand, rung: Rung) -> None:
    """Refuse a step that waits for something, before any caution of it is printed.

    Raises
    ------
    NotAllowed
        If it may not be done yet; the message says what it waits for.
    """
    from commission.units.show import say

    warn_of_bleed(hand)
    locked = hand.lock_of(rung)
    if locked is not None:
        raise NotAllowed(f'"{rung}" is locked. {say(locked)}')


def hand_of(job: Recording) -> PowerAtHand:
    """Return the build with its power state, as the screen has it."""
    from commission.stages.first_power.at_hand import PowerAtHand

    return PowerAtHand(job.book, job.build_id)
