"""Rungs that rest on a test or a reading which was withdrawn: they fall, and rest on no older one."""

import pytest

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.locks import rung_lock
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung
from commission.record.machine.seats import Drive, Feed
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.bleed.model import GoneBy
from commission.stages.bleed.work import Bleeds
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    HeaderRemoved,
    HeaderSet,
    SeatEntry,
)
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.entries import CableTested, JointLooked, RailsRead, WetWatchEnded
from commission.stages.first_power.model.rails import PlugKind, Revision
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import HandClock, new_book
from tests.power_builds import (
    FED_BY_THE_SUPPLY,
    JOINTS,
    SOUND,
    cable_test,
    chain,
    header,
    powered_build,
    pump,
    rails,
    supplied_build,
    supply,
    watch_pump,
)
from tests.wet_builds import answer, cycle, filled_build, run_cycle


def outcomes(book: Logbook, build: str) -> dict[Rung, Outcome | None]:
    return {each.rung: each.outcome for each in book.work(FirstPower).verdict(book.build(build)).rungs}


def word(book: Logbook, build: str, stage: str) -> str:
    state = book.build(build)
    return next(str(rung.word) for rung in book.ladder(state) if rung.stage.id == stage)


def withdraw_last(book: Logbook, build: str, kind: type) -> None:
    book.withdraw([e.seq for e in book.entries(build) if isinstance(e.payload, kind)][-1], "typed wrong")


def to_the_top(book: Logbook, clock: HandClock, build: str) -> Outcome:
    watch_pump(book, clock, build)
    answer(book, build, book.work(FirstPower), When.BEFORE_MACHINE)
    book.work(FirstPower).start_machine(build, SOUND)
    return book.work(FirstPower).close(build).outcome


@pytest.mark.parametrize("first", ["12.05", "11.2"])
def test_rungs_that_rested_on_withdrawn_voltages_fall_though_older_ones_are_there(first: str) -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    book.work(FirstPower).read_rails(build, rails(V12=first))
    if first == "11.2":
        book.work(FirstPower).findings.mend(build, "24-pin +12 V", "new crimp")
    book.work(FirstPower).read_rails(build, rails())
    assert to_the_top(book, clock, build) is Outcome.PASS
    withdraw_last(book, build, RailsRead)
    now = outcomes(book, build)
    assert now[Rung.PUMP] is None
    assert book.work(FirstPower).verdict(book.build(build)).outcome is not Outcome.PASS
    assert book.work(FirstPower).locked(book.build(build), Rung.MACHINE) is not None
    assert word(book, build, "fan_headers") == "locked"


def test_a_watch_that_ended_after_its_voltages_were_withdrawn_does_not_count() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    book.work(FirstPower).read_rails(build, rails())
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    withdraw_last(book, build, RailsRead)
    book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)
    assert outcomes(book, build)[Rung.PUMP] is None


def test_voltages_that_failed_and_were_withdrawn_bring_no_older_pass_back() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_POWER)
    book.work(FirstPower).read_rails(build, rails(V12="11.2"))
    withdraw_last(book, build, RailsRead)
    now = outcomes(book, build)
    assert (now[Rung.PUMP], now[Rung.MACHINE]) == (None, None)
    assert word(book, build, "first_power") == "stale"
    assert now[Rung.SUPPLY] is Outcome.INCONCLUSIVE, "what failed stays until it is said what was done"
    book.work(FirstPower).findings.mend(build, "24-pin +12 V", "probe slipped, read again")
    assert to_the_top(book, clock, build) is Outcome.PASS, "climbed again on the older voltages it counts, and tells"
    told = [why.template for why in book.work(FirstPower).verdict(book.build(build)).reasons]
    assert any("24-pin +12 V failed before" in each and "typed wrong" in each for each in told)


def test_voltages_withdrawn_before_anything_was_climbed_on_them_take_nothing_away() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    book.work(FirstPower).read_rails(build, rails())
    withdraw_last(book, build, RailsRead)
    assert to_the_top(book, clock, build) is Outcome.PASS


@pytest.mark.parametrize("second", ["sound", "swapped"])
def test_voltages_read_on_a_cable_whose_last_test_was_withdrawn_are_read_again(second: str) -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    book.work(FirstPower).test_cable(build, cable_test())
    plugs = (*rails(), *rails("CPU", PlugKind.PROCESSOR)[:1])  # +12 V alone, as that plug carries
    if second == "sound":
        book.work(FirstPower).test_cable(build, cable_test())
        book.work(FirstPower).read_rails(build, plugs)
    else:
        book.work(FirstPower).read_rails(build, plugs)
        book.work(FirstPower).test_cable(build, cable_test(pin3=None))
    withdraw_last(book, build, CableTested)
    assert outcomes(book, build)[Rung.SUPPLY] is None
    if second == "swapped":
        assert outcomes(book, build)[Rung.CABLES] is Outcome.INCONCLUSIVE
        book.work(FirstPower).findings.mend(build, "cable CPU", "probe was on pin 4")
    assert outcomes(book, build)[Rung.CABLES] is Outcome.PASS
    book.work(FirstPower).read_rails(build, plugs)
    book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    assert to_the_top(book, clock, build) is Outcome.PASS


@pytest.mark.parametrize(
    "later",
    [
        ChainMoved(chain_id="pump", header_id="SYS 9", why="its cable was too short"),
        ChainMoved(chain_id="pump", header_id=None, why="out"),
        ChainAdded(chain=pump(feed=Feed.SUPPLY)),
        ChainAdded(chain=pump(chain_id="second", name="second pump")),
        ChainRemoved(chain_id="pump", reason="another one comes"),
        HeaderRemoved(header_id="PUMP", reason="a pin broke"),
        HeaderSet(header_id="PUMP", set_to=Drive.VOLTAGE, full_speed_lock=True, stops=(), why="trial"),
    ],
    ids=["moved", "unplugged", "fed otherwise", "a second one", "taken out", "header gone", "header set"],
)
def test_a_pump_that_hangs_elsewhere_must_be_seen_to_turn_there(later: SeatEntry) -> None:
    """Nobody saw it turn there: a header that is dead, switched off or set otherwise leaves it standing."""
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    book.work(FanHeaders).seats.add_header(build, header("SYS 9", rating_ma=2000, full_speed_lock=True))
    assert word(book, build, "first_power") == "passed"
    changed = book.record(build, later)
    assert outcomes(book, build)[Rung.MACHINE] is None
    assert outcomes(book, build)[Rung.PUMP] is Outcome.PASS
    assert (word(book, build, "first_power"), word(book, build, "fan_headers")) == ("stale", "locked")
    book.withdraw(changed.seq, "typed for another build")
    assert word(book, build, "first_power") == "passed"


@pytest.mark.parametrize(
    "later",
    [
        ChainMoved(chain_id="front", header_id="SYS 1", why="plugged"),
        HeaderSet(header_id="SYS 1", set_to=Drive.VOLTAGE, full_speed_lock=False, stops=(), why="trial"),
        ChainAdded(chain=chain("rear")),
    ],
    ids=["fans moved", "another header set", "more fans"],
)
def test_what_only_fans_hang_on_says_nothing_of_the_pump(later: SeatEntry) -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front"))
    book.record(build, later)
    assert word(book, build, "first_power") == "passed"


def test_a_watch_that_ended_does_not_go_on_though_its_end_be_withdrawn() -> None:
    """Else half an hour with the pump off, or the time of a watch in which a joint was wet, would count as watched."""
    book, log, clock = new_book()
    build = supplied_build(book, clock)
    watch_pump(book, clock, build, wet="block")
    wet = [e.seq for e in book.entries(build) if isinstance(e.payload, JointLooked) and e.payload.look.joint == "block"]
    for seq in wet:
        book.withdraw(seq, "the wrong joint")
    head = log.head()
    with pytest.raises(NotAllowed, match="the pump was off at its end"):
        withdraw_last(book, build, WetWatchEnded)
    assert log.head() == head
    with pytest.raises(NotAllowed, match="the pump was not started"):
        book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)
    assert outcomes(book, build)[Rung.PUMP] is not Outcome.PASS
    book.work(FirstPower).findings.mend(build, "joint block", "new seal")
    assert to_the_top(book, clock, build) is Outcome.PASS


@pytest.mark.parametrize(("ml", "outcome"), [(20, Outcome.INCONCLUSIVE), (0, Outcome.PASS)])
def test_a_watch_in_which_coolant_was_topped_up_shows_no_steady_level(ml: float, outcome: Outcome) -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    for _ in range(3):
        run_cycle(book, clock, build, ml)
        for joint in JOINTS:
            book.work(FirstPower).look(build, joint, Paper.DRY)
    verdict = book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)
    assert verdict.outcome is outcome
    assert (verdict.reasons[0].code == "coolant_moved") is (ml > 0)
    assert (rung_lock(book.build(build), Rung.MACHINE) is None) is (ml == 0)


def test_a_cable_that_was_measured_for_one_supply_says_nothing_of_another() -> None:
    """The sockets at the supply differ between models, so the map of the pins is one supply's alone."""
    book, _, clock = new_book()
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    power = book.work(FirstPower)
    power.test_cable(build, cable_test())
    assert outcomes(book, build)[Rung.CABLES] is Outcome.PASS
    supply(book, build, "CPU")  # the same supply described again keeps its cable
    assert outcomes(book, build)[Rung.CABLES] is Outcome.PASS
    power.describe_supply(build, name="Other 1000", revision=Revision.ATX2, hand_made=("CPU",))
    assert outcomes(book, build)[Rung.CABLES] is not Outcome.PASS
    with pytest.raises(NotAllowed, match="cables unplugged"):
        power.read_rails(build, rails())


@pytest.mark.parametrize(("ml", "outcome"), [(60, Outcome.INCONCLUSIVE), (0.5, Outcome.PASS)])
def test_a_level_that_dropped_in_the_watch_was_not_steady(ml: float, outcome: Outcome) -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    for number in range(3):
        clock.run(620)
        book.work(Bleeds).cycle(build, cycle(0 if number else ml, gone_by=GoneBy.LEVEL_DROP, run_s=600.0))
        for joint in JOINTS:
            book.work(FirstPower).look(build, joint, Paper.DRY)
    verdict = book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)
    assert verdict.outcome is outcome
    assert (verdict.reasons[0].code == "coolant_moved") is (ml > 1)


def test_a_leak_that_was_told_in_a_watch_is_no_dry_watch_though_it_was_tightened() -> None:
    book, _, clock = new_book()
    build = supplied_build(book, clock)
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    for _ in range(3):
        clock.run(620)
        for joint in JOINTS:
            book.work(FirstPower).look(build, joint, Paper.DRY)
    told = book.work(Mishaps).note(build, Mishap.LEAK, where="block", seen="drips")
    repair = book.work(Mishaps).repaired(build, book.build(build).open_findings[0].raised.finding_id, "tightened")
    watched = book.work(FirstPower).wet_verdict(book.build(build))
    assert (watched.outcome, watched.reasons[0].code) == (Outcome.FAIL, "leak_told")
    assert "block" in watched.reasons[0].template
    for seq in (repair.seq, told.seq):
        book.withdraw(seq, "another machine")
    assert "leak_told" not in {reason.code for reason in book.work(FirstPower).wet_verdict(book.build(build)).reasons}
