"""The verdict of a pressure hold: is the leak below the limit, beyond it, or can these readings not tell."""

from __future__ import annotations

import math

from commission.base.frozen import replace
from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Outcome
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.physics.leak import leak_drop
from commission.stages.pressure_hold.judge import late as hold_late
from commission.stages.pressure_hold.judge import reasons as hold_reasons
from commission.stages.pressure_hold.judge import validity as hold_validity
from commission.stages.pressure_hold.judge.beyond import with_pump_pressure, with_setup
from commission.stages.pressure_hold.judge.bounds import level_of_look, smallest_detectable
from commission.stages.pressure_hold.judge.decide import EARLY_LEVEL, Case, band_of, decide
from commission.stages.pressure_hold.judge.late import late_fall
from commission.stages.pressure_hold.judge.needed import needed_s
from commission.stages.pressure_hold.judge.series import Columns, as_arrays, columns
from commission.stages.pressure_hold.judge.settled import settle
from commission.stages.pressure_hold.judge.shown import picture, plain_rules
from commission.stages.pressure_hold.judge.steps import guessed_step
from commission.stages.pressure_hold.judge.variants import best_variant
from commission.stages.pressure_hold.model import HoldSeries, HoldSetup, HoldVerdict, LeakRate

USUAL_LEVEL = 0.95
"""Level of the bounds that are always told, so that holds can be compared [1]; our choice: the level that standards of
measurement usually state (JCGM 106:2012 leaves it to the user, from memory)."""
TOLD_WHEN_INVALID = frozenset({"settling_not_over", "pressure_rose"})
"""Reasons for which a leak rate is given although the hold is invalid: it is what was measured [1]."""
ON_TIME = 0.95
"""A hold that reached this share of its planned time counts as ended as planned [1]; our choice: the last reading may
be typed a little early."""
UNSEEN_SHARE = 0.1
"""A hold may have run for this share of its planned time before its first reading [1]; our choice: so long nobody minds
the start, and the verdict counts by its readings alone. A logger may also have counted before the hold began."""


def evaluate_pressure_hold(
    series: HoldSeries, setup: HoldSetup, *, look: int = 1, planned_s: float | None = None, running: bool = False
) -> HoldVerdict:
    """Judge a pressure hold.

    Parameters
    ----------
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
    far stricter level. Each look at an end is judged at 1 − 0.05/2^look (`level_of_look`). A fall that became faster
    near the end takes the pass away, or fails (`hold_late`).

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
    setup = _with_step(series, setup)
    seen = columns(series, setup)
    refused = (
        hold_validity.refuse_start(seen)
        or hold_validity.shows_the_room(seen, setup)
        or hold_validity.interrupted(series)
    )
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
    early = _reached_s(seen, planned_s) < ON_TIME * planned_s if planned_s is not None else running
    deciding = band_of(settled, EARLY_LEVEL if early else level_of_look(look))
    case = Case(
        seen=seen,
        setup=setup,
        settled=settled,
        late=None if early else late_fall(settled, deciding.value),
        planned_s=planned_s,
        deciding=deciding,
    )
    return with_setup(with_pump_pressure(_verdict(case, *decide(case), look)), setup)


def _reached_s(seen: Columns, planned_s: float) -> float:
    """Return how far a hold got by its readings [s]: nobody saw what it did before the first one."""
    return seen.last_s if seen.first_s <= UNSEEN_SHARE * planned_s else seen.last_s - seen.first_s


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


def _with_step(series: HoldSeries, setup: HoldSetup) -> HoldSetup:
    """Return the set-up with the step guessed from the readings too, where nobody stated it."""
    if setup.step_stated:
        return setup
    outside = float(series.barometer_pa[0]) if setup.absolute else 0.0
    if math.isnan(outside):
        outside = STANDARD_ATMOSPHERE_PA
    start = float(series.pressure_pa[0]) - outside
    return replace(setup, gauge_step_pa=guessed_step(setup.gauge_step_pa, series.pressure_pa, start))


def _leak_rate(case: Case, outcome: Outcome, look: int) -> LeakRate:
    """Return the leak rate with its bounds at 95 % and at the level that decided.

    Before its end a hold is shown as it will be judged there, unless it failed already.
    """
    usual = band_of(case.settled, USUAL_LEVEL)
    level = EARLY_LEVEL if case.early and outcome is Outcome.FAIL else level_of_look(look)
    shown = band_of(case.settled, level) if case.early and outcome is not Outcome.FAIL else case.deciding
    return LeakRate(
        value=usual.value,
        lower95=usual.lower,
        upper95=usual.upper,
        level=level,
        lower=shown.lower,
        upper=shown.upper,
    )


def _needed(case: Case, outcome: Outcome, why: Phrase, found: LeakRate, look: int) -> float | None:
    """Return the length of hold that would decide [s]; None where it is decided or no length can be promised."""
    settled = case.settled
    if outcome is Outcome.INVALID and why.code == "settling_not_over" and settled.settling is not None:
        return hold_reasons.wait_s(settled)
    if why.code == "left_out_unexplained":
        return settled.cut_s
    if outcome is not Outcome.INCONCLUSIVE or why.code in hold_late.ENDS_OPEN:
        return None
    # an extended hold is looked at once more, at a stricter level
    level = level_of_look(look if case.early else look + 1)
    return needed_s(settled.part, settled.fitted, found.value, level)


def _verdict(case: Case, outcome: Outcome, why: Phrase, look: int) -> HoldVerdict:
    """Put the verdict together."""
    settled, setup, late = case.settled, case.setup, case.late
    fitted, part = settled.fitted, settled.part
    best, found = best_variant(fitted), _leak_rate(case, outcome, look)
    # after a jump or with an open source the figures would only mislead
    told = outcome is not Outcome.INVALID or why.code in TOLD_WHEN_INVALID
    needed = _needed(case, outcome, why, found, look)
    return HoldVerdict(
        outcome=outcome,
        leak_rate=found if told else None,
        limit_pa_m3_s=setup.limit_pa_m3_s,
        reference_k=setup.reference_k,
        start_gauge_pa=best.line.start_gauge_pa,
        drop_pa=leak_drop(found.value, setup.volume_m3, best.line.span_s) if told else None,
        duration_s=part.span_s,
        settling_s=settled.cut_s,
        readings=part.readings,
        smallest_detectable=smallest_detectable(part, fitted),
        hold_needed_s=needed,
        reasons=hold_reasons.all_reasons(settled, why, outcome, needed, late),
        plain_rules=plain_rules(case.seen, setup),
        picture=picture(part, best, found, setup.limit_pa_m3_s) if math.isfinite(found.at_most) else None,
        late=late.fall if late is not None and told else None,
        blind_s=late.blind_s if late is not None and told else None,
    )
