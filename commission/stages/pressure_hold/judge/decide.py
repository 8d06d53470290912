"""What a hold proves: the outcome, the reason that decided, and a loss so large that a coarse gauge proves it."""

from __future__ import annotations

from statistics import NormalDist
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.gas import pressure_change
from commission.physics.leak import leak_drop
from commission.stages.pressure_hold.judge import late as hold_late
from commission.stages.pressure_hold.judge import reasons as hold_reasons
from commission.stages.pressure_hold.judge import validity as hold_validity
from commission.stages.pressure_hold.judge.bounds import Band, band, rate
from commission.stages.pressure_hold.judge.jumps import find_jump
from commission.stages.pressure_hold.judge.settled import Settled, is_gross
from commission.stages.pressure_hold.judge.share import at_least
from commission.stages.pressure_hold.judge.terms import half_width, weather_swing_pa
from commission.stages.pressure_hold.judge.unbelieved import explained_away, left_out_unexplained

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.late import Late
    from commission.stages.pressure_hold.judge.series import Columns
    from commission.stages.pressure_hold.judge.settled import Settled
    from commission.stages.pressure_hold.model import HoldSetup

EARLY_LEVEL = NormalDist().cdf(4.5)
"""Level for calling a gross leak before the planned end: all looks together spend less than 0.1 % [1]. Source: J. L.
Haybittle, Brit. J. Radiology 44 (1971) 793 (from memory); 4.5 for his 3, our choice: looks come with readings."""
ROSE_LEVEL = 0.999
"""Level beyond which a rise of the compensated pressure is no chance [1]; our choice: one false alarm in a thousand
holds."""
RISING_LEVEL = 0.99
"""Level beyond which a rise is too doubtful to pass, though it may be chance [1]; our choice: a pass is refused
sooner than a hold is called invalid."""
EARLY_STEPS = 10
"""Display steps that a leak called early must have moved [1]; our choice: no sticking needle moves by ten."""
EARLY_AFTER_S = 600.0
"""A leak is called early only after this time, unless more is gone than any settling takes [s]. Source: TRGI,
smallest volume class, second-hand: wait 10 min."""


class Case(Frozen):
    """Everything that the deciding needs."""

    seen: Columns
    """The readings."""
    setup: HoldSetup
    """The set-up."""
    settled: Settled
    """The judged part with its fits."""
    late: Late | None
    """What the end of the hold tells; None before the planned end."""
    planned_s: float | None
    """Planned length; None where none was planned [s]."""
    deciding: Band
    """The leak rate with the bounds that the decision uses."""

    @property
    def early(self) -> bool:
        """Whether the planned end was not reached."""
        return self.late is None


def band_of(settled: Settled, level: float) -> Band:
    """Return the bounds of the leak rate.

    Parameters
    ----------
    level
        Probability with which each bound holds, above 0.5 and below 1 [1].

    Returns
    -------
    Band
        Estimate and bounds [Pa·m3/s]; where the settling was not over, the lower one allows for all of it.

    Raises
    ------
    ValueError
        If the level is out of range.
    """
    found = band(settled.part, settled.fitted, level, tail_pa=settled.tail_pa)
    settling = settled.settling
    if settling is None or settled.over:
        return found
    lower = min(
        rate(settling.drop_low_pa - half_width(one.line, one.parts, level, lower=True), one.line, settled.part.setup)
        for one in settled.fitted
    )
    return Band(value=found.value, lower=min(found.lower, lower), upper=found.upper)


def _invalid(case: Case) -> Phrase | None:
    """Return why the readings cannot carry a verdict."""
    settled, setup = case.settled, case.setup
    jump = find_jump(case.seen, setup, settled.fitted[0].compensated_pa, settled.part.begin)
    if jump is not None:
        return jump
    source = hold_validity.source_open(case.seen, setup, settled.fitted)
    if source is not None:
        return source
    level = EARLY_LEVEL if case.early else ROSE_LEVEL
    fall = max(one.line.drop_pa for one in settled.fitted)
    return hold_validity.rose(band(settled.part, settled.fitted, level).upper, fall)


def decide(case: Case) -> tuple[Outcome, Phrase]:
    """Return the outcome and the reason that decided.

    What cannot be judged comes first, then what fails, then all that stands against a pass.
    """
    refused = _invalid(case)
    if refused is not None:
        return Outcome.INVALID, refused
    if case.late is None:
        return _decide_early(case)
    doubtful = band_of(case.settled, RISING_LEVEL)
    if doubtful.upper < 0:
        return Outcome.INCONCLUSIVE, hold_reasons.may_have_risen(doubtful.upper)
    failed = _failed(case, case.late)
    return (Outcome.FAIL, failed) if failed is not None else _passed(case, case.late)


def _failed(case: Case, late: Late) -> Phrase | None:
    """Return what proves a leak beyond the limit."""
    limit = case.setup.limit_pa_m3_s
    if case.deciding.lower > limit:
        return hold_reasons.decided(Outcome.FAIL, case.deciding, limit)
    if late.fails and late.fall is not None:
        return hold_late.late_leak(late.fall, limit)
    lost = coarse_but_lost(case.settled)
    return None if lost is None else hold_late.gross_on_coarse_gauge(lost)


def _passed(case: Case, late: Late) -> tuple[Outcome, Phrase]:
    """Return a pass, or what stands against it."""
    limit, found, settled = case.setup.limit_pa_m3_s, case.deciding, case.settled
    hidden = not settled.over and settled.settling is not None and settled.settling.amplitude_pa < 0
    within = found.upper <= limit
    if late.fall is not None and (within or not settled.over):
        after = int((case.seen.elapsed_s > late.fall.onset_s + 1e-9).sum())
        return Outcome.INCONCLUSIVE, hold_late.fell_faster(after)
    if hidden:
        return Outcome.INCONCLUSIVE, hold_late.bends()
    if within and not case.setup.step_stated and case.seen.display_range_pa == 0:
        return Outcome.INCONCLUSIVE, hold_late.step_not_known()
    if within and (doubt := explained_away(settled, found.upper)) is not None:
        return Outcome.INCONCLUSIVE, doubt
    if within and (doubt := left_out_unexplained(settled)) is not None:
        return Outcome.INCONCLUSIVE, doubt
    if within:
        return Outcome.PASS, hold_reasons.decided(Outcome.PASS, found, limit)
    if not settled.over:
        return Outcome.INVALID, hold_reasons.still_settling(settled)
    return Outcome.INCONCLUSIVE, hold_reasons.decided(Outcome.INCONCLUSIVE, found, limit)


def _decide_early(case: Case) -> tuple[Outcome, Phrase]:
    """Call a gross leak, or say what is still missing."""
    settled, setup = case.settled, case.setup
    drop = min(one.line.drop_pa for one in settled.fitted)
    explained = settled.part.span_s < EARLY_AFTER_S and not is_gross(settled.fitted)
    if case.deciding.lower > setup.limit_pa_m3_s and drop >= EARLY_STEPS * setup.gauge_step_pa and not explained:
        share = at_least(case.deciding.lower, setup.limit_pa_m3_s)
        return Outcome.FAIL, Phrase(
            "gross_leak_called_early",
            f"Gross leak: at least {share} of {{0}} (99.9 %). No need to wait.",
            (Amount(Quantity.LEAK_RATE, setup.limit_pa_m3_s),),
        )
    if not settled.over:
        return Outcome.INCONCLUSIVE, hold_reasons.still_settling(settled)
    return Outcome.INCONCLUSIVE, hold_reasons.still_running(case.seen.last_s, case.planned_s)


COARSE_STEPS = 20.0
"""A gauge whose start pressure has fewer steps is coarse [1]; our choice: below it one step is a twentieth of all."""
ROUNDING_STEPS = 1.5
"""Steps that two readings may be wrong by together [1]; our choice: one for rounding, a half for the reader."""
STEADY_K = 0.3
"""What gas and thermometer may differ by [K]; our choice: as beside a loop in a quiet room."""
AFTER_S = 600.0
"""Time that must lie between the readings [s]; our choice: heat of pumping is gone in a few minutes."""


def coarse_but_lost(settled: Settled) -> float | None:
    """Return the loss that a coarse gauge proves beyond the limit.

    Returns
    -------
    float or None
        Fall from the first to the last reading that is certain [Pa]; None where the gauge is fine, or the fall is
        not beyond what a leak of the limit makes.

    Notes
    -----
    (g0 − gn) − 1.5 steps − 0.3 K·P/T > (1 + 3·u_V/V)·L·H/V. Without a thermometer the swing of the room stands in the
    place of 0.3 K, without a barometer its wander is taken off too.

    Source: our choice; simulated holds of coarse dials.
    """
    part, setup, line = settled.part, settled.part.setup, settled.fitted[0].line
    seen = part.seen
    if line.start_gauge_pa >= COARSE_STEPS * setup.gauge_step_pa or part.span_s < AFTER_S:
        return None
    warm = STEADY_K if seen.air_known else setup.room_swing_k
    weather = weather_swing_pa(part.span_s) if not setup.absolute and seen.barometer_readings < 2 else 0.0
    fall = float(seen.gauge_pa[part.begin] - seen.gauge_pa[part.end - 1])
    heat = pressure_change(line.start_pa, setup.reference_k, warm)
    certain = fall - ROUNDING_STEPS * setup.gauge_step_pa - heat - weather
    permitted = leak_drop(setup.limit_pa_m3_s, setup.volume_m3, part.span_s)
    return certain if certain > (1 + 3 * setup.u_volume_m3 / setup.volume_m3) * permitted else None
