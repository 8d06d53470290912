"""Elapsed time through sleep, steps of the wall clock and a restart.

Source of the rules: clock_gettime(2) - CLOCK_MONOTONIC does not count suspension, CLOCK_BOOTTIME does, neither steps.
"""

from hypothesis import given
from hypothesis import strategies as st

from commission.domain.clock import Timing, elapsed_between
from tests.fakes import HandClock

EVENTS = st.lists(
    st.tuples(st.sampled_from(["run", "sleep", "step"]), st.integers(-100_000_000, 100_000_000)), max_size=20
)


@given(EVENTS)
def test_sleep_and_clock_steps_are_told_apart_and_elapsed_time_is_right(events: list[tuple[str, int]]) -> None:
    clock = HandClock()
    first = clock.now()
    ran = slept = stepped = 0.0
    for what, milliseconds in events:
        seconds = milliseconds / 1000
        if what == "step":
            clock.step_wall(seconds)
            stepped += seconds
        elif what == "run":
            clock.run(abs(seconds))
            ran += abs(seconds)
        else:
            clock.sleep(abs(seconds))
            slept += abs(seconds)
    elapsed = elapsed_between(first, clock.now())
    assert elapsed.timing is Timing.BOOT_CLOCK
    assert abs(elapsed.elapsed_s - (ran + slept)) < 1e-3
    assert abs(elapsed.slept_s - slept) < 1e-3
    assert abs(elapsed.wall_step_s - stepped) < 1e-3


def test_after_a_restart_only_the_wall_clock_counts_and_that_is_said() -> None:
    clock = HandClock()
    first = clock.now()
    clock.run(60)
    clock.restart(30)
    clock.run(10)
    elapsed = elapsed_between(first, clock.now())
    assert (elapsed.elapsed_s, elapsed.timing, elapsed.restarted) == (100.0, Timing.WALL_CLOCK, True)


def test_a_system_without_a_boot_clock_falls_back_to_the_wall_clock() -> None:
    clock = HandClock(boot_ms=None, boot_id="")
    first = clock.now()
    clock.run(42)
    elapsed = elapsed_between(first, clock.now())
    assert (elapsed.elapsed_s, elapsed.timing, elapsed.restarted) == (42.0, Timing.WALL_CLOCK, False)
