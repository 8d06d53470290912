"""Headers, chains and sweeps through the real logbook: budgets, moves with history, sweeps, layouts, duties."""

from collections.abc import Callable

import pytest

from commission.base.errors import InputError, NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.load import default_toml
from commission.procedure.model import When
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.entries import StageOverridden
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.record.machine.rungs import Rung, Rungs
from commission.record.machine.seats import Drive, Feed, Reach, StopCause
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    DutyNoted,
    HeaderAdded,
    HeadersClosed,
    LevelSwept,
    SweepBegun,
    SweepSource,
    SweepTaken,
)
from commission.stages.fan_headers.judge.verdict import evaluate_header_stage
from commission.stages.fan_headers.model.sweep import Direction, Sweep, SweepWord
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.entries import MachineStarted
from commission.stages.first_power.judge.machine_start import evaluate_machine_start
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import HandClock, ListLog, new_book
from tests.holds import ready_build
from tests.power_builds import (
    SOUND,
    chain,
    falling,
    header,
    level,
    plugged,
    powered_build,
    pump,
    rails,
    supplied_build,
    supply,
    watch_pump,
)
from tests.wet_builds import answer

DAY_S = 86_400


def kinds(log: ListLog, kind: type) -> int:
    return sum(isinstance(entry.payload, kind) for entry in log.entries())


def sweeping(book: Logbook, clock: HandClock) -> str:
    """A powered build with one chain plugged in, ready to be swept."""
    build = powered_build(book, clock)
    plugged(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    return build


def test_what_sat_where_on_a_day_is_answered() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    plugged(book, build)
    monday = clock.wall_ms
    clock.run(3 * DAY_S)
    book.work(FanHeaders).seats.move(build, "front", "SYS 2", "quieter there")
    clock.run(3 * DAY_S)
    book.work(FanHeaders).seats.remove_header(build, "SYS 2", "its pin broke")
    there = book.build(build).plugged
    assert there.seats(monday) == {"front": "SYS 1"}
    assert there.seats(monday + 4 * DAY_S * 1000) == {"front": "SYS 2"}
    assert there.seats() == {}
    gone = there.header("SYS 2")
    assert gone is not None
    assert gone.name == "SYS 2"


def test_a_move_seen_earlier_counts_from_when_it_was_seen() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    plugged(book, build)
    seen = clock.wall_ms + 3_600_000
    clock.run(DAY_S)
    with book.past.written_up(seen):
        book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    assert book.build(build).plugged.seats(seen) == {"front": "SYS 2"}


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"name": "sys 1", "header_id": "other"}, "already"),
        ({"rating_ma": 24_000}, "divide by 12 V"),
        ({"pins": 3}, "no pin for PWM"),
        ({"modes": (Drive.VOLTAGE,)}, "none of its modes"),
    ],
)
def test_a_header_that_contradicts_itself_is_not_stored(changes: dict[str, object], why: str) -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    with pytest.raises(InputError, match=why):
        book.work(FanHeaders).seats.add_header(build, header(str(changes.pop("name", "SYS 9")), **changes))
    assert kinds(log, HeaderAdded) == 1


def test_a_chain_whose_cable_reaches_a_header_that_is_not_there_is_not_stored() -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    with pytest.raises(InputError, match='no header "SYS 7"'):
        book.work(FanHeaders).seats.add_chain(build, chain("front", reach=(Reach(header="SYS 7", cable_cm=40),)))
    assert kinds(log, ChainAdded) == 0


def test_a_pump_on_a_header_that_can_stop_it_is_blocked_whatever_is_said() -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("CPU", rating_ma=2000))
    book.work(FanHeaders).seats.add_header(
        build, header("PUMP", rating_ma=2000, full_speed_lock=True, stops=(StopCause.FAN_STOP,))
    )
    book.work(FanHeaders).seats.add_chain(build, pump())
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    for label in ("CPU", "PUMP"):
        with pytest.raises(NotAllowed, match="can stop the pump"):
            book.work(FanHeaders).seats.move(build, "pump", label, override="I know better")
    assert kinds(log, ChainMoved) == 0


def test_a_current_above_the_rating_is_never_overridden_steady_or_at_start() -> None:
    """Six fans of 200 mA are 1200 mA on 1 A; three that start with 400 mA are 1200 mA: both above the rating."""
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("top", fans=6))
    book.work(FanHeaders).seats.add_chain(build, chain("side", fans=3, start_ma=400))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    for name in ("top", "side"):
        with pytest.raises(NotAllowed, match="1200 mA"):
            book.work(FanHeaders).seats.move(build, name, "SYS 1", override="short runs only")
    assert kinds(log, ChainMoved) == 0


def test_the_share_of_a_rating_gives_way_to_a_reason_that_the_verdict_says() -> None:
    """Five fans of 180 mA are 900 mA: within 1 A, above the 80 % that are our own choice."""
    book, _, clock = new_book()
    build = powered_build(book, clock)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("top", fans=5, steady_ma=180, start_ma=200))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING, When.BEFORE_SWEEP)
    with pytest.raises(NotAllowed, match="only with a reason"):
        book.work(FanHeaders).seats.move(build, "top", "SYS 1")
    moved = book.work(FanHeaders).seats.move(build, "top", "SYS 1", override="the manual allows all of it")
    assert isinstance(moved.payload, ChainMoved)
    assert (moved.payload.share_overridden, moved.payload.start_overridden) == ("the manual allows all of it", "")
    book.work(FanHeaders).sweeps.take_sweep(build, "top", falling(), SweepSource.TYPED)
    verdict = book.work(FanHeaders).close(build)
    assert verdict.outcome is Outcome.PASS
    assert "Let be: the manual allows all of it" in verdict.reasons[-1].template


def test_chains_that_join_on_a_header_are_counted_together() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    plugged(book, build)
    book.work(FanHeaders).seats.add_chain(build, chain("rear", fans=2))
    with pytest.raises(NotAllowed, match="1000 mA"):
        book.work(FanHeaders).seats.move(build, "rear", "SYS 1")
    book.work(FanHeaders).seats.move(build, "rear", "SYS 2")


def test_start_current_by_the_default_factor_needs_a_reason() -> None:
    """3 x 0.20 A, start unknown, 1 A header: 2.0 x 600 = 1200 mA is refused unless a reason is given."""
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front", start_ma=None))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    with pytest.raises(NotAllowed, match="1200 mA"):
        book.work(FanHeaders).seats.move(build, "front", "SYS 1")
    book.work(FanHeaders).seats.move(build, "front", "SYS 1", override="start measured: 0.9 A")
    assert book.build(build).plugged.seats() == {"front": "SYS 1"}


def test_nothing_is_plugged_before_the_cautions_are_answered() -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front"))
    with pytest.raises(NotAllowed, match="not answered yet: "):
        book.work(FanHeaders).seats.move(build, "front", "SYS 1")
    assert kinds(log, ChainMoved) == 0


def test_a_chain_that_nobody_wrote_down_is_not_moved() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    plugged(book, build)
    with pytest.raises(UnknownName, match="front"):
        book.work(FanHeaders).seats.move(build, "rear", "SYS 1")
    with pytest.raises(NotAllowed, match="sits on SYS 1 already"):
        book.work(FanHeaders).seats.move(build, "front", "SYS 1")


def test_headers_are_written_down_before_the_first_power_and_swept_only_after() -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    plugged(book, build)
    supply(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    with pytest.raises(NotAllowed, match="Fan headers is locked"):
        book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.FILE)
    with pytest.raises(NotAllowed, match="Fan headers is locked"):
        book.work(FanHeaders).close(build)
    assert kinds(log, SweepTaken) == 0


def test_a_sweep_is_stored_level_by_level_and_carries_on_where_it_was() -> None:
    book, log, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.begin_sweep(build, "front")
    readings = falling().readings
    for n in range(0, len(readings), 2):
        book.work(FanHeaders).sweeps.sweep_level(build, readings[n : n + 2])
        if n == 4:
            at_hand = new_book(log, clock)[0].build(build).of(FanHeadersState).sweeping  # as another window sees it
            assert at_hand is not None
            assert len(at_hand.readings) == 6
    verdict = book.work(FanHeaders).sweeps.end_sweep(build)
    assert verdict.word is SweepWord.CONTROLLED
    taken = book.build(build).of(FanHeadersState).sweep_of("front")
    assert taken is not None
    assert taken.taken.sweep.readings == readings
    assert book.build(build).of(FanHeadersState).sweeping is None


def test_a_sweep_without_full_speed_is_not_stored() -> None:
    book, log, clock = new_book()
    build = sweeping(book, clock)
    with pytest.raises(InputError, match="100 %"):
        book.work(FanHeaders).sweeps.take_sweep(
            build, "front", Sweep(readings=level(60, 900) + level(40, 600)), SweepSource.TYPED
        )
    assert kinds(log, SweepTaken) == 0


@pytest.mark.parametrize("reading", [level(101, 900), level(60, 60_001), level(-1, 900)])
def test_a_level_that_cannot_be_is_not_stored(reading: tuple[object, ...]) -> None:
    book, log, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.begin_sweep(build, "front")
    with pytest.raises(InputError, match="outside 0 to"):
        book.work(FanHeaders).sweeps.sweep_level(build, reading)  # type: ignore[arg-type]
    assert kinds(log, LevelSwept) == 0


def test_a_withdrawn_level_no_longer_counts() -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.begin_sweep(build, "front")
    book.work(FanHeaders).sweeps.sweep_level(build, level(100, 1500))
    wrong = book.work(FanHeaders).sweeps.sweep_level(build, level(80, 12))
    book.withdraw(wrong.seq, "typed rpm of another fan")
    at_hand = book.build(build).of(FanHeadersState).sweeping
    assert at_hand is not None
    assert [reading.duty_pct for reading in at_hand.readings] == [100]


def test_a_sweep_that_is_under_way_ends_when_its_chain_is_moved() -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.begin_sweep(build, "front")
    book.work(FanHeaders).sweeps.sweep_level(build, level(100, 1500))
    book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    assert book.build(build).of(FanHeadersState).sweeping is None
    with pytest.raises(NotAllowed, match="no sweep was begun"):
        book.work(FanHeaders).sweeps.end_sweep(build)


def test_a_pump_is_never_swept_below_what_its_maker_allows() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump(lowest_duty_pct=60.0))
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    assert book.work(FanHeaders).sweeps.sweep_floor_pct(book.build(build), "pump") == 60.0
    book.work(FanHeaders).sweeps.begin_sweep(build, "pump")
    with pytest.raises(InputError, match="below 60 %"):
        book.work(FanHeaders).sweeps.sweep_level(build, level(50, 2400))
    with pytest.raises(InputError, match="below 60 %"):
        book.work(FanHeaders).note_duty(build, "pump", 40)


@pytest.mark.parametrize("feed", [Feed.HEADER, Feed.HUB])
def test_a_pump_behind_a_hub_is_as_blocked_as_one_on_the_header(feed: Feed) -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("CPU", rating_ma=2000))
    book.work(FanHeaders).seats.add_chain(build, pump(feed=feed))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    with pytest.raises(NotAllowed, match="can stop the pump"):
        book.work(FanHeaders).seats.move(build, "pump", "CPU")
    assert kinds(log, ChainMoved) == 0
    assert book.work(FanHeaders).best_layout(book.build(build)).status == "infeasible"


def test_a_pump_that_was_found_where_it_can_be_stopped_is_recorded_so_and_blocks_until_it_is_moved() -> None:
    book, log, clock = new_book()
    build = supplied_build(book, clock, fed=False)
    headers, power = book.work(FanHeaders), book.work(FirstPower)
    headers.seats.add_header(build, header("CPU", rating_ma=2000))
    headers.seats.add_header(build, header("PUMP", rating_ma=2000, full_speed_lock=True))
    headers.seats.add_chain(build, pump())
    answer(book, build, headers, When.BEFORE_PLUGGING)
    headers.seats.move(build, "pump", "CPU", "as it came", found=True)
    (moved,) = (entry.payload for entry in log.entries() if isinstance(entry.payload, ChainMoved))
    assert moved.found
    verdict = headers.verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, "pump_can_stop")
    watch_pump(book, clock, build)
    answer(book, build, power, When.BEFORE_MACHINE)
    with pytest.raises(NotAllowed, match="can stop the pump"):
        power.start_machine(build, SOUND)
    headers.seats.move(build, "pump", "PUMP")
    power.start_machine(build, SOUND)
    assert "pump_can_stop" not in {reason.code for reason in headers.verdict(book.build(build)).reasons}


def test_what_was_found_above_a_rating_or_its_share_is_not_let_be() -> None:
    # 5 fans of 0.2 A on 1 A: the rating itself, above the share of 80 % that would take a reason
    book, _, _ = new_book()
    build = ready_build(book)
    headers = book.work(FanHeaders)
    headers.seats.add_header(build, header("SYS 1"))
    headers.seats.add_chain(build, chain("front", 5, steady_ma=200, start_ma=200))
    answer(book, build, headers, When.BEFORE_PLUGGING)
    headers.seats.move(build, "front", "SYS 1", override="measured 0.9 A", found=True)
    verdict = headers.verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, "steady_over")


def test_a_pump_that_the_supply_feeds_sits_alone_in_the_best_layout_too() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front"))
    book.work(FanHeaders).seats.add_chain(build, pump(feed=Feed.SUPPLY))
    assert book.work(FanHeaders).best_layout(book.build(build)).status == "infeasible"
    book.work(FanHeaders).seats.add_header(build, header("SYS 2"))
    assert book.work(FanHeaders).best_layout(book.build(build)).status == "optimal"


def test_a_pump_without_a_stated_lowest_duty_stays_at_full_speed() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    with pytest.raises(InputError, match="below 30 %"):
        book.work(FanHeaders).note_duty(build, "pump", 0)


def test_what_was_typed_last_counts_last_where_the_clock_was_set_back() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    plugged(book, build)
    clock.step_wall(-3600)
    book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    assert book.build(build).plugged.seats() == {"front": "SYS 2"}


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"lowest_duty_pct": 500.0}, "outside 0 to 100"),
        ({"reach": (Reach(header="SYS 1", cable_cm=-5),)}, "outside 0 to"),
        ({"reach": (Reach(header="SYS 1", cable_cm=5), Reach(header="SYS 1", cable_cm=9))}, "twice"),
        ({"chain_id": "front"}, "id of another"),
    ],
)
def test_a_chain_that_contradicts_itself_is_not_stored(changes: dict[str, object], why: str) -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front"))
    with pytest.raises(InputError, match=why):
        book.work(FanHeaders).seats.add_chain(build, replace(chain("rear"), **changes))  # type: ignore[arg-type]
    assert kinds(log, ChainAdded) == 1


def test_a_header_that_does_not_control_its_chain_is_barred_and_another_one_offered() -> None:
    """Full speed at every duty: some board headers have no control; common practice, no source."""
    book, _, clock = new_book()
    build = sweeping(book, clock)
    verdict = book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(share=0), SweepSource.TYPED)
    assert (verdict.word, verdict.outcome) == (SweepWord.IGNORES, Outcome.FAIL)
    answer_ = book.work(FanHeaders).best_layout(book.build(build))
    assert [(seat.chain, seat.header) for seat in answer_.optima[0].seats] == [("front", "SYS 2")]
    book.work(FanHeaders).choose_layout(build, answer_.optima[0])
    book.work(FanHeaders).seats.move(build, "front", "SYS 2", "the best legal re-plug")
    standing = book.work(FanHeaders).verdict(book.build(build)).chains[0]
    assert standing.outcome is None  # it must be swept again: only that proves it
    assert book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED).outcome is Outcome.PASS
    assert book.work(FanHeaders).close(build).outcome is Outcome.PASS
    words = {rung.stage.id: rung.word for rung in book.ladder(book.build(build))}
    assert words["fan_headers"] is StageWord.PASSED


def test_what_sits_well_stays_in_the_best_layout() -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    best = book.work(FanHeaders).best_layout(book.build(build))
    assert [seat.header for seat in best.optima[0].seats] == ["SYS 2"]


@pytest.mark.parametrize("change", ["mode", "move", "join"])
def test_a_changed_header_asks_for_the_sweep_again(change: str) -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    assert book.work(FanHeaders).close(build).outcome is Outcome.PASS
    if change == "mode":
        book.work(FanHeaders).seats.set_header(build, "SYS 1", set_to=Drive.VOLTAGE, full_speed_lock=False, why="tried")
    elif change == "move":
        answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
        book.work(FanHeaders).seats.move(build, "front", "SYS 2")
    else:
        book.work(FanHeaders).seats.add_chain(build, chain("fan by the drive", fans=1, steady_ma=100, start_ma=100))
        answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
        book.work(FanHeaders).seats.move(build, "fan by the drive", "SYS 1")
    state = book.build(build)
    assert state.of(FanHeadersState).sweep_of("front") is None
    words = {rung.stage.id: rung.word for rung in book.ladder(state)}
    assert words["fan_headers"] is StageWord.STALE
    assert book.work(FanHeaders).verdict(state).outcome is Outcome.INCONCLUSIVE


def test_the_duty_that_was_left_comes_with_what_the_sweep_advised() -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    left = book.work(FanHeaders).note_duty(build, "front", 40, 600)
    assert (left.full_rpm, left.fans) == (1501, 3)
    plan = book.work(FanHeaders).duty_plan(book.build(build))
    # 50 log10(600/1501), the fan laws' sound exponent (ASHRAE Handbook, fans; see tests of physics.sound)
    assert plan.sound[0].change_db == pytest.approx(-19.9, abs=0.05)


def test_a_fan_below_its_advised_duty_is_no_pass_until_it_is_swept_or_the_reason_typed() -> None:
    """The sweep of ``falling`` was read down to 30 %, the smallest duty that it can advise."""
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    book.work(FanHeaders).note_duty(build, "front", 20, 300)
    verdict = book.work(FanHeaders).verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "duty_below_advised")
    book.work(FanHeaders).note_duty(build, "front", 20, 300, reason="it starts at 15 %, tried ten times")
    kept = book.work(FanHeaders).verdict(book.build(build))
    assert kept.outcome is Outcome.PASS
    assert "Let be: it starts at 15 %" in kept.reasons[-1].template
    book.work(FanHeaders).note_duty(build, "front", 20, 300)
    assert book.work(FanHeaders).close(build).outcome is Outcome.INCONCLUSIVE
    book.work(FanHeaders).note_duty(build, "front", 40, 600)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    assert book.work(FanHeaders).close(build).outcome is Outcome.PASS


def test_a_duty_on_a_header_that_ignores_control_is_no_pass_without_a_reason() -> None:
    """Fans that need no control pass a sweep that stays flat; left at 40 % they would be believed slowed down."""
    book, _, clock = new_book()
    build = powered_build(book, clock)
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front", control_wanted=False))
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING, When.BEFORE_SWEEP)
    book.work(FanHeaders).seats.move(build, "front", "SYS 1")
    swept = book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(0.0), SweepSource.TYPED)
    assert (swept.word, swept.outcome) == (SweepWord.IGNORES, Outcome.PASS)
    book.work(FanHeaders).note_duty(build, "front", 40, 1500)
    verdict = book.work(FanHeaders).verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "duty_without_control")
    book.work(FanHeaders).note_duty(build, "front", 100, 1500)
    assert book.work(FanHeaders).verdict(book.build(build)).outcome is Outcome.PASS


def test_a_pump_at_full_speed_has_no_other_duty() -> None:
    book, log, clock = new_book()
    build = powered_build(book, clock, seated=pump(lowest_duty_pct=40.0))
    with pytest.raises(InputError, match="runs at full speed"):
        book.work(FanHeaders).note_duty(build, "pump", 60, 3000, reason="it is quieter")
    assert kinds(log, DutyNoted) == 0
    book.work(FanHeaders).note_duty(build, "pump", 100, 4700)
    assert kinds(log, DutyNoted) == 1


def test_a_fan_that_was_left_standing_is_no_pass_without_a_reason() -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    headers = book.work(FanHeaders)
    headers.sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    headers.note_duty(build, "front", 40, 0.0)
    verdict = headers.verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "left_standing")
    headers.note_duty(build, "front", 40, 0.0, reason="it stands while the loop is cool, as meant")
    assert headers.verdict(book.build(build)).outcome is Outcome.PASS


def test_fans_found_on_the_header_of_the_pump_take_the_start_of_the_machine() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    headers = book.work(FanHeaders)
    headers.seats.add_chain(build, chain("front", 6, steady_ma=400, start_ma=400))
    headers.seats.add_header(build, header("SYS 1"))
    answer(book, build, headers, When.BEFORE_PLUGGING)
    headers.seats.move(build, "front", "SYS 1", "as it came", found=True)
    assert book.build(build).of(Rungs).shown[Rung.MACHINE] is Outcome.PASS
    headers.seats.move(build, "front", "PUMP", "as it came", found=True)
    assert book.build(build).of(Rungs).shown[Rung.MACHINE] is None


def test_a_pump_is_never_left_below_what_its_sweep_advises() -> None:
    """No seat lets a pump be slowed; a record made past the checks may hold one, and its least duty still counts."""
    book, log, clock = new_book()
    build = supplied_build(book, clock, fed=False)
    book.work(FanHeaders).seats.add_header(build, header("PUMP", rating_ma=2000))
    book.work(FanHeaders).seats.add_chain(build, pump(lowest_duty_pct=20.0, control_wanted=True))
    book.record(build, ChainMoved(chain_id="pump", header_id="PUMP", why="by hand, past the check"))
    watch_pump(book, clock, build)
    book.record(build, MachineStarted(attempt=1, start=SOUND, verdict=evaluate_machine_start(SOUND)))
    assert book.work(FirstPower).close(build).outcome == "pass"
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    swept = book.work(FanHeaders).sweeps.take_sweep(build, "pump", falling(), SweepSource.TYPED)
    assert swept.stops.minimum_pct == 30
    with pytest.raises(InputError, match="never left there"):
        book.work(FanHeaders).note_duty(build, "pump", 25, 380, reason="it is quieter")
    assert kinds(log, DutyNoted) == 0


def test_no_duty_is_noted_before_the_machine_ran() -> None:
    book, log, _ = new_book()
    build = ready_build(book)
    plugged(book, build)
    with pytest.raises(NotAllowed, match="Fan headers is locked"):
        book.work(FanHeaders).note_duty(build, "front", 40, 600)
    assert kinds(log, DutyNoted) == 0


def test_no_override_goes_round_the_first_power_on() -> None:
    """No part, no hold, no fill: a reason opened the sweeps once."""
    book, log, _ = new_book()
    build = ready_build(book)
    plugged(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    with pytest.raises(NotAllowed, match="cannot be overridden"):
        book.override(build, "fan_headers", "powered before this record began")
    for stage in ("fan_headers", "first_power"):  # as older records hold them
        book.record(build, StageOverridden(stage=stage, reason="powered before this record began"))
    for tried in (
        lambda: book.work(FanHeaders).sweeps.begin_sweep(build, "front"),
        lambda: book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.FILE),
        lambda: book.work(FanHeaders).note_duty(build, "front", 40),
        lambda: book.work(FanHeaders).close(build),
    ):
        with pytest.raises(NotAllowed, match="waits for all four steps"):
            tried()
    assert kinds(log, SweepTaken) == kinds(log, SweepBegun) == kinds(log, DutyNoted) == kinds(log, HeadersClosed) == 0


def test_the_verdict_counts_by_the_share_of_the_build_s_own_procedure() -> None:
    """600 mA on 1 A is within 80 % and beyond 50 %."""
    strict = default_toml().replace('id = "steady_percent"\nvalue = 80', 'id = "steady_percent"\nvalue = 50')
    codes = []
    for toml in (default_toml(), strict):
        book, _, _ = new_book(procedure_toml=toml)
        build = ready_build(book)
        plugged(book, build, fans=2)
        book.work(FanHeaders).seats.add_chain(build, chain("rear", fans=1))
        state = book.build(build)
        codes.append([phrase.code for phrase in book.work(FanHeaders).seats.check(state, "rear", "SYS 1").may_override])
        move = ChainMoved(chain_id="rear", header_id="SYS 1", why="by hand, past the check")
        book.record(build, move)
        codes.append(
            [
                phrase.code
                for phrase in book.work(FanHeaders).verdict(book.build(build)).reasons
                if "steady" in phrase.code
            ]
        )
    assert codes == [[], [], ["steady_over"], ["steady_over"]]


def test_a_build_without_chains_has_nothing_to_judge() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock, fed=False)
    watch_pump(book, clock, build)
    book.record(build, MachineStarted(attempt=1, start=SOUND, verdict=evaluate_machine_start(SOUND)))
    book.work(FirstPower).close(build)  # as older records hold it, with no word of a pump
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    with pytest.raises(NotAllowed, match="no chain"):
        book.work(FanHeaders).close(build)


def judged_headers(book: Logbook, clock: HandClock) -> str:
    """A build whose fan headers passed and were judged, with the cautions of another climb to power answered."""
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    assert book.work(FanHeaders).close(build).outcome is Outcome.PASS
    answer(book, build, book.work(FirstPower), When.BEFORE_POWER, When.BEFORE_PUMP)
    return build


def stale_by(book: Logbook, build: str) -> int | None:
    """The entry that took away the worth of the judged fan headers; None where none did."""
    judged = book.build(build).judged_run(FAN_HEADERS)
    assert judged is not None
    return judged.stale_by


@pytest.mark.parametrize(
    "climb",
    [
        supply,
        lambda book, build: book.work(FirstPower).read_rails(build, rails()),
        lambda book, build: book.work(FirstPower).start_pump(build, ("block", "radiator")),
        lambda book, build: book.work(FirstPower).findings.raise_finding(build, Rung.MACHINE, "a plug half in"),
    ],
    ids=["supply", "voltages", "pump", "fault"],
)
def test_power_that_comes_on_by_other_rungs_takes_the_worth_of_the_sweeps_verdict(
    climb: Callable[[Logbook, str], object],
) -> None:
    """What was swept under power speaks of the machine as it was powered then."""
    book, log, clock = new_book()
    build = judged_headers(book, clock)
    assert stale_by(book, build) is None
    before = log.head().seq
    climb(book, build)
    assert (stale_by(book, build) or 0) > before


def test_a_voltage_that_failed_and_was_withdrawn_takes_it_as_well_from_its_withdrawal_on() -> None:
    book, log, clock = new_book()
    build = judged_headers(book, clock)
    book.work(FirstPower).read_rails(build, rails(V12="11.0"))
    withdrawn = book.withdraw(log.head().seq, "typed wrong")
    assert stale_by(book, build) == withdrawn.seq


def test_headers_of_a_machine_whose_pump_nobody_wrote_down_are_not_passed() -> None:
    book, _, clock = new_book()
    build = sweeping(book, clock)
    book.work(FanHeaders).sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    assert book.work(FanHeaders).verdict(book.build(build)).outcome is Outcome.PASS
    there = book.build(build).plugged
    fans_only = replace(there, chains=tuple(one for one in there.chains if not one.pump))
    unknown = evaluate_header_stage(
        fans_only, book.build(build).of(FanHeadersState), steady_percent=80, start_factor=2.0
    )
    assert (unknown.outcome, unknown.reasons[0].code) == (Outcome.INCONCLUSIVE, "no_pump")
    as_a_fan = tuple(replace(one, pump=False) for one in there.chains)
    named = evaluate_header_stage(
        replace(there, chains=as_a_fan), book.build(build).of(FanHeadersState), steady_percent=80, start_factor=2.0
    )
    assert (named.outcome, named.reasons[-1].code) == (Outcome.INCONCLUSIVE, "called_a_pump")


@pytest.mark.parametrize(("rpm", "stands"), [(0.0, True), (90.0, True), (4700.0, False), (None, False)])
def test_a_pump_that_is_noted_as_standing_fails_and_takes_the_machine_with_it(rpm: float | None, stands: bool) -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    answer(book, build, book.work(FanHeaders), *When)
    book.work(FanHeaders).note_duty(build, "pump", 100, rpm)
    verdict = book.work(FanHeaders).verdict(book.build(build))
    assert (verdict.outcome is Outcome.FAIL) is stands
    assert ("pump_left_standing" in {reason.code for reason in verdict.reasons}) is stands
    machine = book.work(FirstPower).verdict(book.build(build)).rungs[-1].outcome
    assert (machine is None) is stands


def test_a_sweep_that_failed_and_is_withdrawn_brings_no_older_pass_back() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    plugged(book, build)
    answer(book, build, book.work(FanHeaders), *When)
    sweeps = book.work(FanHeaders).sweeps
    assert sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED).outcome is Outcome.PASS
    assert sweeps.take_sweep(build, "front", falling(0.0), SweepSource.TYPED).outcome is Outcome.FAIL
    failed = [entry.seq for entry in book.entries(build) if isinstance(entry.payload, SweepTaken)][-1]
    book.withdraw(failed, "a slip")
    assert book.build(build).of(FanHeadersState).sweep_of("front") is None
    assert book.work(FanHeaders).verdict(book.build(build)).outcome is Outcome.INCONCLUSIVE


def test_a_pump_that_was_never_swept_and_ways_that_differ_are_said_beside_a_pass() -> None:
    # at 40 % 1500 - 15 * 60 = 600 and 602 rpm going down, 601 in the mean, and 900 up; 3 % of 1500 = 45 rpm are fine
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    work = book.work(FanHeaders)
    work.seats.add_header(build, header("SYS 1"))
    work.seats.add_chain(build, chain("front"))
    answer(book, build, work, When.BEFORE_PLUGGING, When.BEFORE_SWEEP)
    work.seats.move(build, "front", "SYS 1")
    up = [(one.duty_pct, one.direction) == (40, Direction.UP) for one in falling().readings]
    readings = zip(falling().readings, up, strict=True)
    sweep = Sweep(readings=tuple(replace(one, rpm=900.0) if odd else one for one, odd in readings))
    work.sweeps.take_sweep(build, "front", sweep, SweepSource.TYPED)
    verdict = work.verdict(book.build(build))
    assert verdict.outcome is Outcome.PASS
    said = {reason.code: reason.template for reason in verdict.reasons}
    assert said["all_controlled"].startswith("1 of 2 chains were swept")
    assert said["pump_not_swept"].startswith("pump on PUMP was never swept")
    assert said["ways_differ"].startswith("front: Way down and way up differ by 299 rpm")
