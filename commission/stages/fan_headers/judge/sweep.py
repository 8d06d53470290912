"""Whether a header controls its chain: the verdict on a sweep."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.stages.fan_headers.judge.sweep_advice import causes_of, flat_is_right
from commission.stages.fan_headers.judge.sweep_checks import agreement_of, curve_points, findings_of, left_open
from commission.stages.fan_headers.judge.sweep_levels import refuse_sweep
from commission.stages.fan_headers.judge.sweep_reasons import reasons_of
from commission.stages.fan_headers.judge.sweep_stops import stops_of
from commission.stages.fan_headers.judge.sweep_word import seen_of, word_of
from commission.stages.fan_headers.model.sweep import Stops, SweepPicture, SweepVerdict, SweepWord

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.fan_headers.judge.sweep_checks import Agreement
    from commission.stages.fan_headers.judge.sweep_levels import Visit
    from commission.stages.fan_headers.judge.sweep_word import Seen
    from commission.stages.fan_headers.model.sweep import Sweep, SweepSetup

_OUTCOME = {
    SweepWord.CONTROLLED: Outcome.PASS,
    SweepWord.WEAK: Outcome.INCONCLUSIVE,
    SweepWord.IGNORES: Outcome.FAIL,
    SweepWord.INVERTED: Outcome.FAIL,
    SweepWord.ERRATIC: Outcome.INVALID,
    SweepWord.NO_TACH: Outcome.INVALID,
    SweepWord.NOT_TURNING: Outcome.FAIL,
    SweepWord.NO_READING: Outcome.INCONCLUSIVE,
    SweepWord.INCONCLUSIVE: Outcome.INCONCLUSIVE,
    SweepWord.INSUFFICIENT: Outcome.INCONCLUSIVE,
    SweepWord.SENSOR_ERROR: Outcome.INVALID,
}
_ORDERED = (SweepWord.CONTROLLED, SweepWord.WEAK, SweepWord.INVERTED, SweepWord.IGNORES, SweepWord.INCONCLUSIVE)


def evaluate_fan_headers(sweep: Sweep, setup: SweepSetup) -> SweepVerdict:
    """Judge a sweep of speed over duty.

    Parameters
    ----------
    sweep
        The readings in the order in which they were taken [%, rpm].
    setup
        What is known of fan, header and display [rpm].

    Returns
    -------
    SweepVerdict
        The word, the figures behind it, its reasons, and every cause that would explain it [rpm, %, 1].

    Raises
    ------
    ValueError
        If a duty is outside 0 to 100, a speed outside 0 to 60000, or the display's step negative.

    Notes
    -----
    PASS where the header controls the chain, or where a flat curve is what should be; FAIL where it does not, where
    nothing turns, or where a pump stalls; INVALID where the tach cannot carry a verdict; else INCONCLUSIVE. A sweep
    that does not come back to its full speed is never passed, nor one far below its nameplate, nor a pump of which a
    duty could not be read, nor blades that were seen to stand beside a tach that shows them turning.

    A sweep shows that this header changes the speed of this chain as it was wired on that day. It does not tell PWM
    from voltage drive, nor prove that a single tach is on the line.

    Examples
    --------
    >>> from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
    >>> rows = [(100, 1500), (80, 1173), (60, 845), (50, 682), (40, 0), (30, 0)]
    >>> sweep = Sweep(readings=tuple(SweepReading(duty_pct=d, rpm=n) for d, n in rows))
    >>> verdict = evaluate_fan_headers(sweep, SweepSetup())
    >>> str(verdict.outcome), verdict.said, verdict.stops.minimum_pct, round(verdict.trend_p, 7)
    ('pass', 'controlled, stalls below 50 %', 60, 0.0027778)
    """
    refuse_sweep(sweep)
    seen = seen_of(sweep, setup)
    word = word_of(seen, sweep, setup)
    stops = stops_of(seen.visits) if word in (*_ORDERED, SweepWord.INSUFFICIENT) else Stops()
    if word is not SweepWord.CONTROLLED or flat_is_right(setup):
        # nothing to advise where the duty does not set the speed, or must not
        stops = replace(stops, minimum_pct=None)
    agreement = agreement_of(seen, setup.step_rpm)
    points = curve_points(seen, setup) if word is SweepWord.CONTROLLED else None
    outcome, why = _outcome(word, setup, _stood_at(seen, word), agreement)
    if outcome is Outcome.PASS and (open_ := left_open(seen, sweep, setup)) is not None:
        outcome, why = Outcome.INCONCLUSIVE, (open_,)
    trend = seen.trend if word in _ORDERED else None
    return SweepVerdict(
        outcome=outcome,
        word=word,
        full_rpm=seen.full_rpm,
        trend_p=None if trend is None else trend.p_down if word is SweepWord.INVERTED else trend.p_up,
        span=seen.span,
        effect=seen.effect,
        trend=trend,
        noise_rpm=seen.noise.sigma_rpm if seen.running else None,
        read_twice=seen.noise.repeated,
        alike_rpm=seen.alike_rpm if seen.running else None,
        stops=stops,
        hysteresis_rpm=agreement.hysteresis_rpm,
        repeat_rpm=agreement.repeat_rpm,
        agree_rpm=agreement.within_rpm if seen.running else None,
        curve_points=points,
        reasons=(*why, *reasons_of(word, seen, sweep, setup, stops)),
        findings=findings_of(seen, setup, stops, agreement, points),
        causes=causes_of(word, setup),
        picture=_picture(seen.visits),
    )


def _outcome(
    word: SweepWord, setup: SweepSetup, stood_pct: float | None, agreement: Agreement
) -> tuple[Outcome, tuple[Phrase, ...]]:
    """Return the outcome, and the reason for it where the word alone does not give it."""
    if setup.pump and stood_pct is not None:
        said = f"The pump stood at {stood_pct:g} %: a header that can stop a pump must not drive it."
        return Outcome.FAIL, (Phrase("pump_stops", said),)
    if flat_is_right(setup) and word is SweepWord.IGNORES:
        said = "The duty is not meant to change the speed here, and it does not."
        return Outcome.PASS, (Phrase("flat_as_meant", said),)
    if flat_is_right(setup) and word is SweepWord.CONTROLLED:
        said = "The duty changes the speed, and it must not: a header that can slow a pump can stop it."
        return Outcome.FAIL, (Phrase("controlled_against_intent", said),)
    if word is SweepWord.CONTROLLED and not agreement.repeats:
        said = "Full speed did not come back at the end: wait longer at each level, and sweep again."
        return Outcome.INCONCLUSIVE, (Phrase("full_speed_not_repeated", said),)
    return _OUTCOME[word], ()


def _stood_at(seen: Seen, word: SweepWord) -> float | None:
    """Return the highest duty at which it stood, on whichever way [%]; None where it never did."""
    if word not in (*_ORDERED, SweepWord.INSUFFICIENT):
        return None
    return max((visit.duty_pct for visit in seen.visits if visit.rpm and not visit.median), default=None)


def _picture(visits: Sequence[Visit]) -> SweepPicture | None:
    shown = [(visit.duty_pct, visit.median, visit.direction) for visit in visits if visit.median is not None]
    if not shown:
        return None
    return SweepPicture(
        duty_pct=tuple(duty for duty, _, _ in shown),
        rpm=tuple(rpm for _, rpm, _ in shown),
        direction=tuple(direction for _, _, direction in shown),
    )
