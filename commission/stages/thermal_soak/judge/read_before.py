"""Whether a soak's readings are those of an earlier soak of the machine: one file proves one state of it once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.stages.thermal_soak.judge import reasons_told
from commission.stages.thermal_soak.state import SoakState
from commission.statistics.same_rows import same_rows

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from commission.record.build_state import BuildState
    from commission.stages.thermal_soak.model import SoakReading, SoakVerdict
    from commission.stages.thermal_soak.state import EarlierSoak


def same_as(readings: Sequence[SoakReading], earlier: Sequence[EarlierSoak]) -> str:
    """Return which earlier soak of the build showed these very readings; empty where none did."""
    rows = _rows(readings)
    attempt = next((one.attempt for one in reversed(earlier) if same_rows(rows, _rows(one.readings))), 0)
    return f"soak {attempt}" if attempt else ""


def read_before(verdict: SoakVerdict, state: BuildState) -> SoakVerdict:
    """Return a verdict that tells readings of an earlier soak, and is no pass where nobody said that they are right."""
    kept = state.of(SoakState)
    said = next((one.same_as for one in kept.taken if one.same_as), "")
    other = said or same_as(kept.readings, kept.earlier)
    if not other:
        return verdict
    told = reasons_told.read_before(other, said=bool(said))
    if verdict.outcome is Outcome.PASS and not said:
        return replace(verdict, outcome=Outcome.INCONCLUSIVE, reasons=(told, *verdict.reasons[1:]))
    return replace(verdict, reasons=(*verdict.reasons[:1], told, *verdict.reasons[1:]))


def _rows(readings: Sequence[SoakReading]) -> list[Hashable]:
    return [(one.air_k, one.warm_k, one.cool_k, one.flow_m3_s, one.load_w, _named(one)) for one in readings]


def _named(reading: SoakReading) -> tuple[tuple[str, float], ...]:
    return tuple((one.name, one.value) for one in (*reading.components, *reading.duties))
