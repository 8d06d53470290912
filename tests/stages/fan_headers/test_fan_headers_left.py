"""What a chain is left at against its sweep, and which proofs fall when fans are left, plugged or set otherwise."""

from collections.abc import Callable

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.locks import counts
from commission.record.logbook import Logbook
from commission.record.machine.parts import PartKind
from commission.record.machine.seats import Drive
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.fan_headers.entries import SweepSource, SweepTaken
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.judge.verdict import evaluate_header_stage
from commission.stages.fan_headers.model.left import against_duty
from commission.stages.fan_headers.model.sweep import Sweep, SweepSetup, SweepWord
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.fakes import new_book
from tests.handovers import handed
from tests.power_builds import chain, falling, level, plugged, powered_build, pump
from tests.soaks import pass_headers
from tests.stages.fan_headers.sweep_makers import sampled
from tests.wet_builds import answer

STAGES = ("first_power", "fan_headers", "thermal_soak", "handover")


@pytest.mark.parametrize(
    ("rpm", "code"),
    [(675.0, ""), (540.0, ""), (5.0, "speed_not_its_own"), (480.0, "speed_not_its_own"), (1500.0, "speed_not_its_own")],
)
def test_a_speed_that_is_not_the_sweeps_is_no_pass(rpm: float, code: str) -> None:
    """The sweep of ``falling`` shows 750 rpm at 50 % and 600 at 40 %, so 675 at 45 % (and 2 more on the way up)."""
    book, _, clock = new_book()
    build = powered_build(book, clock)
    pass_headers(book, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_SWEEP)
    book.work(FanHeaders).note_duty(build, "front", 45, rpm, reason="as I like it")
    verdict = book.work(FanHeaders).close(build)
    assert (verdict.outcome is Outcome.PASS) is (not code)
    assert (verdict.reasons[0].code == code) is bool(code)


@pytest.mark.parametrize(
    ("centres", "word"),
    [
        ((1493, 1489, 1497, 1491, 1496, 1494), SweepWord.IGNORES),
        ((1497, 1352, 1203, 1048, 752, 455), SweepWord.INVERTED),
    ],
)
def test_a_duty_means_nothing_where_the_header_ignores_or_inverts_it(centres: tuple[float, ...], word: str) -> None:
    """Flat, and rising while the duty falls, as in the tests of the judge; at full speed neither does harm."""
    verdict = evaluate_fan_headers(sampled(centres), SweepSetup())
    assert verdict.word is word
    said = against_duty(chain("front"), verdict, 40.0)
    assert said is not None
    assert said.code == "duty_without_control"
    assert against_duty(chain("front"), verdict, 100.0) is None


@pytest.mark.parametrize(("rpm", "code"), [(310, "speed_below_plate"), (5761, "speed_above_plate")])
def test_a_pump_far_off_its_plate_at_full_duty_is_no_pass(rpm: float, code: str) -> None:
    """310 of 4800 rpm; what a machine is started with must show 0.4 of it. 1.2 times the plate is 5760 rpm."""
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    answer(book, build, book.work(FanHeaders), *When)
    book.work(FanHeaders).note_duty(build, "pump", 100, rpm)
    verdict = book.work(FanHeaders).verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, code)


def _plug(book: Logbook, build: str, to: str | None) -> None:
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING)
    book.work(FanHeaders).seats.move(build, "front", to)


@pytest.mark.parametrize(
    ("change", "gone"),
    [
        (lambda b, i: b.work(FanHeaders).note_duty(i, "front", 50, 750), set()),
        (lambda b, i: b.work(FanHeaders).note_duty(i, "front", 60, 900), set()),
        (lambda b, i: b.work(FanHeaders).note_duty(i, "front", 40, 600), {"thermal_soak", "handover"}),
        (lambda b, i: b.work(FanHeaders).note_duty(i, "front", 0, 0), {"fan_headers", "thermal_soak", "handover"}),
        (lambda b, i: b.work(FanHeaders).note_duty(i, "front", 50, 90), {"fan_headers", "thermal_soak", "handover"}),
        (lambda b, i: _plug(b, i, None), {"fan_headers", "thermal_soak", "handover"}),
        (
            lambda b, i: b.work(FanHeaders).seats.remove_chain(i, "front", "broken"),
            {"fan_headers", "thermal_soak", "handover"},
        ),
        (
            lambda b, i: b.work(FanHeaders).seats.set_header(i, "SYS 1", set_to=Drive.VOLTAGE, full_speed_lock=False),
            {"fan_headers", "thermal_soak", "handover"},
        ),
    ],
    ids=["as before", "more", "less", "standing", "slow", "unplugged", "removed", "set"],
)
def test_what_is_left_plugged_or_set_otherwise_takes_what_was_shown_with_it(
    change: Callable[[Logbook, str], object], gone: set[str]
) -> None:
    """Less air, or fans that hang or turn otherwise, are another way out for the heat; more air is not."""
    book, _, build = handed()
    change(book, build)
    assert {stage for stage in STAGES if not counts(book.build(build), stage)} == gone


def test_a_pump_whose_sweep_failed_needs_another_whatever_its_header_is_said_to_be() -> None:
    """At 60 % and below the pump stands: a header that is locked at full speed would not have let it."""
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    headers = book.work(FanHeaders)
    answer(book, build, headers, *When)
    assert headers.verdict(book.build(build)).outcome is Outcome.PASS
    speeds = ((100, 4700.0), (80, 3800.0), (60, 0.0), (40, 0.0), (30, 0.0))
    readings = tuple(one for duty, rpm in speeds for one in level(duty, rpm, rpm, rpm))
    assert headers.sweeps.take_sweep(build, "pump", Sweep(readings=readings), SweepSource.TYPED).outcome is Outcome.FAIL
    seat = book.build(build).plugged.seats()["pump"]
    now = book.build(build).plugged.header(seat)
    assert now is not None
    headers.seats.set_header(build, seat, set_to=now.set_to, full_speed_lock=now.full_speed_lock, stops=now.stops)
    verdict = headers.verdict(book.build(build))
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert "its last sweep here did not show" in verdict.reasons[0].template


def test_a_sweep_that_failed_and_was_withdrawn_is_told_by_the_pass() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    pass_headers(book, build)
    headers = book.work(FanHeaders)
    answer(book, build, headers, When.BEFORE_SWEEP)
    headers.sweeps.take_sweep(build, "front", falling(0.0), SweepSource.TYPED)
    failed = [one.seq for one in book.entries(build) if isinstance(one.payload, SweepTaken)][-1]
    book.withdraw(failed, "typo")
    headers.sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    verdict = headers.verdict(book.build(build))
    assert verdict.outcome is Outcome.PASS
    assert verdict.reasons[-1].template.startswith("A sweep of front failed and was withdrawn by entry ")


def test_sweeps_on_what_burnt_are_swept_again() -> None:
    book, _, build = handed()
    wrong = book.work(Mishaps).note(build, Mishap.SMOKE, where="header", seen="burnt")
    assert book.build(build).of(FanHeadersState).sweep_of("front") is None
    finding = next(one for one in book.build(build).findings if one.seq == wrong.seq)
    book.work(Mishaps).repaired(build, finding.raised.finding_id, "new board")
    assert book.work(FanHeaders).verdict(book.build(build)).outcome is Outcome.INCONCLUSIVE


def test_two_pumps_on_the_parts_list_are_two_pumps_to_be_plugged_and_seen() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    state = book.build(build)
    pumps = tuple(replace(state.parts[0], part_id=f"p{n}", kind=PartKind.PUMP, name=f"pump {n}") for n in (1, 2))
    doubt = replace(state, parts=(*state.parts, *pumps)).pump_doubt
    assert doubt is not None
    assert doubt.template.startswith("2 pumps are on the parts list and 1 written down")
    verdict = evaluate_header_stage(
        state.plugged, state.of(FanHeadersState), steady_percent=80, start_factor=2.0, pump_doubt=doubt
    )
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "pumps_missing")


def test_a_pass_tells_that_no_duty_is_noted_and_that_no_fan_moves_air() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    headers = book.work(FanHeaders)
    alone = headers.verdict(book.build(build))  # a radiator is on its parts list, and a pump alone is plugged
    assert (alone.outcome, "no_fans" in {one.code for one in alone.reasons}) == (Outcome.PASS, True)
    plugged(book, build)
    answer(book, build, headers, When.BEFORE_SWEEP)
    headers.sweeps.take_sweep(build, "front", falling(), SweepSource.TYPED)
    before = headers.verdict(book.build(build))
    headers.note_duty(build, "front", 50, 750)
    after = headers.verdict(book.build(build))
    told = [{"no_fans", "no_duty_noted"} & {one.code for one in verdict.reasons} for verdict in (before, after)]
    assert (before.outcome, after.outcome, told) == (Outcome.PASS, Outcome.PASS, [{"no_duty_noted"}, set()])
