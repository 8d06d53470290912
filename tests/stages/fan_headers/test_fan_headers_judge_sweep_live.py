"""Live sweeps: readings too close together do not count twice, and nobody waits for ever."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.stages.fan_headers.judge.sweep_live import level_progress, spaced


def test_readings_within_two_seconds_may_be_the_same_one() -> None:
    # Source: a driver keeps its values for 1.5 s; faster polling repeats one measurement and fakes a tiny noise.
    assert spaced([0.0, 0.5, 1.0, 2.0, 2.5, 4.1]) == (0, 3, 5)
    assert spaced([0.0, 1.9985, 4.0]) == (0, 1, 2)  # a timer that fires a little early
    assert spaced([]) == ()
    with pytest.raises(ValueError, match="spacing"):
        spaced([0.0], 0.0)


def progress(speeds: list[float | None], full: float = 1500, step: float = 1) -> tuple[bool, bool, int, bool]:
    times = [2.0 * (i + 1) for i in range(len(speeds))]
    found = level_progress(times, speeds, full_rpm=full, step_rpm=step)
    return found.settled, found.gave_up, len(found.samples), found.enough


def test_a_level_settles_when_two_medians_of_three_agree() -> None:
    # limit 1 % of 1500 = 15 rpm
    falling: list[float | None] = [1400, 1200, 1100, 1000, 950, 930]
    assert progress(falling) == (False, False, 0, False)
    still: list[float | None] = [*falling, 905, 903, 902, 901, 900, 899]
    assert progress(still)[0]
    assert progress([*still, 900.0, 901.0, 902.0, 903.0, 904.0])[3]


def test_a_coarse_display_settles_within_three_of_its_steps() -> None:
    jumping: list[float | None] = [900, 930, 930, 960, 930, 960]
    assert progress(jumping, full=0, step=30)[0]
    assert not progress(jumping, full=0, step=10)[0]


def test_after_half_a_minute_the_wait_ends() -> None:
    restless: list[float | None] = [900, 1500] * 12
    settled, gave_up, samples, enough = progress(restless, full=0, step=0)
    assert (settled, gave_up, samples, enough) == (True, True, 5, True)
    assert progress([None] * 15) == (True, True, 0, False)
    assert progress([None] * 20) == (True, True, 5, True)  # a dead sensor gives failed reads, not an endless wait


@settings(deadline=None)
@given(st.lists(st.one_of(st.none(), st.floats(0, 3000)), max_size=40))
def test_more_readings_never_unsettle_a_level(speeds: list[float | None]) -> None:
    times = [2.0 * (i + 1) for i in range(len(speeds))]
    seen = [level_progress(times[:n], speeds[:n], full_rpm=1500, step_rpm=1) for n in range(len(speeds) + 1)]
    for early, late in pairwise(seen):
        assert late.samples[: len(early.samples)] == early.samples
        assert late.settled or not early.settled


def test_columns_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="its time"):
        level_progress([1.0], [], full_rpm=1500, step_rpm=1)
    with pytest.raises(ValueError, match="one sample"):
        level_progress([], [], full_rpm=1500, step_rpm=1, samples=0)


def test_a_single_sample_may_be_wanted() -> None:
    times = [2.0 * (i + 1) for i in range(7)]
    found = level_progress(times, [900.0] * 7, full_rpm=1500, step_rpm=1, samples=1)
    assert (found.samples, found.enough) == ((900.0,), True)
