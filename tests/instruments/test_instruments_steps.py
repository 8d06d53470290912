"""The step of a display from what it showed: never finer than its digits, never coarser than the readings allow.

Expected values are read off the listed readings by eye.
"""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.instruments.steps import step_of


@pytest.mark.parametrize(
    ("values", "decimals", "dial", "step"),
    [
        ([497.5], 1, True, 0.1),
        ([500.0, 500.0], 1, True, 0.1),
        ([500.0, 500.0], 0, True, 10.0),
        ([20.0, 20.0], 0, False, 1.0),
        ([500.0, 495.0], 0, True, 1.0),
        ([500.0, 490.0], 0, True, 10.0),
        ([500.0, 475.0, 450.0], 0, True, 25.0),
        ([497.5, 497.0, 496.5, 496.5], 1, True, 0.5),
        ([497.5, 497.3, 496.9], 1, True, 0.2),
        ([497.5, 497.4, 496.9], 1, True, 0.1),
        ([1013.25, math.nan, 1013.5, 1014.0], 2, False, 0.25),
    ],
)
def test_a_step_is_seen_in_the_readings(values: list[float], decimals: int, dial: bool, step: float) -> None:
    assert step_of(values, decimals, dial=dial) == pytest.approx(step)


def test_without_readings_there_is_no_step() -> None:
    assert step_of([], 1) is None
    assert step_of([math.nan, math.nan], 1) is None


def test_many_readings_show_a_step_that_no_digit_shows() -> None:
    """A display of 0.01 psi, logged in mbar with three decimals (1 psi = 68.94757 mbar, NIST SP 811 B.8)."""
    values = [round((7.25 - 0.01 * (i % 7)) * 68.94757, 3) for i in range(40)]
    assert step_of(values, 3) == pytest.approx(0.6894757, abs=0.002)


@settings(deadline=None)
@given(st.lists(st.integers(0, 5000), min_size=1, max_size=60), st.sampled_from([1, 2, 5]), st.integers(0, 3))
def test_every_reading_is_a_whole_number_of_steps_or_near_a_finer_one(
    ticks: list[int], tick: int, decimals: int
) -> None:
    values = [t * tick / 10**decimals for t in ticks]
    step = step_of(values, decimals)
    assert step is not None
    assert step >= 0.999 / 10**decimals
    if len(set(values)) >= 2:
        ordered = sorted(set(values))
        smallest = min(late - early for early, late in itertools.pairwise(ordered))
        assert step <= smallest * 1.001, "a step is never larger than the smallest difference seen"
