"""Elapsed time through sleep, steps of the wall clock and a restart.

Source of the rules: clock_gettime(2) - CLOCK_MONOTONIC does not count suspension, CLOCK_BOOTTIME does, neither steps.
"""

from hypothesis import given
from hypothesis import strategies as st

from commission.base.clock import Timing, elapsed_between
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


def test_a_clock_set_back_across_a_restart_shows_by_less_time_than_the_computer_has_been_up() -> None:
    clock = HandClock()
    first = clock.now()
    clock.run(1200)
    clock.restart(60)
    clock.run(600)
    assert not elapsed_between(first, clock.now()).lost
    clock.step_wall(-1500)  # 360 s by the wall, 605 s since the restart
    elapsed = elapsed_between(first, clock.now())
    assert (elapsed.elapsed_s, elapsed.wall_step_s, elapsed.lost) == (360.0, -245.0, True)


def test_a_system_without_a_boot_clock_sees_a_clock_set_back_by_the_one_that_stands_still_in_sleep() -> None:
    clock = HandClock(boot_ms=None, boot_id="")
    first = clock.now()
    clock.run(600)
    clock.sleep(600)
    assert not elapsed_between(first, clock.now()).lost
    clock.step_wall(-900)  # 300 s by the wall, 600 s awake
    elapsed = elapsed_between(first, clock.now())
    assert (elapsed.wall_step_s, elapsed.moved, elapsed.lost) == (-300.0, True, True)


def test_what_network_time_does_to_a_running_clock_is_no_move() -> None:
    clock = HandClock()
    first = clock.now()
    clock.run(600)
    clock.step_wall(-5)
    assert not elapsed_between(first, clock.now()).moved
    clock.step_wall(-0.001)
    assert elapsed_between(first, clock.now()).moved
