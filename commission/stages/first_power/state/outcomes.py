"""What each rung of the ladder shows so far."""

from collections.abc import Iterable

from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.ladder import PowerRecord


def rung_outcomes(record: PowerRecord) -> dict[Rung, Outcome | None]:
    """Return the outcome of each rung in order; None where it was not climbed."""
    return {
        Rung.CABLES: _cables(record),
        Rung.SUPPLY: _supply(record),
        Rung.PUMP: _pump(record),
        Rung.MACHINE: _machine(record),
    }


def _cables(record: PowerRecord) -> Outcome | None:
    if not record.basis.hand_made:
        return Outcome.INCONCLUSIVE if unmended(record, Rung.CABLES) else Outcome.PASS
    if not record.cables:
        return None
    worst = worst_of(verdict.outcome for verdict in record.cables)
    open_ones = len(record.cables) < record.cables_wanted or unmended(record, Rung.CABLES)
    return Outcome.INCONCLUSIVE if worst is Outcome.PASS and open_ones else worst


def _supply(record: PowerRecord) -> Outcome | None:
    if record.rails is None:
        return None
    signals = [record.power_good.outcome] if record.power_good else []
    worst = worst_of([record.rails.outcome, *signals])
    return Outcome.INCONCLUSIVE if worst is Outcome.PASS and unmended(record, Rung.SUPPLY) else worst


def _pump(record: PowerRecord) -> Outcome | None:
    if record.wet is None:
        return None
    held_back = record.wet.outcome is Outcome.PASS and unmended(record, Rung.PUMP)
    return Outcome.INCONCLUSIVE if held_back else record.wet.outcome


def _machine(record: PowerRecord) -> Outcome | None:
    if record.machine is None:
        return None
    held_back = record.machine.outcome is Outcome.PASS and unmended(record, Rung.MACHINE)
    return Outcome.INCONCLUSIVE if held_back else record.machine.outcome


def unmended(record: PowerRecord, rung: Rung) -> list[Phrase]:
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


def worst_of(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the gravest of some outcomes; a pass where there is none."""
    found = set(outcomes)
    order = (Outcome.FAIL, Outcome.INVALID, Outcome.INCONCLUSIVE)
    return next((outcome for outcome in order if outcome in found), Outcome.PASS)
