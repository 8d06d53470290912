"""Cautions: the state that counts is typed, what was read before folds on a retest, what changed is said."""

import pytest

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.bench.card import CautionMark
from commission.bench.cautions import ask_one, note_beside
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When
from commission.record.entries import CautionAcknowledged, NoteAdded
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow, Phase
from commission.stages.pressure_hold.work.holds import Holds
from tests.answers import HOLD, HOLD_AGAIN
from tests.fakes import HandClock, new_book
from tests.holds import PLAN, gauge_reads, ready_build, type_hold
from tests.ui.bench import asked, led

STATES = {
    "pressure_hold": {"eye_protection": "on", "empty_unpowered": "out"},
    "fill": {"mains_out": "out"},
    "first_power": {"mains_out": "out", "hand_at_the_switch": "ready"},
    "handover": {"service_off": "out"},
}
"""Our choice: where a hand is hurt within minutes and the program cannot see it."""
DAY_S = 86_400.0


def answered_and_failed() -> tuple[HoldFlow, Logbook, HandClock]:
    """A build whose first hold is over, its cautions read on the card, and another one asked for."""
    book, _, clock = new_book()
    build = ready_build(book)
    flow = HoldFlow(book, build)
    book.work(Holds).plan(build, PLAN)
    flow.refresh()
    led(flow, list(HOLD))
    for step in flow.hand.stage.steps:
        book.work(Holds).do_step(build, step.id)
    flow.refresh()
    led(flow, ["1", "500 21"])
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.1)
    book.work(Holds).close(build)
    book.work(Holds).let_down(build, gauge_reads(0.0))
    flow.refresh()
    led(flow, ["again", "digital", ""])
    return flow, book, clock


def test_the_states_that_are_typed_are_those_of_the_list() -> None:
    found = {
        stage.id: {one.id: one.state.split()[-1] for one in stage.cautions if one.state}
        for stage in load_procedure(default_toml()).stages
    }
    assert {stage: states for stage, states in found.items() if states} == STATES


def test_nothing_that_is_done_at_that_moment_folds() -> None:
    """Always again: eyes, zero on the gauge, plug out, strap off, dry paper, hand at the switch (our list).

    Energy, rating and pressure only where something changed: what folds has the same figures in it.
    """
    always = ("eye_protection", "let_down", "mains_out", "empty_unpowered", "electrostatics", "absorbent", "dry_hands",
              "hand_at_the_switch", "pump_never_dry", "weakest_part")  # fmt: skip
    folding = {one.id for stage in load_procedure(default_toml()).stages for one in stage.cautions if one.folds}
    assert folding
    assert not folding & set(always)
    assert not any(one.folds and one.state for stage in load_procedure(default_toml()).stages for one in stage.cautions)


def test_enter_alone_does_not_answer_a_state() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, PLAN)
    flow = HoldFlow(book, build)
    led(flow, [""])
    assert "Once it is so, type: eyes on" in asked(flow)
    with pytest.raises(InputError, match='"yes" is not the word: type eyes on once it is so'):
        flow.answer("yes")
    for text in ("", "yes", "read", "off"):
        with pytest.raises(InputError, match="type eyes on"):
            flow.answer(text)
    flow.answer("Eyes on")
    assert isinstance(book.entries(build)[-1].payload, CautionAcknowledged)


def test_on_a_retest_what_only_informs_is_one_line_and_each_of_them_is_recorded() -> None:
    flow, book, _ = answered_and_failed()
    assert len(HOLD_AGAIN) < len(HOLD)
    assert "that you read before, unchanged. Still known?" in asked(flow)
    now = [one.text for one in flow.content().cautions if one.mark is CautionMark.NOW]
    assert len(now) == 1
    assert now[0].startswith("Read by Kim on ")
    assert "stored energy, regulator relief" in now[0]
    led(flow, HOLD_AGAIN)
    assert flow.phase is Phase.STEPS
    read = [
        one.payload.caution
        for one in book.entries(flow.hand.build_id)
        if isinstance(one.payload, CautionAcknowledged) and one.payload.attempt == 2
    ]
    assert sorted(read) == sorted(one.id for one in flow.hand.stage.cautions if one.when == "before pressure")


def test_a_single_caution_that_was_read_before_is_asked_as_one() -> None:
    flow, book, _ = answered_and_failed()
    for one in flow.hand.folded(When.BEFORE_PRESSURE, flow.hand.work)[1:]:
        book.work(Holds).acknowledge(flow.hand.build_id, one.caution.id, one.caution.text)
    flow.refresh()
    assert asked(flow).startswith("1 caution that you read before, unchanged.")


@pytest.mark.parametrize("who", ["Kim", "Ada"])
def test_another_person_or_a_month_asks_each_again(who: str) -> None:
    flow, book, clock = answered_and_failed()
    book.name_operator(who)
    clock.run(31 * DAY_S if who == "Kim" else 0.0)
    flow.refresh()
    assert "Read the caution marked now" in asked(flow)


def test_cautions_opens_those_that_were_folded() -> None:
    flow, _, _ = answered_and_failed()
    led(flow, ["cautions"])
    assert "Read the caution marked now" in asked(flow)


def test_what_changed_since_it_was_read_says_so() -> None:
    flow, book, _ = answered_and_failed()
    build = flow.hand.build_id
    assert not asked(flow).startswith("It has changed")
    book.work(Holds).plan(build, replace(PLAN, target_gauge_pa=60_000))
    flow.refresh()
    # ASME PCC-2: 2.5 p V (1 - (101.325 kPa / p)^0.286); 1.2 L at 151.325 and 161.325 kPa absolute: 49.2 J and 60.3 J
    assert asked(flow).startswith("It has changed since 15:13: energy was 49 J, is 60 J. ")


def test_what_was_read_for_another_build_is_told_with_its_name() -> None:
    flow, book, _ = answered_and_failed()
    first = book.build(flow.hand.build_id).name
    other = ready_build(book, "Wren")
    book.work(Holds).plan(other, replace(PLAN, target_gauge_pa=60_000))
    # energies: as above
    told = f'Not as you read it at 15:13 for "{first}": energy was 49 J, is 60 J. '
    assert asked(HoldFlow(book, other)).startswith(told)


def test_another_word_than_the_one_wanted_is_named_in_the_refusal() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, PLAN)
    flow = HoldFlow(book, build)
    led(flow, list(HOLD[: HOLD.index("on")]))
    with pytest.raises(InputError, match='"yes" is not the word: type eyes on once it is so'):
        flow.answer("yes")


def test_a_note_is_taken_while_a_caution_is_asked_and_never_counts_as_read() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Holds).plan(build, PLAN)
    flow, noted = HoldFlow(book, build), []
    for line in ("", "eyes on"):  # one that Enter answers, and one whose state is typed
        before = asked(flow), flow.hand.caution_step(When.BEFORE_PRESSURE)
        assert flow.answer("note tidy the cables") == "note: tidy the cables"
        assert (asked(flow), flow.hand.caution_step(When.BEFORE_PRESSURE)) == before
        noted.append("tidy the cables")
        with pytest.raises(InputError, match="type the note after the word"):
            flow.answer("note")
        led(flow, [line])
    assert [one.payload.text for one in book.entries(build) if isinstance(one.payload, NoteAdded)] == noted
    folded, *_ = answered_and_failed()
    while folded.now().key != "cautions known":  # type: ignore[union-attr]
        led(folded, [folded.now().proposal or folded.now().placeholder])  # type: ignore[union-attr]
    folded.answer("note the same gauge")
    assert folded.now().key == "cautions known"  # type: ignore[union-attr]


def test_where_the_state_that_is_asked_begins_with_note_the_caution_wins() -> None:
    flow, *_ = answered_and_failed()
    caution = replace(flow.hand.stage.cautions[0], state="note taken")
    assert (
        note_beside(flow.hand, ask_one(flow.hand, flow.hand.work, caution, left=1)).deed("note taken").told
        == "note taken"
    )
