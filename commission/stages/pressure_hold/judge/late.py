"""Whether a hold fell faster near its end than before."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen
from commission.base.quantity import Amount, Phrase, Quantity
from commission.physics.leak import leak_rate
from commission.stages.pressure_hold.judge.allowance import TIMES_LIMIT, Allowance, allowance_of, blind_from
from commission.stages.pressure_hold.judge.hinge import Hinge, Track, alone, knees, scatter_pa, track_of
from commission.stages.pressure_hold.judge.onset import told
from commission.stages.pressure_hold.judge.part import select
from commission.stages.pressure_hold.judge.variants import best_variant, variants

if TYPE_CHECKING:
    from commission.stages.pressure_hold.judge.settled import Settled
    from commission.stages.pressure_hold.model import HoldSetup, LateFall

FAIL_STEPS, FAIL_SIGMAS, FAIL_HEAT, FAIL_WEATHER = 1.5, 4.5, 2.5, 1.5
"""What is taken off a fall before it fails: steps, standard errors, and the allowances times this [1]; our
choice: no tight loop failed in simulated holds with sun, doors and lag."""
FEWEST = 4
"""With fewer readings nothing tells when the gas went [1]; our choice: a line takes two, a knee one on either side."""


class Late(Frozen):
    """What the end of a hold tells of itself."""

    fall: LateFall | None
    """The faster fall that was seen; None where none was."""
    fails: bool
    """Whether it alone is beyond the limit, surroundings and chance allowed for."""
    blind_s: float | None
    """A leak of three times the limit that began within this time of the end would not be seen [s]; None: never."""
    enough: bool
    """Whether there were readings enough to look."""


class _Look(Frozen):
    """What the steps of the test share."""

    track: Track
    allow: Allowance
    setup: HoldSetup
    fits: list[Hinge]
    sigma_pa: float
    """Standard deviation of a point about the best fit [Pa]."""


def late_fall(settled: Settled, rate_pa_m3_s: float) -> Late:
    """Look for a fall that became faster.

    Parameters
    ----------
    rate_pa_m3_s
        Leak rate over the whole of it [Pa·m3/s].

    Returns
    -------
    Late
        What was seen, and what could not be.

    Notes
    -----
    Two lines that meet at a knee are fitted in viscous time for every knee and every way in which the gas may have
    trailed the air. A faster fall is seen where the extra fall is beyond display, chance and surroundings for all of
    these, and the rate after the knee is beyond the limit. It fails where the part after the knee alone, with far more
    taken off, is beyond the limit: the slope of a hinge leans on the line before it and bounds nothing. A settling
    that hides a fall is no reason to leave out the start, so then the whole hold is looked at.

    Source: least squares; 3 standard errors after J. L. Haybittle, Brit. J. Radiology 44 (1971) 793 (from memory);
    allowances and factors are our choice, tuned on simulated holds.
    """
    part, fitted = settled.part, settled.fitted
    if settled.settling is not None and settled.settling.amplitude_pa < 0 and part.begin > 0:
        part = select(part.seen, part.setup, part.setup.settle_s or 0.0)
        fitted = variants(part)
    track = track_of(part, fitted, best_variant(fitted))
    if track.readings < FEWEST or track.times_s.size < FEWEST:
        return Late(fall=None, fails=False, blind_s=None, enough=False)
    allow = allowance_of(part.setup, best_variant(fitted).line.start_gauge_pa, part.seen)
    fits = knees(track)
    look = _Look(track=track, allow=allow, setup=part.setup, fits=fits, sigma_pa=_sigma(track, fits))
    blind = blind_from(
        allow,
        part.setup,
        track.times_s,
        sigma_pa=look.sigma_pa,
        readings=track.readings,
        rate_pa_m3_s=rate_pa_m3_s,
    )
    best = _most_seen(look)
    if best is None:
        return Late(fall=None, fails=False, blind_s=blind, enough=True)
    certain = _certain(look)
    fall = told(track, best, part.setup.volume_m3, certain)
    return Late(fall=fall, fails=certain > part.setup.limit_pa_m3_s, blind_s=blind, enough=True)


def _whole(fits: list[Hinge]) -> list[Hinge]:
    return [one for one in fits if one.first == 0]


def _sigma(track: Track, fits: list[Hinge]) -> float:
    """Return the scatter about the knee that fits best."""
    best = min(_whole(fits), key=lambda one: float(one.ssr[track.best]))
    return scatter_pa(track, best.rest[track.best], 3 if track.dense else 4)


def _strength(look: _Look, one: Hinge) -> float:
    """Return the extra fall over the critical one, the smallest of all paths; 0 where the rate keeps the limit."""
    track, setup = look.track, look.setup
    w = one.w_s
    if not track.dense:
        after = track.viscous_s[track.viscous_s > track.viscous_at(one.knee_s) + 1e-9]
        w -= (float(after[0]) - track.viscous_at(one.knee_s)) / 2
    rate = leak_rate(setup.volume_m3, one.before + one.extra_pa / w, 1.0)
    if float(rate.min()) <= setup.limit_pa_m3_s:
        return 0.0
    clock = float(track.times_s[-1]) - one.knee_s
    strengths: list[float] = []
    for path, extra in enumerate(one.extra_pa.tolist()):
        sigma = scatter_pa(track, one.rest[path], 3) if track.dense else look.sigma_pa
        strengths.append(extra / look.allow.critical_pa(clock, sigma * one.w_s / math.sqrt(one.power)))
    return min(strengths)


def _most_seen(look: _Look) -> Hinge | None:
    """Return the fit that shows a faster fall most clearly; None where none does."""
    strongest, found = 1.0, None
    for one in look.fits:
        strength = _strength(look, one)
        if strength > strongest:
            strongest, found = strength, one
    return found


def _certain(look: _Look) -> float:
    """Return the largest rate that the end alone proves, everything allowed for; 0 where it proves none [Pa·m3/s]."""
    track, setup = look.track, look.setup
    whole = sorted(_whole(look.fits), key=lambda one: one.knee_s)
    knees_s = [one.knee_s for one in whole]
    least = 4 if track.dense else 3
    if not track.dense:
        knees_s = knees_s[knees_s.index(min(whole, key=lambda one: float(one.ssr[track.best])).knee_s) :]
    keep = 1 - 3 * math.hypot(setup.u_volume_m3 / setup.volume_m3, setup.gauge_gain_u)
    rates = [_proven(look, knee_s) for knee_s in knees_s if int((track.times_s >= knee_s - 1e-9).sum()) >= least]
    most: float = setup.volume_m3 * max(keep, 0.0) * max(rates, default=0.0)
    return max(most, 0.0)


def _proven(look: _Look, knee_s: float) -> float:
    """Return the smallest rate of fall after a knee that all paths prove [Pa/s]."""
    track, allow = look.track, look.allow
    clock = float(track.times_s[-1]) - knee_s
    falls, rest, leverage = alone(track, knee_s)
    w = float(track.viscous_s[-1]) - track.viscous_at(knee_s)
    least = math.inf
    for path, fall in enumerate(falls.tolist()):
        sigma = scatter_pa(track, rest[path], 2) if track.dense else look.sigma_pa
        off = max(FAIL_STEPS * track.step_pa, FAIL_SIGMAS * sigma * leverage)
        off += FAIL_HEAT * allow.heat_pa(clock) + FAIL_WEATHER * allow.weather_pa(clock)
        least = min(least, (fall - off) / w)
    return least


READ_ON_S = 600.0
"""How much longer a fall that became faster is watched [s]; our choice: a leak goes on, a swing of the room turns."""
ENDS_OPEN = frozenset(
    {
        "fell_faster",
        "fell_faster_read_once_more",
        "pressure_bends",
        "step_not_known",
        "air_explains_too_much",
        "barometer_explains_too_much",
    }
)
"""Inconclusive for another reason than bounds on both sides of the limit: no length of hold can be promised."""


def late_leak(fall: LateFall, limit_pa_m3_s: float) -> Phrase:
    """Say that the end of the hold alone is beyond the limit.

    Parameters
    ----------
    limit_pa_m3_s
        The limit [Pa·m3/s].
    """
    return Phrase(
        "late_leak",
        "It began to leak more during the hold: at least {0} at the end, above the limit {1}.",
        (Amount(Quantity.LEAK_RATE, fall.at_least_pa_m3_s), Amount(Quantity.LEAK_RATE, limit_pa_m3_s)),
    )


def fell_faster(after: int) -> Phrase:
    """Say that it fell faster towards the end, and what to do.

    Parameters
    ----------
    after
        How many readings lie after its beginning [1].
    """
    if after < 2:
        return Phrase(
            "fell_faster_read_once_more",
            "The last reading fell faster than before. Read once more: a leak goes on, a temperature swing does not.",
        )
    return Phrase(
        "fell_faster",
        "The pressure fell faster near the end. Read on for {0}: a leak goes on, a temperature swing does not.",
        (Amount(Quantity.DURATION, READ_ON_S),),
    )


def onset(fall: LateFall) -> Phrase:
    """Say when the faster fall began and how fast it is."""
    when = tuple(Amount(Quantity.DURATION, at) for at in (fall.onset_s, fall.onset_from_s, fall.onset_to_s))
    rates = [Amount(Quantity.LEAK_RATE, fall.rate_pa_m3_s)]
    told = "It began to fall faster {0} into the hold ({1} to {2}); since then {3}"
    if fall.at_least_pa_m3_s > 0:
        told += ", at least {4}"
        rates.append(Amount(Quantity.LEAK_RATE, fall.at_least_pa_m3_s))
    return Phrase("late_onset", told + ".", (*when, *rates))


def bends() -> Phrase:
    """Say that the pressure fell more slowly, or rose, at first: a mean over the hold would hide a leak."""
    return Phrase(
        "pressure_bends",
        "The pressure held or rose at first and then fell faster. Hold again as long: the mean would hide a leak.",
    )


def step_not_known() -> Phrase:
    """Say that a gauge that showed one value, and of which nobody stated the step, proves nothing."""
    return Phrase(
        "step_not_known",
        "The gauge showed one value only and its step was not stated. State the step of the gauge.",
    )


def gross_on_coarse_gauge(certain_pa: float) -> Phrase:
    """Say that even a coarse gauge proves the loss.

    Parameters
    ----------
    certain_pa
        Fall of the pressure that is certain [Pa].
    """
    return Phrase(
        "gross_on_coarse_gauge",
        "The gauge is coarse, but at least {0} went: more than a leak of the limit takes.",
        (Amount(Quantity.PRESSURE_DIFFERENCE, certain_pa),),
    )


def soft_tube() -> Phrase:
    """Say that the fall looks like creep: a hint, not an outcome."""
    return Phrase(
        "soft_tube",
        "The fall looks like creep of soft tube. Hold on at pressure: creep halves each time the time doubles, "
        "a leak does not.",
    )


def blind(late: Late) -> Phrase:
    """Say what the hold cannot tell of a leak that starts late."""
    if not late.enough:
        return Phrase("too_few_for_late", "Two or three readings cannot tell when the gas went.")
    if late.blind_s is None:
        return Phrase("late_start_unseen", "These readings prove nothing against a leak that starts late.")
    return Phrase(
        "blind_time",
        f"The last {{0}} prove nothing finer than {TIMES_LIMIT:g} times the limit.",
        (Amount(Quantity.DURATION, late.blind_s),),
    )
