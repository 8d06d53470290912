"""The ladder of the first power-on: which rung may be climbed, and what the whole of it proves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.stages.first_power.model.rungs import FirstPowerVerdict, Rung, RungState

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from commission.stages.first_power.model.rungs import PowerBasis, PowerRecord

NEVER_OVERRIDDEN = frozenset({"hold_not_passed", "not_filled"})
"""Locks that no reason opens: under power a dry or leaking loop loses its pump, or the machine."""


def rung_locked(rung: Rung, basis: PowerBasis, outcomes: Mapping[Rung, Outcome | None]) -> Phrase | None:
    """Return why a rung may not be climbed yet.

    Parameters
    ----------
    rung
        The rung [word].
    basis
        What the ladder rests on [yes or no].
    outcomes
        Outcome of each rung so far; None where it was not climbed [words].

    Returns
    -------
    Phrase or None
        Why it is locked; None where it may be climbed [words].

    Raises
    ------
    ValueError
        Never.

    Notes
    -----
    Each rung rests on all below it. The pump's rung also rests on a hold that passed and a fill that is signed off;
    these two locks are never overridden.

    Examples
    --------
    >>> from commission.stages.first_power.model.rungs import PowerBasis
    >>> basis = PowerBasis(hold_passed=True, filled=False, hand_made=False)
    >>> below = {Rung.CABLES: Outcome.PASS, Rung.SUPPLY: Outcome.PASS}
    >>> rung_locked(Rung.PUMP, basis, below).code
    'not_filled'
    """
    if rung in (Rung.PUMP, Rung.MACHINE):
        if not basis.hold_passed:
            said = "The pressure hold has not passed: coolant must not meet power before the loop is proven tight."
            return Phrase("hold_not_passed", said)
        if not basis.filled:
            return Phrase("not_filled", "The loop is not filled: dry, the pump is soon ruined.")
    ladder = list(Rung)
    for below in ladder[: ladder.index(rung)]:
        if outcomes.get(below) is not Outcome.PASS:
            word = outcomes.get(below) or "not climbed"
            return Phrase("rung_below", f'It rests on "{below}", which is {word}.')
    return None


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

    Raises
    ------
    ValueError
        Never.

    Notes
    -----
    FAIL where a rung failed, PASS where all passed, INVALID where a cable was measured plugged in, else INCONCLUSIVE.
    A cable, a voltage, a joint or a start of the machine that failed and passed later holds its rung back until it is
    said what was done. A rung that passed while one below it did not does not count. Without hand-made cables the first
    rung is passed.

    Examples
    --------
    >>> from commission.stages.first_power.model.rungs import PowerBasis, PowerRecord
    >>> basis = PowerBasis(hold_passed=True, filled=True, hand_made=False)
    >>> verdict = evaluate_first_power(PowerRecord(basis=basis))
    >>> str(verdict.outcome), str(verdict.next_rung)
    ('inconclusive', 'supply alone')
    """
    outcomes = {
        Rung.CABLES: _cables(record),
        Rung.SUPPLY: _supply(record),
        Rung.PUMP: _pump(record),
        Rung.MACHINE: _machine(record),
    }
    rungs = tuple(
        RungState(rung=rung, outcome=outcomes[rung], locked=rung_locked(rung, record.basis, outcomes)) for rung in Rung
    )
    return FirstPowerVerdict(outcome=_outcome(rungs), rungs=rungs, reasons=tuple(_reasons(rungs, record)))


def _cables(record: PowerRecord) -> Outcome | None:
    if not record.basis.hand_made:
        return Outcome.INCONCLUSIVE if _unmended(record, Rung.CABLES) else Outcome.PASS
    if not record.cables:
        return None
    worst = _worst(verdict.outcome for verdict in record.cables)
    open_ones = len(record.cables) < record.cables_wanted or _unmended(record, Rung.CABLES)
    return Outcome.INCONCLUSIVE if worst is Outcome.PASS and open_ones else worst


def _supply(record: PowerRecord) -> Outcome | None:
    if record.rails is None:
        return None
    signals = [record.power_good.outcome] if record.power_good else []
    worst = _worst([record.rails.outcome, *signals])
    return Outcome.INCONCLUSIVE if worst is Outcome.PASS and _unmended(record, Rung.SUPPLY) else worst


def _pump(record: PowerRecord) -> Outcome | None:
    if record.wet is None:
        return None
    held_back = record.wet.outcome is Outcome.PASS and _unmended(record, Rung.PUMP)
    return Outcome.INCONCLUSIVE if held_back else record.wet.outcome


def _machine(record: PowerRecord) -> Outcome | None:
    if record.machine is None:
        return None
    held_back = record.machine.outcome is Outcome.PASS and _unmended(record, Rung.MACHINE)
    return Outcome.INCONCLUSIVE if held_back else record.machine.outcome


def _unmended(record: PowerRecord, rung: Rung) -> list[Phrase]:
    """Return what failed on a rung and of which nobody said what was done."""
    return [
        Phrase(
            "not_mended",
            f"{fault.what} failed before: {fault.said} What was done about it is not recorded.",
            fault.amounts,
        )
        for fault in record.faults
        if fault.rung is rung and not fault.done
    ]


def _told(record: PowerRecord) -> list[Phrase]:
    """Return what a pass must not hide: plugs that were left out, and what failed before it was mended."""
    findings = record.rails.findings if record.rails else ()
    left_out = [phrase for phrase in findings if phrase.code == "left_out"]
    faults = [
        Phrase("mended", f"{fault.what} failed before: {fault.said} Done: {fault.done}", fault.amounts)
        for fault in record.faults
        if fault.done
    ]
    return [*left_out, *faults]


def _worst(outcomes: Iterable[Outcome]) -> Outcome:
    found = set(outcomes)
    order = (Outcome.FAIL, Outcome.INVALID, Outcome.INCONCLUSIVE)
    return next((outcome for outcome in order if outcome in found), Outcome.PASS)


def _outcome(rungs: tuple[RungState, ...]) -> Outcome:
    worst = _worst(state.outcome for state in rungs if state.outcome is not None)
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
            why = [*_unmended(record, state.rung), *said[state.rung]]
            return why or [Phrase("next_rung", f'Next: "{state.rung}".')]
    return [Phrase("all_climbed", "All four rungs passed, in order."), *_told(record)]
