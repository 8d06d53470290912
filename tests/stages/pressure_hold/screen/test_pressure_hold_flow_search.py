"""The leak search on the card: eyes first, then clamp and try, vented between, to a finding by name."""

import pytest

from commission.__main__ import job
from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.bench.needs import need_of
from commission.record.logbook import Logbook
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.entries import SearchTried, TryWord
from commission.stages.pressure_hold.rows.show import hold_lines
from commission.stages.pressure_hold.state.attempt import judged_hold
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.pressure_hold.work.searches import Searches
from tests.fakes import HandClock, new_book
from tests.holds import RADIATOR, gauge_reads, ready_build, start_hold, type_hold

NAMES = ("pump", "cpu block", "side radiator")


def failed() -> tuple[HoldFlow, Logbook, HandClock]:
    """A loop of four parts whose hold fell by 40 mbar in half an hour, closed as failed and still under pressure."""
    book, _, clock = new_book()
    build = ready_build(book)
    for name in NAMES:
        book.work(Sheet).add_part(build, replace(RADIATOR, part_id=book.new_id(), name=name, volume_m3=1e-4))
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=40.0)
    book.work(Holds).close(build)
    return HoldFlow(book, build), book, clock


def answer(flow: HoldFlow, *lines: str) -> str:
    """Answer one line after the other; return what is asked then."""
    for line in lines:
        prompt = flow.now()
        assert prompt is not None
        flow.answer(line or prompt.proposal or "")
    prompt = flow.now()
    assert prompt is not None
    return prompt.ask


def one_try(flow: HoldFlow, clock: HandClock, fell: float) -> str:
    """Pump up, wait half an hour, read, vent."""
    answer(flow, "500")
    clock.run(1800)
    flow.refresh()
    return answer(flow, f"{500 - fell}", "0")


def test_eyes_come_first_and_what_was_seen_is_a_finding_before_the_loop_is_vented() -> None:
    flow, book, _ = failed()
    assert answer(flow).startswith("Search by eyes, ears, bubbles: eye protection on, hands off")
    assert any("No hand on a fitting until the gauge shows 0" in one for one in flow.content().notices)
    assert answer(flow, "seen cpu block bubbles at the lower port").startswith("Let the pressure down to zero")
    found = book.build(flow.hand.build_id).findings[0].raised
    assert (found.where, found.note) == ("part", "bubbles at the lower port")
    assert found.part_id == next(p.part_id for p in book.build(flow.hand.build_id).parts if p.name == "cpu block")
    assert "What was done about it" in answer(flow, "0")


def test_a_search_halves_the_loop_and_ends_in_a_finding_by_name() -> None:
    flow, book, clock = failed()
    assert answer(flow, "0", "search").startswith("Name the parts and joints in order")
    assert "behind top radiator" in answer(flow, "")  # rig, top radiator | pump, cpu block, side radiator
    assert "behind pump" in one_try(flow, clock, 0.0)
    assert "behind cpu block" in one_try(flow, clock, 0.0)
    assert one_try(flow, clock, 120.0) == "Left: cpu block. Type found and write it down."
    assert answer(flow, "found") == "What was it?"
    assert "What was done about it" in answer(flow, "seal pinched")
    state = book.build(flow.hand.build_id)
    assert state.findings[0].raised.part_id == next(p.part_id for p in state.parts if p.name == "cpu block")
    facts = [one if isinstance(one, str) else f"{one.label}: {one.text}" for one in hold_lines(book, state)]
    told = [line for line in facts if " search " in line]
    assert told[0] == "hold 1 search suspects left: cpu block"
    assert told[1].startswith("hold 1 search try 1: tight, 500 mbar to 500 mbar in 30 min")
    assert "leaks, 500 mbar to 380 mbar" in told[3]


def test_no_clamp_is_set_and_no_hold_begun_before_the_loop_is_vented() -> None:
    flow, book, clock = failed()
    with pytest.raises(NotAllowed, match="under pressure"):
        book.work(Searches).begin(flow.hand.build_id, ["pump"])
    answer(flow, "0", "search", "", "500")
    clock.run(1800)
    flow.refresh()
    assert answer(flow, "380").startswith("Let the pressure down to zero")
    judged = judged_hold(book.build(flow.hand.build_id))
    assert judged is not None
    assert not judged.let_down
    need = need_of(book, job().stages(), book.build(flow.hand.build_id))
    assert need.next == "venting: the leak search is under pressure"
    held = book.build(flow.hand.build_id).held
    assert held is not None
    assert not held.let_down
    book.work(Holds).raise_finding(flow.hand.build_id, where="seal", part_id=None, note="dry")
    with pytest.raises(NotAllowed, match="under pressure from the leak search"):
        book.work(Holds).unlocked(flow.hand.build_id)


def test_tight_is_not_taken_on_trust_and_a_leak_that_was_heard_is() -> None:
    flow, book, clock = failed()
    answer(flow, "0", "search", "", "500")
    clock.run(30)
    flow.refresh()
    with pytest.raises(NotAllowed, match="no proof of tight: wait"):
        flow.answer("500 tight")
    answer(flow, "500 leaks")
    tried = book.entries(flow.hand.build_id)[-1].payload
    assert isinstance(tried, SearchTried)
    assert (tried.word, tried.after_s) == (TryWord.LEAKS, 30.0)


def test_a_rating_holds_in_the_search_too() -> None:
    flow, _, _ = failed()
    answer(flow, "0", "search", "")
    with pytest.raises(NotAllowed, match="above the rating of the weakest part"):
        flow.answer("1200")
    with pytest.raises(NotAllowed, match="pump up first"):
        flow.answer(gauge_reads(0.0).typed)
