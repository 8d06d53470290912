"""The exact odds of an order, and slopes, against SciPy and against counting every arrangement."""

import math
from collections.abc import Callable, Sequence
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.stages.fan_headers.judge.sweep_trend import median_slope, order_odds, ranks_of, trend_of, variance_of_s
from tests.reference import stats

NINE = tuple(float(duty) for duty in range(20, 101, 10))
RISING = (412.0, 545.0, 690.0, 838.0, 981.0, 1120.0, 1256.0, 1380.0, 1498.0)
FLAT = (1493.0, 1488.0, 1501.0, 1490.0, 1497.0, 1486.0, 1499.0, 1492.0, 1495.0)
CREEPING = tuple(1480.0 + 2 * i for i in range(9))
STALLING = (0.0, 0.0, 560.0, 706.0, 850.0, 990.0, 1130.0, 1265.0, 1400.0)


def s_of(ranks: Sequence[float]) -> int:
    return sum((b > a) - (b < a) for i, a in enumerate(ranks) for b in ranks[i + 1 :])


def counted(ranks: Sequence[int]) -> float:
    """Return the odds of at least as rising an order by counting every arrangement."""
    reached = s_of(ranks)
    orders = list(permutations(ranks))
    return sum(s_of(order) >= reached for order in orders) / len(orders)


@pytest.mark.parametrize(
    ("speeds", "s", "variance", "z", "p", "slope"),
    [
        (RISING, 36, 92, 3.6490, 2.7557e-6, 13.900),
        (FLAT, 2, 92, 0.1043, 0.45973, 0.0375),
        (CREEPING, 36, 92, 3.6490, 2.7557e-6, 0.2),
    ],
)
def test_nine_levels_without_ties(
    speeds: Sequence[float], s: int, variance: float, z: float, p: float, slope: float
) -> None:
    # Source: SciPy 1.17.1 (kendalltau, theilslopes) and the formulas of Kendall 1970. Status: computed.
    trend = trend_of(NINE, speeds, 0.0)
    assert trend.s == s
    assert variance_of_s(9) == variance
    assert (s - math.copysign(1, s)) / math.sqrt(variance) == pytest.approx(z, abs=1e-4)
    assert trend.p_up == pytest.approx(p, rel=1e-4)
    assert trend.slope_rpm_per_pct == pytest.approx(slope, abs=1e-4)


def test_nine_levels_with_a_stall() -> None:
    # Source: SciPy 1.17.1: tau_b 0.986013; variance 92 less one tie. Status: computed.
    trend = trend_of(NINE, STALLING, 0.0)
    assert (trend.s, variance_of_s(9, [2])) == (35, 91)
    assert trend.s / math.sqrt(36 * 35) == pytest.approx(0.986013, abs=1e-6)
    assert stats().kendalltau(NINE, STALLING).statistic == pytest.approx(0.986013, abs=1e-6)
    assert (35 - 1) / math.sqrt(91) == pytest.approx(3.5642, abs=1e-4)
    assert trend.p_up == pytest.approx(2 / math.factorial(9), rel=1e-12)  # product of t! over n!


@pytest.mark.parametrize(("n", "variance"), [(4, 8.667), (5, 16.667), (6, 28.333), (7, 44.333)])
def test_the_variance_of_s_by_full_enumeration(n: int, variance: float) -> None:
    # Source: every order of n values counted here.
    values = [s_of(order) for order in permutations(range(n))]
    assert sum(v * v for v in values) / len(values) == pytest.approx(variance, abs=5e-4)
    assert variance_of_s(n) == pytest.approx(variance, abs=5e-4)


@pytest.mark.parametrize(("n", "p"), [(4, 0.041667), (5, 0.0083333), (6, 0.0013889), (7, 0.00019841)])
def test_a_perfect_order_has_one_chance_in_n_factorial(n: int, p: float) -> None:
    # Source: 1/n!. Status: computed. Four levels can never show a trend below 0.01.
    assert order_odds(range(n))[0] == pytest.approx(p, rel=1e-4)


@pytest.mark.parametrize(
    ("ranks", "s", "p"),
    [((0, 0, 1, 2, 3, 4), 14, 0.0027778), ((0, 0, 0, 1, 2, 3), 12, 0.0083333), ((1, 2, 3, 4, 6, 5), 13, 0.0083333)],
)
def test_ties_and_one_slip(ranks: tuple[int, ...], s: int, p: float) -> None:
    # Source: counted over all orders. Status: computed.
    assert s_of(ranks) == s
    assert order_odds(ranks)[0] == pytest.approx(p, abs=5e-8)
    assert counted(ranks) == pytest.approx(p, abs=5e-8)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.integers(0, 4), min_size=1, max_size=6))
def test_the_odds_are_those_of_every_arrangement_counted(ranks: list[int]) -> None:
    up, down = order_odds(ranks)
    assert up == pytest.approx(counted(ranks), rel=1e-12)
    assert down == pytest.approx(counted(ranks[::-1]), rel=1e-12)


@settings(deadline=None, max_examples=40)
@given(st.permutations(list(range(8))))
def test_without_ties_the_odds_are_those_of_scipy(order: list[int]) -> None:
    # Source: scipy.stats.kendalltau, method exact, one-sided.
    p = stats().kendalltau(range(8), order, method="exact", alternative="greater").pvalue
    assert order_odds(order)[0] == pytest.approx(p, rel=1e-9)


def test_many_levels_are_approximated_on_the_safe_side() -> None:
    # Source: normal approximation with continuity, Kendall 1970, by scipy.stats.norm; exact 1/40! is far smaller.
    up, down = order_odds(range(40))
    s = 40 * 39 / 2
    assert up == pytest.approx(stats().norm.sf((s - 1) / math.sqrt(variance_of_s(40))), rel=1e-9)
    assert up > 1 / math.factorial(40)
    assert down == pytest.approx(1.0)
    assert order_odds([0] * 40) == (1.0, 1.0)


def test_close_levels_share_a_rank_and_do_not_chain() -> None:
    assert ranks_of([899, 902, 901, 900, 1200, 1500], 30) == (0, 0, 0, 0, 1, 2)
    assert ranks_of([1480, 1500, 1520, 1540], 30) == (0, 0, 1, 1)  # each is close to the next, yet two ranks
    assert ranks_of([5, 5, 5], 0) == (0, 0, 0)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.floats(0, 3000), min_size=2, max_size=12, unique=True))
def test_the_slope_is_that_of_scipy(speeds: list[float]) -> None:
    # Source: scipy.stats.theilslopes.
    duties = [10.0 * i for i in range(len(speeds))]
    assert median_slope(duties, speeds) == pytest.approx(stats().theilslopes(speeds, duties).slope, rel=1e-9, abs=1e-9)


def test_what_is_no_order_is_refused() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: trend_of([40, 30], [1, 2], 0), "rise"),
        (lambda: trend_of([30, 40], [1], 0), "one speed"),
        (lambda: ranks_of([1.0], -1), "distance"),
        (lambda: ranks_of([math.nan], 1), "numbers"),
        (lambda: median_slope([5, 5], [1, 2]), "differ"),
        (lambda: variance_of_s(0), "n must"),
    ]
    for call, why in refused:
        with pytest.raises(ValueError, match=why):
            call()
