"""``undo`` means the same in every stage: its last entry is withdrawn, said which, and the reason is asked."""

from collections.abc import Callable

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.bench.ask import Flow
from commission.bench.trail import Trail
from commission.bench.unsent import Answer
from commission.record.entries import Withdrawn
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.mishaps import Mishaps
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fill.card.fill import FillFlow
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.work.soaks import Soaks
from tests.fakes import HandClock, new_book
from tests.holds import gauge_reads, ready_build, start_hold, type_hold
from tests.power_builds import cable_test, plugged, powered_build, supplied_build, supply
from tests.soaks import course, soaking
from tests.wet_builds import bleeding_build, filled_build, pour, pouring_build, run_cycle

Made = Callable[[Logbook, str], Flow]
Begun = Callable[[Logbook, HandClock], tuple[str, Made]]


def _hold(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=40.0)
    return build, HoldFlow


def _vented(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build, flow = _hold(book, clock)
    book.work(Holds).close(build)
    book.work(Holds).let_down(build, gauge_reads(0.0))
    return build, flow


def _cured(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build, flow = _vented(book, clock)
    book.work(Holds).raise_finding(build, where="seal", part_id=None, note="pinched")
    book.work(Mishaps).repaired(build, book.build(build).findings[0].raised.finding_id, "new seal")
    return build, flow


def _fill(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build = pouring_build(book, clock)
    pour(book, build, 250.0)
    return build, FillFlow


def _bleed(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 20.0)
    return build, BleedFlow


def _rails(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    return supplied_build(book, clock, fed=False), FirstPowerFlow


def _cable(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build = filled_build(book, clock)
    supply(book, build, "CPU")
    book.work(FirstPower).test_cable(build, cable_test())
    return build, FirstPowerFlow


def _headers(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build = powered_build(book, clock)
    plugged(book, build)
    return build, HeadersFlow


def _soak(book: Logbook, clock: HandClock) -> tuple[str, Made]:
    build = soaking(book, clock)
    book.work(Soaks).read(build, course(0))
    return build, SoakFlow


STAGES: dict[str, Begun] = {
    "a reading of a hold": _hold,
    "zero on the gauge": _vented,
    "what was done about a fault": _cured,
    "an amount": _fill,
    "a cycle": _bleed,
    "the rails": _rails,
    "a cable": _cable,
    "a plug": _headers,
    "a reading of a soak": _soak,
}


@pytest.mark.parametrize("name", STAGES)
def test_undo_withdraws_the_last_entry_of_the_stage_and_asks_why(name: str) -> None:
    book, _, clock = new_book()
    build, made = STAGES[name](book, clock)
    last = book.entries(build)[-1]
    book.add_note(build, "a note on the build is of no stage")
    flow = made(book, build)
    withdrawn_as_typed(flow, book, last)


NO_NOTE = "zero on the gauge"
"""A hold that failed asks where the fault is, and takes no note there."""


@pytest.mark.parametrize("name", [name for name in STAGES if name != NO_NOTE])
def test_undo_after_a_note_withdraws_the_note(name: str) -> None:
    book, _, clock = new_book()
    build, made = STAGES[name](book, clock)
    before = book.entries(build)[-1]
    flow = made(book, build)
    flow.answer("note the board lies flat")
    noted = book.entries(build)[-1]
    assert noted.seq > before.seq
    withdrawn_as_typed(flow, book, noted)
    prompt = flow.now()
    assert prompt is not None
    assert f"entry {before.seq}: " in prompt.understand("undo")


def withdrawn_as_typed(flow: Flow, book: Logbook, last: Logged) -> None:
    """Withdraw by undo, and see that it is this entry, which is said, and that the reason is asked."""
    build = last.build
    prompt = flow.now()
    assert prompt is not None
    assert f"entry {last.seq}: " in prompt.understand("undo")
    flow.answer("undo")
    asked = flow.now()
    assert asked is not None
    assert f"Why is entry {last.seq}: " in asked.ask
    with pytest.raises(InputError, match="type why the entry is wrong"):
        flow.answer("undo")
    assert flow.step_back()
    assert not book.build(build).withdrawn
    flow.answer("undo")
    flow.answer("read off the wrong thing")
    assert book.entries(build)[-1].payload == Withdrawn(target=last.seq, reason="read off the wrong thing")


def test_what_comes_by_itself_does_not_change_which_entry_is_withdrawn() -> None:
    book, _, clock = new_book()
    build, made = _soak(book, clock)
    meant = book.entries(build)[-1].seq
    flow = made(book, build)
    assert isinstance(flow, SoakFlow)
    flow.answer("undo")
    book.work(Soaks).read(build, (replace(course(0)[0], elapsed_s=1.0),))
    flow.refresh()  # as it does when a row came
    asked = flow.now()
    assert asked is not None
    assert f"Why is entry {meant}: " in asked.ask
    flow.answer("mistyped")
    assert book.build(build).withdrawn == frozenset({meant})


def test_the_question_why_is_never_gone_again_for_another_entry() -> None:
    book, _, clock = new_book()
    build, made = _soak(book, clock)
    flow, trail = made(book, build), Trail()
    asked = flow.now()
    assert asked is not None
    flow.answer("undo")
    trail.went(flow, asked, "undo", stored=False, fresh=lambda: made(book, build))
    assert trail.answers == ()
    later = made(book, build)
    assert trail.go_again(book, later, [Answer(key=asked.key, ask=asked.ask, text="undo")]) == 0
    now = later.now()
    assert now is not None
    assert now.key == asked.key
    for bare in ("no", "Yes"):
        with pytest.raises(InputError, match="is no reason"):
            flow.answer(bare)


def test_an_entry_that_is_never_withdrawn_is_named() -> None:
    book, _, clock = new_book()
    build, made = _hold(book, clock)
    book.work(Holds).close(build)
    flow = made(book, build)
    last = book.entries(build)[-1]
    with pytest.raises(NotAllowed, match=rf'entry {last.seq} \("hold ended"\) cannot be withdrawn'):
        flow.answer("undo")


def test_undo_calls_an_entry_as_the_log_does() -> None:
    book, _, clock = new_book()
    build, made = _vented(book, clock)
    prompt = made(book, build).now()
    assert prompt is not None
    assert ": pressure vented, " in prompt.understand("undo")  # stored as "pressure let down"
