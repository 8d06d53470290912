"""Past work that is written up later: its times, their order, and what every verdict on it says."""

import pytest

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.entries import StepDone
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.past import TAKEN_OVER
from commission.stages.bleed.work import Bleeds
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.thermal_soak.model import SoakPlan
from commission.stages.thermal_soak.work.soaks import Soaks
from tests.fakes import new_book
from tests.power_builds import JOINTS, supplied_build
from tests.soaks import course, headers_passed
from tests.wet_builds import answer, cycle, filled_build

MINUTE_MS = 60_000


def bled_yesterday(book: Logbook, build: str, start_ms: int, *minutes: int) -> Outcome:
    """Write up a bleed that began at a moment, with a quiet half hour that brought nothing at each of some minutes."""
    work = book.work(Bleeds)
    answer(book, build, work, When.BEFORE_PUMP)
    with book.past.written_up(start_ms, begins=True):
        work.start(build)
    for minute in minutes:
        with book.past.written_up(start_ms + minute * MINUTE_MS):
            work.cycle(build, cycle(0, resolution_m3=5e-7))
    return work.close(build).outcome


def test_a_bleed_of_yesterday_passes_by_its_own_times_and_says_that_it_is_taken_over() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    start_ms = clock.wall_ms + 5 * MINUTE_MS
    clock.run(86_400)
    # the rule: the last 3 cycles, over 2 h, each at most 2 mL
    assert bled_yesterday(book, build, start_ms, 35, 65, 95, 130) is Outcome.PASS
    closed = book.build(build).judged_run("bleed")
    assert closed is not None
    assert closed.closed is not None
    assert closed.closed.payload.verdict.reasons[-1] == TAKEN_OVER  # type: ignore[attr-defined]


def test_the_clock_of_the_times_that_were_typed_is_no_longer_than_they_say() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    start_ms = clock.wall_ms + 5 * MINUTE_MS
    clock.run(86_400)
    assert bled_yesterday(book, build, start_ms, 35, 65, 95) is Outcome.INCONCLUSIVE  # 95 min, and 2 h are asked


def test_what_is_written_up_keeps_its_order_lies_before_now_and_before_the_record_only_where_it_begins() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    work, filled_ms = book.work(Bleeds), clock.wall_ms
    answer(book, build, work, When.BEFORE_PUMP)
    clock.run(7200)
    with pytest.raises(NotAllowed, match="lies after now"), book.past.written_up(clock.wall_ms + 1):
        pass
    with (
        pytest.raises(NotAllowed, match="more than a year ago"),
        book.past.written_up(clock.wall_ms - 367 * 86_400_000),
    ):
        pass
    with pytest.raises(NotAllowed, match=r"before entry \d+ .\"fill ended\""), book.past.written_up(filled_ms - 1):
        work.start(build)
    with book.past.written_up(filled_ms + 30 * MINUTE_MS):
        work.start(build)
    with pytest.raises(NotAllowed, match='"bleed started"'), book.past.written_up(filled_ms + 29 * MINUTE_MS):
        work.cycle(build, cycle(0))
    other = book.open_build("Kestrel")
    with (
        pytest.raises(NotAllowed, match="before the build was opened"),
        book.past.written_up(clock.wall_ms - MINUTE_MS),
    ):
        book.record(other, _stepped())
    with book.past.written_up(clock.wall_ms - MINUTE_MS, begins=True):
        book.record(other, _stepped())


def _stepped() -> StepDone:
    return StepDone(stage="fill", attempt=1, step="protect", note="")


def test_a_leak_watch_of_yesterday_counts_its_looks_by_their_times() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    work, start_ms = book.work(FirstPower), clock.wall_ms + MINUTE_MS
    clock.run(86_400)
    answer(book, build, work, When.BEFORE_PUMP)
    with book.past.written_up(start_ms, begins=True):
        work.start_pump(build, JOINTS)
    for minute in (10, 20, 31):
        with book.past.written_up(start_ms + minute * MINUTE_MS):
            for joint in JOINTS:
                work.look(build, joint, Paper.DRY)
    assert [look.elapsed_s for look in book.build(build).of(FirstPowerState).looks[::3]] == [600, 1200, 1860]
    with book.past.written_up(start_ms + 31 * MINUTE_MS):
        verdict = work.end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)
    assert (verdict.outcome, verdict.reasons[-1]) == (Outcome.PASS, TAKEN_OVER)
    ladder = work.verdict(book.build(build))
    assert ladder.reasons[-1] == TAKEN_OVER


@pytest.mark.parametrize(
    ("looked_min", "outcome", "code"),
    [(50, Outcome.PASS, "taken_over"), (1, Outcome.INCONCLUSIVE, "joints_not_looked_at")],
)
def test_a_soak_of_yesterday_is_judged_with_its_look_at_the_hot_joints(
    looked_min: int, outcome: Outcome, code: str
) -> None:
    # a minute after the start the coolant stands 10 K * (1 - exp(-1/10)) = 1 K above air, of 10 K at the end
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    work, start_ms = book.work(Soaks), clock.wall_ms + MINUTE_MS
    clock.run(86_400)
    answer(book, build, work, When.BEFORE_SOAK)
    with book.past.written_up(start_ms, begins=True):
        work.start(build, SoakPlan())
    work.read(build, course(60))
    with book.past.written_up(start_ms + looked_min * MINUTE_MS):
        work.look(build, work.joints(book.build(build)), Paper.DRY)
    verdict = work.close(build)
    assert verdict.outcome is outcome
    assert code in {reason.code for reason in verdict.reasons}
    assert verdict.reasons[-1] == TAKEN_OVER


def test_a_table_that_is_filed_at_the_end_of_a_soak_says_that_nobody_saw_its_readings_arrive() -> None:
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    work = book.work(Soaks)
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    clock.run(60)
    one = replace(course(1)[0], elapsed_s=60.0)
    work.read(build, (one,))
    assert TAKEN_OVER not in work.verdict(book.build(build)).reasons
    clock.run(3600)
    work.read(build, tuple(replace(each, elapsed_s=each.elapsed_s + 61) for each in course(59)))
    assert work.verdict(book.build(build)).reasons[-1] == TAKEN_OVER
