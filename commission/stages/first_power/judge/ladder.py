"""The ladder of the first power-on: which rung may be climbed, and what the whole of it proves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.text import braced
from commission.base.verdict import Outcome
from commission.record.machine.rungs import NEVER_OVERRIDDEN, Rung, rung_locked
from commission.stages.first_power.model.ladder import FirstPowerVerdict, RungState
from commission.stages.first_power.state.outcomes import rung_outcomes, unmended, worst_of

if TYPE_CHECKING:
    from commission.stages.first_power.model.ladder import PowerRecord


def evaluate_first_power(record: PowerRecord) -> FirstPowerVerdict:
    """Judge the first power-on.

    Parameters
    ----------
    record
        Everything that was done on the ladder so far [verdicts].

    Returns
    -------
    FirstPowerVerdict
        Every rung with its outcome or its lock, and the outcome of the whole [words].

    Notes
    -----
    FAIL where a rung failed, PASS where all passed, INVALID where a cable was measured plugged in, else INCONCLUSIVE.
    A cable, a voltage, a joint or a start of the machine that failed and passed later holds its rung back until it is
    said what was done. A rung that passed while one below it did not does not count. Without hand-made cables the first
    rung is passed.

    Examples
    --------
    >>> from commission.stages.first_power.model.ladder import PowerBasis, PowerRecord
    >>> basis = PowerBasis(hold_passed=True, filled=True, hand_made=False)
    >>> verdict = evaluate_first_power(PowerRecord(basis=basis))
    >>> str(verdict.outcome), verdict.reasons[0].template
    ('inconclusive', 'Next: "supply alone".')
    """
    outcomes = rung_outcomes(record)
    basis = record.basis
    rungs = tuple(
        RungState(
            rung=rung,
            outcome=outcomes[rung],
            locked=rung_locked(
                rung,
                outcomes,
                hold_passed=basis.hold_passed,
                filled=basis.filled,
                bleed_failed=basis.bleed_failed,
                hurt=basis.hurt,
            ),
        )
        for rung in Rung
    )
    return FirstPowerVerdict(outcome=_outcome(rungs), rungs=rungs, reasons=tuple(_reasons(rungs, record)))


def _told(record: PowerRecord) -> list[Phrase]:
    """Return what a pass must not hide: plugs left out, readings of something else, and what failed before."""
    findings = record.rails.findings if record.rails else ()
    left_out = [phrase for phrase in findings if phrase.code == "left_out"]
    faults = [
        Phrase("mended", f"{fault.what} failed before: {fault.said} Done: {fault.done}", fault.amounts)
        for fault in record.faults
        if fault.done
    ]
    same = [
        Phrase("same_readings", braced(f"{what}: the very readings of {other}, said to be right."))
        for what, other in record.same
    ]
    return [*left_out, *same, *faults]


def _outcome(rungs: tuple[RungState, ...]) -> Outcome:
    worst = worst_of(state.outcome for state in rungs if state.outcome is not None)
    if worst in (Outcome.FAIL, Outcome.INVALID):
        return worst
    climbed = all(state.outcome is Outcome.PASS and state.locked is None for state in rungs)
    return Outcome.PASS if climbed else Outcome.INCONCLUSIVE


def _reasons(rungs: tuple[RungState, ...], record: PowerRecord) -> list[Phrase]:
    said = {
        Rung.CABLES: [phrase for verdict in record.cables for phrase in (*verdict.faults, *verdict.missing)],
        Rung.SUPPLY: [
            *(record.rails.reasons if record.rails else ()),
            *([record.power_good.reason] if record.power_good else []),
        ],
        Rung.PUMP: list(record.wet.reasons) if record.wet else [],
        Rung.MACHINE: list(record.machine.reasons) if record.machine else [],
    }
    deciding = [
        phrase for state in rungs if state.outcome in (Outcome.FAIL, Outcome.INVALID) for phrase in said[state.rung]
    ]
    if deciding:
        return deciding
    for state in rungs:
        if state.locked is not None and (state.outcome is not None or state.locked.code in NEVER_OVERRIDDEN):
            return [state.locked]
        if state.outcome is not Outcome.PASS:
            why = [*unmended(record, state.rung), *said[state.rung]]
            return why or [Phrase("next_rung", f'Next: "{state.rung}".')]
    return [Phrase("all_climbed", "All four steps passed, in order."), *_told(record)]
