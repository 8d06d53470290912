"""The verdict of a pressure hold: is the leak below the limit, beyond it, or can these readings not tell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from commission.domain.hold import HoldSeries, HoldSetup, HoldVerdict
from commission.domain.quantity import Amount, Phrase, Quantity
from commission.domain.verdict import Bounded, Outcome
from commission.evaluate import hold_reasons, hold_validity
from commission.evaluate.hold_bounds import Band, band, rate, smallest_detectable
from commission.evaluate.hold_jumps import find_jump
from commission.evaluate.hold_needed import needed_s
from commission.evaluate.hold_picture import picture
from commission.evaluate.hold_series import Columns, as_arrays, columns
from commission.evaluate.hold_settled import Settled, is_gross, settle
from commission.evaluate.hold_terms import half_width
from commission.evaluate.hold_variants import best_variant
from commission.evaluate.plain_rules import plain_rules

LEVEL = 0.95
"""Probability with which each reported bound holds alone [1]; our choice: the level that standards of measurement
usually state (JCGM 106:2012 leaves it to the user, from memory)."""
EARLY_LEVEL = NormalDist().cdf(4.5)
"""Level for calling a gross leak before the planned end: all looks together spend less than 0.1 % [1]. Source: J. L.
Haybittle, Brit. J. Radiology 44 (1971) 793 (from memory); 4.5 for his 3, our choice: looks come with readings."""
ROSE_LEVEL = 0.999
"""Level beyond which a rise of the compensated pressure is no chance [1]; our choice: one false alarm in a thousand
holds."""
TOLD_WHEN_INVALID = frozenset({"settling_not_over", "pressure_rose"})
"""Reasons for which a leak rate is given although the hold is invalid: it is what was measured [1]."""
RISING_LEVEL = 0.99
"""Level beyond which a rise is too doubtful to pass, though it may be chance [1]; our choice: a pass is refused
sooner than a hold is called invalid."""
EARLY_STEPS = 10
"""Display steps that a leak called early must have moved [1]; our choice: no sticking needle moves by ten."""
EARLY_AFTER_S = 600.0
"""A leak is called early only after this time, unless more is gone than any settling takes [s]. Source: TRGI,
smallest volume class, second-hand: wait 10 min."""
ON_TIME = 0.95
"""A hold that reached this share of its planned time counts as ended as planned [1]; our choice: the last reading may
be typed a little early."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """Everything that the last steps of the walk need."""

    seen: Columns
    setup: HoldSetup
    settled: Settled
    early: bool
    planned_s: float | None
    reported: Band
    """With 95 % bounds."""
    deciding: Band
    """With the bounds that the decision uses."""


def evaluate_pressure_hold(
    series: HoldSeries, setup: HoldSetup, *, look: int = 1, planned_s: float | None = None, running: bool = False
) -> HoldVerdict:
    """Judge a pressure hold.

    Parameters
    ----------
    series
        The readings [SI].
    setup
        What is known beside them [SI].
    look
        How many times this hold has been judged at an end, this time included; more than 1 where it was extended
        after an inconclusive end [1].
    planned_s
        Planned length of the hold; None where none was planned [s].
    running
        Whether the hold goes on [true or false].

    Returns
    -------
    HoldVerdict
        Outcome, leak rate at the start pressure with its bounds, and the reasons.

    Raises
    ------
    ValueError
        If look is below 1 or the volume, limit or step of the set-up is not positive.

    Notes
    -----
    The compensated pressure P·T_ref/T is fitted against the time a viscous leak feels, once for each way in which the
    gas may have trailed the air; the bounds are the widest of these. Pass if the upper bound is within the limit,
    fail if the lower is beyond it, otherwise inconclusive. Before the planned end only a gross leak is called, at a
    far stricter level. An extended hold is judged at 1 − 0.05/look.

    Source: JCGM 106:2012 for decisions with guard bands; the estimator is this project's and its coverage is
    simulated in the benchmarks.

    Examples
    --------
    Start and end of an hour, 1.2 L, limit 1e-3 Pa·m3/s (1e-2 mbar·L/s): 3.13 mbar compensated drop, and
    1.0447e-4 Pa·m3/s by V·drop/t.

    >>> setup = HoldSetup(volume_m3=1.2e-3, u_volume_m3=3e-5, limit_pa_m3_s=1e-3, gauge_step_pa=100, air_step_k=0.1,
    ...     barometer_step_pa=10)
    >>> read = HoldSeries(elapsed_s=[0, 3600], pressure_pa=[50000, 49700], air_k=[294.65, 294.25],
    ...     barometer_pa=[101320, 101100])
    >>> verdict = evaluate_pressure_hold(read, setup)
    >>> str(verdict.outcome), round(verdict.drop_pa, 1)
    ('pass', 313.4)
    """
    if look < 1 or not (setup.volume_m3 > 0 and setup.limit_pa_m3_s > 0 and setup.gauge_step_pa > 0):
        raise ValueError("look must be 1 or more; volume, limit and gauge step must be above 0")
    series = as_arrays(series)
    refused = hold_validity.refuse_readings(series)
    if refused is not None:
        early = running and refused.code == "too_few_readings"
        return _nothing(setup, Outcome.INCONCLUSIVE if early else Outcome.INVALID, refused, len(series.elapsed_s))
    seen = columns(series, setup)
    refused = hold_validity.refuse_start(seen, setup) or hold_validity.interrupted(series)
    if refused is not None:
        return _nothing(setup, Outcome.INVALID, refused, seen.readings, seen)
    try:
        settled = settle(seen, setup)
    except ValueError:
        waiting = Phrase(
            "settling_time_not_over",
            "Fewer than two readings lie after the settling time of {0}.",
            (Amount(Quantity.DURATION, setup.settle_s or 0.0),),
        )
        return _nothing(setup, Outcome.INCONCLUSIVE if running else Outcome.INVALID, waiting, seen.readings, seen)
    early = seen.last_s < ON_TIME * planned_s if planned_s is not None else running
    case = _Case(
        seen=seen,
        setup=setup,
        settled=settled,
        early=early,
        planned_s=planned_s,
        reported=_band(settled, LEVEL),
        deciding=_band(settled, EARLY_LEVEL if early else 1 - (1 - LEVEL) / look),
    )
    return _verdict(case, *_decide(case))


def _band(settled: Settled, level: float) -> Band:
    """Return the bounds; where the settling was not over, the lower one allows for all of it."""
    found = band(settled.part, settled.fitted, level, tail_pa=settled.tail_pa)
    settling = settled.settling
    if settling is None or settled.over:
        return found
    lower = min(
        rate(settling.drop_low_pa - half_width(one.line, one.parts, level, lower=True), one.line, settled.part.setup)
        for one in settled.fitted
    )
    return Band(value=found.value, lower=min(found.lower, lower), upper=found.upper)


def _invalid(case: _Case) -> Phrase | None:
    """Return why the readings cannot bear a verdict."""
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


def _decide(case: _Case) -> tuple[Outcome, Phrase]:
    """Return the outcome and the reason that decided."""
    refused = _invalid(case)
    if refused is not None:
        return Outcome.INVALID, refused
    limit, found, settled = case.setup.limit_pa_m3_s, case.deciding, case.settled
    if case.early:
        return _decide_early(case)
    doubtful = _band(settled, RISING_LEVEL)
    if doubtful.upper < 0:
        return Outcome.INCONCLUSIVE, hold_reasons.may_have_risen(doubtful.upper)
    if found.lower > limit:
        return Outcome.FAIL, hold_reasons.decided(Outcome.FAIL, found, limit)
    rising = settled.settling is not None and settled.settling.amplitude_pa < 0
    if found.upper <= limit and (settled.over or not rising):
        return Outcome.PASS, hold_reasons.decided(Outcome.PASS, found, limit)
    if not settled.over:
        return Outcome.INVALID, hold_reasons.still_settling(settled)
    return Outcome.INCONCLUSIVE, hold_reasons.decided(Outcome.INCONCLUSIVE, found, limit)


def _decide_early(case: _Case) -> tuple[Outcome, Phrase]:
    """Call a gross leak, or say what is still missing."""
    settled, setup = case.settled, case.setup
    drop = min(one.line.drop_pa for one in settled.fitted)
    explained = settled.part.span_s < EARLY_AFTER_S and not is_gross(settled.fitted)
    if case.deciding.lower > setup.limit_pa_m3_s and drop >= EARLY_STEPS * setup.gauge_step_pa and not explained:
        return Outcome.FAIL, Phrase(
            "gross_leak_called_early",
            "Even a very cautious lower bound {0} is beyond the limit {1}: there is no need to wait.",
            (Amount(Quantity.LEAK_RATE, case.deciding.lower), Amount(Quantity.LEAK_RATE, setup.limit_pa_m3_s)),
        )
    if not settled.over:
        return Outcome.INCONCLUSIVE, hold_reasons.still_settling(settled)
    return Outcome.INCONCLUSIVE, hold_reasons.still_running(case.seen.last_s, case.planned_s)


def _nothing(
    setup: HoldSetup, outcome: Outcome, why: Phrase, readings: int, seen: Columns | None = None
) -> HoldVerdict:
    """Return a verdict without a leak rate."""
    return HoldVerdict(
        outcome=outcome,
        leak_rate=None,
        limit_pa_m3_s=setup.limit_pa_m3_s,
        reference_k=setup.reference_k,
        start_gauge_pa=float(seen.gauge_pa[0]) if seen else None,
        drop_pa=None,
        duration_s=seen.span_s if seen else 0.0,
        settling_s=0.0,
        readings=readings,
        smallest_detectable=None,
        hold_needed_s=None,
        reasons=(why,),
    )


def _verdict(case: _Case, outcome: Outcome, why: Phrase) -> HoldVerdict:
    """Put the verdict together."""
    settled, setup, found = case.settled, case.setup, case.reported
    fitted, part = settled.fitted, settled.part
    best = best_variant(fitted)
    # after a jump or with an open source the figures would only mislead
    told = outcome is not Outcome.INVALID or why.code in TOLD_WHEN_INVALID
    needed = needed_s(part, fitted, found) if outcome is Outcome.INCONCLUSIVE else None
    if outcome is Outcome.INVALID and why.code == "settling_not_over" and settled.settling is not None:
        needed = hold_reasons.wait_s(settled)
    return HoldVerdict(
        outcome=outcome,
        leak_rate=Bounded(value=found.value, lower95=found.lower, upper95=found.upper) if told else None,
        limit_pa_m3_s=setup.limit_pa_m3_s,
        reference_k=setup.reference_k,
        start_gauge_pa=best.line.start_gauge_pa,
        drop_pa=found.value * best.line.span_s / setup.volume_m3 if told else None,
        duration_s=part.span_s,
        settling_s=settled.cut_s,
        readings=part.readings,
        smallest_detectable=smallest_detectable(part, fitted),
        hold_needed_s=needed,
        reasons=hold_reasons.all_reasons(settled, why, outcome, needed),
        plain_rules=plain_rules(case.seen, setup),
        picture=picture(part, best, found, setup.limit_pa_m3_s) if math.isfinite(found.upper) else None,
    )
