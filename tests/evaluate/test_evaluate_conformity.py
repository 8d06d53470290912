"""Decisions against the examples of JCGM 106 and the zones of ILAC-G8."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm
from scipy.stats import t as student

from commission.domain.verdict import Bounded, Outcome
from commission.evaluate.conformity import (
    Zone,
    acceptance_limit,
    guard_band,
    outcome_from_bounds,
    probability_of_conformity,
    zone,
)

Z95 = 1.6448536269514722  # Source: scipy.stats.norm.ppf(0.95). Status: computed.


def test_the_zener_diode_of_jcgm_106() -> None:
    # Source: JCGM 106:2012, example of a Zener diode, prints 0.92. Status: inputs from memory, digits computed.
    p = probability_of_conformity(-5.47, 0.05, upper=-5.40)
    assert p == pytest.approx(0.919243341, abs=1e-8)


def test_the_motor_oil_of_jcgm_106() -> None:
    # Source: JCGM 106:2012, example of motor oil, prints 0.66. Status: inputs from memory, digits computed.
    p = probability_of_conformity(13.6, 1.8, lower=12.5, upper=16.3)
    assert p == pytest.approx(0.662629786, abs=1e-8)


def test_the_resistors_of_jcgm_106() -> None:
    # Source: JCGM 106:2012, clause 9, inputs read in a public script that recomputes it (attribution from memory);
    # the document gives 1 % and 7 % (memory). Status: digits computed with scipy quad.
    def rejected(ohm: float) -> float:
        return 1 - probability_of_conformity(ohm, 0.04, lower=1499.82, upper=1500.18)

    def share(ohm: float) -> float:
        return float(norm.pdf(ohm, 1500, 0.12))

    conforming = probability_of_conformity(1500, 0.12, lower=1499.8, upper=1500.2)
    assert conforming == pytest.approx(0.904419295, abs=1e-7)
    consumer = 2 * quad(lambda v: share(v) * (1 - rejected(v)), 1500.2, 1501.2, epsabs=1e-12)[0]
    assert consumer == pytest.approx(0.009878292, abs=1e-7)
    producer = quad(lambda v: share(v) * rejected(v), 1499.8, 1500.2, epsabs=1e-12, limit=200)[0]
    assert producer == pytest.approx(0.069026510, abs=1e-7)


@pytest.mark.parametrize(
    ("value", "p", "outcome"),
    [
        (2.0e-4, 0.99999995, Outcome.PASS),
        (8.0e-4, 0.908788780, Outcome.INCONCLUSIVE),
        (1.3e-3, 0.022750132, Outcome.FAIL),
    ],
)
def test_a_leak_against_its_limit(value: float, p: float, outcome: Outcome) -> None:
    # Source: normal distribution, limit 1.0e-3, u 1.5e-4 mbar·L/s, scipy. Status: computed.
    limit, u = 1.0e-3, 1.5e-4
    assert probability_of_conformity(value, u, upper=limit) == pytest.approx(p, abs=1e-7)
    bounds = Bounded(value=value, lower95=value - Z95 * u, upper95=value + Z95 * u)
    assert outcome_from_bounds(bounds, limit) is outcome


def test_the_bounds_of_the_leak_examples() -> None:
    # Source: as above. Status: computed.
    width = guard_band(1.5e-4)
    assert 2.0e-4 + width == pytest.approx(4.46728e-4, rel=1e-6)
    assert 8.0e-4 + width == pytest.approx(1.046728e-3, rel=1e-6)
    assert 1.3e-3 - width == pytest.approx(1.053272e-3, rel=1e-6)


def test_the_acceptance_limit_of_the_leak_example() -> None:
    # Source: as above; w = 2u by ILAC-G8:09/2019 4.2.2. Status: computed.
    assert acceptance_limit(1.0e-3, 1.5e-4) == pytest.approx(7.53271956e-4, rel=1e-8)
    two_u = acceptance_limit(1.0e-3, 1.5e-4, confidence=norm.cdf(2.0))
    assert two_u == pytest.approx(7.0e-4, rel=1e-12)


@pytest.mark.parametrize(
    ("confidence", "z"),
    [(0.80, 0.841621), (0.90, 1.281552), (0.95, 1.644854), (0.99, 2.326348), (0.999, 3.090232)],
)
def test_the_guard_band_for_the_usual_probabilities(confidence: float, z: float) -> None:
    # Source: JCGM 106:2012 Table 1 tabulates z; digits computed with scipy.
    assert guard_band(1.0, confidence=confidence) == pytest.approx(z, abs=5e-7)


def test_few_degrees_of_freedom_lower_the_probability() -> None:
    # Source: scipy.stats.t.cdf((1e-3 - 8e-4)/1.5e-4, 10). Status: computed.
    p = probability_of_conformity(8.0e-4, 1.5e-4, upper=1.0e-3, dof=10)
    assert p == pytest.approx(0.894000934, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (6e-4, Zone.PASS),
        (8e-4, Zone.CONDITIONAL_PASS),
        (1.1e-3, Zone.CONDITIONAL_FAIL),
        (1.4e-3, Zone.FAIL),
    ],
)
def test_the_four_zones_of_ilac_g8(value: float, word: Zone) -> None:
    # Source: ILAC-G8:09/2019, 4.2.3. Status: rule read, cases made up for it.
    assert zone(value, 1e-3, 3e-4) is word


def test_the_edges_of_the_zones() -> None:
    # Source: as above. Binary fractions, so that the edges are exact.
    assert zone(0.75, 1.0, 0.25) is Zone.CONDITIONAL_PASS
    assert zone(1.0, 1.0, 0.25) is Zone.CONDITIONAL_PASS
    assert zone(1.25, 1.0, 0.25) is Zone.CONDITIONAL_FAIL
    assert zone(1.0, 1.0, 0.0) is Zone.CONDITIONAL_PASS


@pytest.mark.parametrize(
    ("lower", "upper", "outcome"),
    [
        (0.5, 1.0, Outcome.PASS),
        (0.5, math.nextafter(1.0, 2), Outcome.INCONCLUSIVE),
        (1.0, 1.5, Outcome.INCONCLUSIVE),
        (math.nextafter(1.0, 2), 1.5, Outcome.FAIL),
        (-math.inf, math.inf, Outcome.INCONCLUSIVE),
    ],
)
def test_at_just_below_and_just_above_the_limit(lower: float, upper: float, outcome: Outcome) -> None:
    # Source: the rule itself: pass if upper <= limit, fail if lower > limit.
    value = min(max(0.9, lower), upper)
    assert outcome_from_bounds(Bounded(value=value, lower95=lower, upper95=upper), 1.0) is outcome


@settings(deadline=None)
@given(st.floats(-50, 50), st.floats(0.01, 10), st.floats(1, 200))
def test_probability_agrees_with_a_reference_library(value: float, u: float, dof: float) -> None:
    # Source: scipy.stats.norm and t, run beside it. Status: reference library.
    normal = probability_of_conformity(value, u, upper=1.0)
    assert normal == pytest.approx(norm.cdf((1.0 - value) / u), rel=1e-9, abs=1e-300)
    few = probability_of_conformity(value, u, upper=1.0, dof=dof)
    assert few == pytest.approx(student.cdf((1.0 - value) / u, dof), rel=1e-7)


@settings(deadline=None)
@given(st.floats(-5, 5), st.floats(-5, 5), st.floats(0.01, 5), st.floats(0.01, 5))
def test_a_larger_leak_is_less_likely_to_conform(a: float, b: float, u: float, width: float) -> None:
    low, high = sorted((a, b))
    assert probability_of_conformity(high, u, upper=0) <= probability_of_conformity(low, u, upper=0)
    inside = probability_of_conformity(a, u, lower=b, upper=b + width)
    below = probability_of_conformity(a, u, upper=b)
    above = probability_of_conformity(a, u, lower=b + width)
    assert below + inside + above == pytest.approx(1.0, abs=1e-12)


@settings(deadline=None)
@given(st.floats(0, 2), st.floats(0.01, 1), st.floats(1, 100))
def test_to_accept_below_the_acceptance_limit_is_to_be_sure_enough(value: float, u: float, dof: float) -> None:
    # Source: JCGM 106:2012, 8.3.2: both say that the upper bound is within the limit.
    edge = acceptance_limit(1.0, u, dof=dof)
    p = probability_of_conformity(value, u, upper=1.0, dof=dof)
    if not math.isclose(value, edge, rel_tol=1e-9):
        assert (value < edge) == (p > 0.95)


def test_a_far_tail_keeps_its_digits() -> None:
    # Source: scipy.stats.norm.sf(10) = 7.62e-24. Status: reference library.
    p = probability_of_conformity(10.0, 1.0, lower=-5.0, upper=0.0)
    assert p == pytest.approx(norm.sf(10.0) - norm.sf(15.0), rel=1e-9)
    mirrored = probability_of_conformity(-10.0, 1.0, lower=0.0, upper=5.0)
    assert mirrored == pytest.approx(p, rel=1e-12)


def test_no_uncertainty_or_an_even_chance_needs_no_guard_band() -> None:
    # Source: w = z·u with u = 0, and z = 0 for 50 % (JCGM 106:2012, simple acceptance).
    assert guard_band(0.0) == 0.0
    assert guard_band(1.0, confidence=0.5) == 0.0


def test_impossible_figures_are_refused() -> None:
    for value, u in ((math.nan, 1.0), (1.0, 0.0), (1.0, math.nan)):
        with pytest.raises(ValueError, match="above 0"):
            probability_of_conformity(value, u, upper=1.0)
    with pytest.raises(ValueError, match="degrees of freedom"):
        probability_of_conformity(1.0, 1.0, upper=1.0, dof=0)
    with pytest.raises(ValueError, match="dof above 0"):
        guard_band(1.0, dof=0)
    with pytest.raises(ValueError, match="confidence"):
        guard_band(1.0, confidence=0.499)
    with pytest.raises(ValueError, match="u must be 0 or more"):
        guard_band(-1.0)
    with pytest.raises(ValueError, match="below the upper"):
        probability_of_conformity(1.0, 1.0, lower=1.0, upper=1.0)
    with pytest.raises(ValueError, match="below the upper"):
        probability_of_conformity(1.0, 1.0, lower=2.0, upper=1.0)
    with pytest.raises(ValueError, match="confidence"):
        guard_band(1.0, confidence=1.0)
    with pytest.raises(ValueError, match="limit must be finite"):
        acceptance_limit(math.inf, 1.0)
    with pytest.raises(ValueError, match="limit must be finite"):
        outcome_from_bounds(Bounded(value=1, lower95=0, upper95=2), math.nan)
    with pytest.raises(ValueError, match="enclose"):
        outcome_from_bounds(Bounded(value=math.nan, lower95=0, upper95=2), 1.0)
    with pytest.raises(ValueError, match="guard band"):
        zone(1.0, 1.0, -0.1)
