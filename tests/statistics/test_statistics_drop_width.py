"""Quantiles of Student's t and means of blocks, against tables and plain averages."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from commission.statistics.drop_width import block_means, t_quantile
from commission.statistics.regression import fit_line
from tests.reference import stats


@pytest.mark.parametrize(
    ("dof", "t95"),
    [
        (2, 2.919985580),
        (5, 2.015048373),
        (10, 1.812461123),
        (23, 1.713871528),
        (60, 1.670648865),
        (100, 1.660234326),
    ],
)
def test_the_one_sided_quantile_of_student(dof: int, t95: float) -> None:
    # Source: scipy 1.17.1, stats.t. Status: computed.
    assert t_quantile(0.95, dof) == pytest.approx(t95, abs=1e-8)


@pytest.mark.parametrize(("dof", "printed"), [(1, "6.31"), (5, "2.02"), (20, "1.72"), (math.inf, "1.645")])
def test_the_quantile_agrees_with_the_table_of_the_guide(dof: float, printed: str) -> None:
    # Source: JCGM 100:2008, Table G.2, column 90 %. Status: memory.
    assert f"{t_quantile(0.95, dof):.{len(printed) - 2}f}" == printed


@settings(deadline=None)
@given(st.floats(0.501, 0.999), st.floats(0.5, 1000))
def test_the_quantile_agrees_with_a_reference_library(probability: float, dof: float) -> None:
    # Source: scipy.stats.t, run beside it (the same library by another door). Status: reference library.
    assert t_quantile(probability, dof) == pytest.approx(stats().t.ppf(probability, dof), rel=1e-7)


def readings(
    rng: np.random.Generator, drop: float, noise: float, phi: float, n: int = 600
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return times and readings of a display with step 1: a ramp, AR(1) noise of that s.d., an unknown phase."""
    white = rng.normal(0, 1, n)
    slow = np.empty(n)
    slow[0] = white[0]
    for i in range(1, n):
        slow[i] = phi * slow[i - 1] + math.sqrt(1 - phi * phi) * white[i]
    t = np.arange(n, dtype=float)
    return t, np.round(rng.uniform(0, 1) - drop * t / (n - 1) + noise * slow)


def test_the_plain_line_does_not_cover_what_the_rule_covers() -> None:
    # Source: simulation with numpy, 3000 runs: plain least squares covers a drop of 0.6 steps in 48 % of noise-free
    # holds. Status: computed. Without this the test above could not tell the rule from none.
    rng = np.random.default_rng(21)
    covered = 0
    for _ in range(300):
        t, p = readings(rng, 0.6, 0.0, 0.0)
        line = fit_line(t, p)
        covered += -line.slope * 599 + t_quantile(0.95, 598) * line.s_slope * 599 >= 0.6
    assert covered / 300 == pytest.approx(0.483, abs=0.09)


@settings(deadline=None)
@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=200), st.integers(1, 200))
def test_block_means_agree_with_the_plain_average_of_each_block(values: list[float], blocks: int) -> None:
    # Source: arithmetic, each block averaged on its own.
    if blocks > len(values):
        with pytest.raises(ValueError, match="cannot make"):
            block_means(values, blocks)
        return
    n = len(values)
    edges = [i * n // blocks for i in range(blocks + 1)]
    plain = [math.fsum(values[a:b]) / (b - a) for a, b in itertools.pairwise(edges)]
    assert block_means(values, blocks).tolist() == pytest.approx(plain, rel=1e-9, abs=1e-6)


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="probability"):
        t_quantile(1.0, 5)
    with pytest.raises(ValueError, match="degrees of freedom"):
        t_quantile(0.95, 0)
