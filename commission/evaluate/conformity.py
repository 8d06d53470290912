"""Whether a measured value keeps to a limit, and with what probability.

The rule, its limit and its confidence are agreed before anything is measured.
"""

from __future__ import annotations

import math
from enum import StrEnum
from statistics import NormalDist

from commission.domain.verdict import Bounded, Outcome
from commission.evaluate.drop_width import t_quantile


class Zone(StrEnum):
    """Where a value lies relative to a limit with a guard band on both sides."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"


def _cumulative(z: float, dof: float) -> float:
    """Return the probability to lie below z standard uncertainties."""
    if math.isinf(dof) or math.isinf(z):
        return 0.5 * math.erfc(-z / math.sqrt(2))
    from scipy.special import stdtr

    return float(stdtr(dof, z))


def probability_of_conformity(
    value: float, u: float, *, lower: float = -math.inf, upper: float = math.inf, dof: float = math.inf
) -> float:
    """Return the probability that the true value lies between two limits.

    Parameters
    ----------
    value
        Measured value [any].
    u
        Its standard uncertainty, above 0 [as value].
    lower
        Lower limit; −∞ for none [as value].
    upper
        Upper limit; ∞ for none [as value].
    dof
        Degrees of freedom of u, above 0; ∞ for the normal distribution [1].

    Returns
    -------
    float
        Probability, 0 to 1 [1].

    Raises
    ------
    ValueError
        If value or u is not finite, u or dof is not positive, or the limits are out of order.

    Notes
    -----
    Assumes that little was known before the measurement. With finite dof the error is taken as Student's t scaled by
    u.

    Source: JCGM 106:2012, 7.2 to 7.4 (inputs of the example from memory).

    Examples
    --------
    JCGM 106 prints 0.92 for a Zener diode of −5.47 V, u = 0.05 V, that must not exceed −5.40 V:

    >>> round(probability_of_conformity(-5.47, 0.05, upper=-5.40), 2)
    0.92
    """
    if not (math.isfinite(value) and math.isfinite(u) and u > 0 and dof > 0):
        raise ValueError("the value must be finite, its uncertainty and degrees of freedom above 0")
    if not lower < upper:
        raise ValueError("the lower limit must be below the upper limit")
    low, high = (lower - value) / u, (upper - value) / u
    if low > 0:  # the difference of two numbers near 1 would lose the digits of a far tail
        low, high = -high, -low
    return _cumulative(high, dof) - _cumulative(low, dof)


def guard_band(u: float, *, confidence: float = 0.95, dof: float = math.inf) -> float:
    """Return how far inside a limit a value must lie to conform with a given probability.

    Parameters
    ----------
    u
        Standard uncertainty, 0 or more [any].
    confidence
        Smallest probability of conformity, 0.5 to below 1 [1].
    dof
        Degrees of freedom of u, above 0; ∞ for the normal distribution [1].

    Returns
    -------
    float
        Guard band w [as u].

    Raises
    ------
    ValueError
        If u is negative or not finite, or confidence or dof is out of range.

    Notes
    -----
    One limit matters, the other is far away or absent: w = z·u, or t·u.

    Source: JCGM 106:2012, 7.3 (z of its Table 1) and 8.3.2 (clause from memory).

    Examples
    --------
    JCGM 106 Table 1 lists z = 1.64 for 95 %:

    >>> f"{guard_band(1.0):.2f}"
    '1.64'
    """
    if not (0 <= u < math.inf and 0.5 <= confidence < 1 and dof > 0):
        raise ValueError("u must be 0 or more, the confidence 0.5 to below 1, dof above 0")
    z = NormalDist().inv_cdf(confidence) if math.isinf(dof) else t_quantile(confidence, dof)
    return z * u


def acceptance_limit(limit: float, u: float, *, confidence: float = 0.95, dof: float = math.inf) -> float:
    """Return the largest measured value that conforms to an upper limit with a given probability.

    Parameters
    ----------
    limit
        Upper limit of the true value [any].
    u
        Standard uncertainty of the measured value, 0 or more [as limit].
    confidence
        Smallest probability of conformity, 0.5 to below 1 [1].
    dof
        Degrees of freedom of u, above 0; ∞ for the normal distribution [1].

    Returns
    -------
    float
        Acceptance limit, limit − w [as limit]; where it is negative for a leak, no reading can pass.

    Raises
    ------
    ValueError
        If the limit is not finite, or for a reason that ``guard_band`` gives.

    Notes
    -----
    To accept at or below it is the same as to accept where the one-sided upper bound is within the limit.

    Source: JCGM 106:2012, 8.3.2 (clause from memory); ILAC-G8:09/2019, 4.2.2.

    Examples
    --------
    Hand calculation: 1.0e-3 − 1.644854·1.5e-4.

    >>> round(acceptance_limit(1.0e-3, 1.5e-4), 9)
    0.000753272
    """
    if not math.isfinite(limit):
        raise ValueError("the limit must be finite")
    return limit - guard_band(u, confidence=confidence, dof=dof)


def outcome_from_bounds(bounds: Bounded, limit: float) -> Outcome:
    """Judge two one-sided bounds by an upper limit.

    Parameters
    ----------
    bounds
        Estimate with its bounds, none of them NaN [any].
    limit
        Upper limit of the true value [as bounds].

    Returns
    -------
    Outcome
        PASS if the upper bound is at or below the limit, FAIL if the lower bound is above it, else INCONCLUSIVE.

    Raises
    ------
    ValueError
        If the limit is not finite, a bound is NaN, or the bounds are out of order.

    Notes
    -----
    Whether the readings can bear a verdict at all is asked before.

    Source: ISO 14253-1:2017 (from memory): neither conformity nor nonconformity is proven inside the uncertainty.

    Examples
    --------
    Hand calculation, 8.0e-4 ± 1.645·1.5e-4 against 1.0e-3: bounds on both sides.

    >>> outcome_from_bounds(Bounded(value=8.0e-4, lower95=5.53e-4, upper95=10.47e-4), 1.0e-3)
    <Outcome.INCONCLUSIVE: 'inconclusive'>
    """
    if not math.isfinite(limit):
        raise ValueError("the limit must be finite")
    if not bounds.lower95 <= bounds.value <= bounds.upper95:
        raise ValueError("the bounds must enclose the value")
    if bounds.upper95 <= limit:
        return Outcome.PASS
    return Outcome.FAIL if bounds.lower95 > limit else Outcome.INCONCLUSIVE


def zone(value: float, limit: float, guard: float) -> Zone:
    """Return the zone of the non-binary rule in which a value lies.

    Parameters
    ----------
    value
        Measured value [any].
    limit
        Upper limit [as value].
    guard
        Guard band w, 0 or more; the expanded uncertainty unless agreed otherwise [as value].

    Returns
    -------
    Zone
        Pass below limit − w, conditional pass up to the limit, conditional fail up to limit + w, fail above.

    Raises
    ------
    ValueError
        If a number is not finite or the guard band is negative.

    Notes
    -----
    With w = U (k = 2) the risk of a wrong unconditional pass or fail is below 2.5 %, that of a conditional one up to
    50 %.

    Source: ILAC-G8:09/2019, 4.2.3.

    Examples
    --------
    The four zones of ILAC-G8 4.2.3 for limit 1.0, w = 0.3:

    >>> [zone(v, 1.0, 0.3).value for v in (0.6, 0.8, 1.1, 1.4)]
    ['pass', 'conditional pass', 'conditional fail', 'fail']
    """
    if not (math.isfinite(value) and math.isfinite(limit) and 0 <= guard < math.inf):
        raise ValueError("value and limit must be finite, the guard band 0 or more")
    if value < limit - guard:
        return Zone.PASS
    if value <= limit:
        return Zone.CONDITIONAL_PASS
    return Zone.CONDITIONAL_FAIL if value <= limit + guard else Zone.FAIL
