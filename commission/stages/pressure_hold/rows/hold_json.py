"""A hold's verdict as plain data for programs: one JSON object on one line."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.model import LateFall, LeakRate

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.stages.pressure_hold.model import HoldVerdict


class JudgedFile(Frozen):
    """What the readings of one file prove."""

    file: str
    """The file as it was named; ``-`` for standard input."""
    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    reference_k: float
    """Temperature to which leak rates and fall of pressure are referred [K]."""
    leak_rate: LeakRate | None
    """Leak rate of air at the test pressure of the start, with one-sided bounds: `...95` at 95 %, `lower` and `upper`
    at `level`, by which it was decided [Pa·m3/s at reference_k]."""
    limit: float
    """The limit it was judged by [Pa·m3/s]."""
    start_gauge_pa: float | None
    """Gauge pressure at the start of the judged part [Pa]."""
    drop_pa: float | None
    """Fall of the compensated pressure over the judged part [Pa at reference_k]."""
    duration_s: float
    """Length of the judged part [s]."""
    settling_s: float
    """How much was left out at the start [s]."""
    readings: int
    """Pressure readings in the judged part."""
    smallest_detectable: float | None
    """Smallest leak rate that this hold finds with at most 5 % risk either way [Pa·m3/s]."""
    hold_needed_s: float | None
    """Length of hold that would decide [s]; null where it is decided or no length would."""
    late: LateFall | None
    """A fall that became faster; null where none was seen. The leak rate is then a mean over the hold."""
    blind_s: float | None
    """A leak of three times the limit that began within this time of the end would not be seen [s]; null where no
    late start would be, or nothing was judged."""
    reasons: tuple[str, ...]
    """Why, in plain words; the one that decided comes first, then what had to be assumed."""


def judged_file(file: str, verdict: HoldVerdict, reasons: Iterable[str]) -> JudgedFile:
    """Return a verdict as plain data; what is not finite becomes null."""
    return JudgedFile(
        file=file,
        outcome=verdict.outcome,
        reference_k=verdict.reference_k,
        leak_rate=_finite_bounds(verdict.leak_rate),
        limit=verdict.limit_pa_m3_s,
        start_gauge_pa=_finite(verdict.start_gauge_pa),
        drop_pa=_finite(verdict.drop_pa),
        duration_s=verdict.duration_s,
        settling_s=verdict.settling_s,
        readings=verdict.readings,
        smallest_detectable=_finite(verdict.smallest_detectable),
        hold_needed_s=_finite(verdict.hold_needed_s),
        late=verdict.late,
        blind_s=_finite(verdict.blind_s),
        reasons=tuple(reasons),
    )


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


def _finite_bounds(bounds: LeakRate | None) -> LeakRate | None:
    """Return bounds only where all are numbers: half a statement would be read as a whole one."""
    if bounds is None:
        return None
    figures = (bounds.value, bounds.lower95, bounds.upper95, bounds.at_least, bounds.at_most)
    if not all(map(math.isfinite, figures)):
        return None
    return bounds
