"""Handover and visits on the screen: keys in, rows and text out."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.taken_as import taken_as
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.record.part_changed import PartOf
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.work.fills import Fills
from commission.stages.handover.card.deeds import look_missing
from commission.stages.handover.card.handover import HandoverFlow, Phase
from commission.stages.handover.state import HandoverState
from commission.stages.handover.work.handovers import Handovers
from tests.handovers import DAY_S, OWNER, finished, handed, visited
from tests.ui.bench import AtStage, asked, led
from tests.ui.pictures import SIZES, same_at_each_size, settled
from tests.wet_builds import CAN

_CHANGED = (PartOf.HEAT_PATH, "paste cpu", "dried out")
TOLD = [""] * 4
"""Enter for each of the owner's cautions."""


def test_from_a_passed_soak_to_the_owner_and_back_from_a_first_visit() -> None:
    book, clock, build = finished()
    flow = HandoverFlow(book, build)
    led(flow, ["two seals; bottle can", "24 months", *TOLD, OWNER])
    assert asked(flow).startswith(f"{OWNER} has it")
    clock.run(31 * DAY_S)
    led(flow, ["visit first look", "plug out", "", "", "", "4 mL", "undo", "mistyped"])
    led(flow, ["top-up 5 mL", "looked all dry", "end"])
    shown = {figure.label: figure for figure in flow.content().figures}
    assert shown["coolant lost"].value == "4.9 mL a month"  # 5 mL in 31 of 30.4375 days: 4.91
    assert shown["look"].bounds == "in 90 days"  # the one that comes next
    kept = book.build(build).of(HandoverState)
    assert (len(kept.handed), len(kept.topped), len(kept.done)) == (2, 1, 1)
    led(flow, ["again", *TOLD])
    to_whom = flow.now()
    assert to_whom is not None
    assert to_whom.proposal is None, "it is there already, so Enter alone would be refused"
    run = book.build(build).judged_run("handover")
    assert run is not None
    assert (run.attempt, run.outcome, run.stale_by) == (2, Outcome.PASS, None)


def test_the_owner_gets_no_bottle_that_is_not_in_the_loop_and_no_word_as_a_spare() -> None:
    book, _, build = finished()
    flow = HandoverFlow(book, build)
    prompt = flow.now()
    assert prompt is not None
    assert prompt.placeholder.endswith("; bottle can")
    before = len(book.entries(build))
    for line, why in {
        "two seals; bottle clear premix": "it was filled from: can",
        "help": "is a word of this program",
    }.items():
        with pytest.raises(InputError, match=why):
            flow.answer(line)
    with pytest.raises(InputError, match="never poured into this loop"):
        book.work(Handovers).name_spares(build, (), "clear premix")
    taken = taken_as(prompt, "stage bleed", wet_is_a_leak=False)
    assert taken.called is not None  # the line goes there, it is not refused
    assert len(book.entries(build)) == before
    led(flow, ["end caps; bottle CAN", "24 months", *TOLD])
    spares = book.build(build).of(HandoverState).spares
    assert spares is not None
    assert (spares.spares, spares.bottle) == (("end caps",), "can")
    owner = flow.now()
    assert owner is not None
    gone = taken_as(owner, "stage fill", wet_is_a_leak=False)  # a name is asked, and the line goes there all the same
    assert gone.called is not None
    assert gone.called.word == "stage fill"


def test_what_a_line_does_is_told_first_and_refused_in_words() -> None:
    book, _, build = visited()
    mix = replace(CAN, bottle_id="mix", name="mix", base=Base.READY_MIX, density_kg_m3=1020.0)
    book.work(Fills).add_bottle(mix)
    flow = HandoverFlow(book, build)
    question = flow.question()
    assert question is not None
    # 30 days: 5 mL of reading and 30 · 86400 s · 1.9e-12 m3/s = 4.92 mL of loss, both our choice: 9.9 mL
    assert question.deed("4 mL").told.endswith("; usual (up to 9.9 mL)")
    more = question.deed("top-up 12 mL from can").told
    assert more.endswith("MORE than usual (up to 9.9 mL): look for damp, then bleed again")
    assert question.deed("4 mL from mix").told.endswith("ANOTHER coolant than is in: then fill again")
    assert question.deed("changed front: rattles").told == "front was changed: rattles; then again: fan headers, soak"
    assert question.deed("changed paste cpu: dry").told == "paste cpu was changed: dry; then again: the soak"
    assert (
        question.deed("changed supply: hums").told
        == "supply was changed: hums; then again: first power-on, fan headers, soak"
    )
    assert question.deed("drained 850 mL").told.endswith("; the fill is then done again")
    assert question.deed("top up 4 mL").told == question.deed("4 mL").told
    assert question.deed("all dry").told == "level and joints were looked at: all dry"
    assert question.deed("pump out wet").calls == "leak"
    assert question.deed("end").told.endswith("none was logged: end it all the same?")
    for wrong, why in (
        ("changed front", "a colon and why"),
        ("changed keyboard: broken", "is no part or fan chain"),
        ("top-up 5 mL from lake", "is no bottle"),
        ("top-up soon", "does not start with a number"),
        ("swept", "type top-up and how much, looked"),
    ):
        with pytest.raises(InputError, match=why):
            question.deed(wrong)


def test_a_visit_without_the_look_that_is_due_is_asked_about_once_before_it_ends() -> None:
    """The first look is due 30 days after the handover, our choice, and that is today."""
    book, _, build = visited()
    flow = HandoverFlow(book, build)
    led(flow, ["4 mL", "end"])
    prompt = flow.now()
    assert prompt is not None
    assert prompt.ask.startswith("A look at level and joints is due, none was logged.")
    assert prompt.proposal is None  # Enter twice ends nothing
    led(flow, ["no", "end"])
    assert flow.step_back()
    led(flow, ["end", "looked all dry"])
    assert asked(flow).startswith("Type what was done")
    assert led(flow, ["end"]) == [f"handed back: {OWNER}"]
    book, _, build = visited()
    flow = HandoverFlow(book, build)
    led(flow, ["end", "yes"])
    assert book.build(build).run("handover").started is None
    book, clock, build = handed()
    began_ms = clock.wall_ms
    clock.run(35 * DAY_S)
    hand = HandoverFlow(book, build).hand
    assert look_missing(hand)
    with book.past.written_up(began_ms + round(1000 * 29 * DAY_S)):
        assert not look_missing(hand)  # by the day of what is written up


def test_a_wrong_owner_is_named_after_again_and_undo_says_so() -> None:
    book, _, build = handed()
    flow = HandoverFlow(book, build)
    with pytest.raises(NotAllowed, match="for another owner type again, or run commission handover --to"):
        flow.answer("undo")
    led(flow, ["again", *TOLD])
    assert led(flow, ["to Mara Lynd"]) == ["handed over: Mara Lynd"]


def test_a_stale_proof_is_named_on_the_visit_and_enter_leads_to_it() -> None:
    book, _, build = visited()
    flow = HandoverFlow(book, build)
    led(flow, ["changed front: a bearing rattles"])
    assert asked(flow).startswith("Fan headers has no pass that counts now: do it again.")
    with pytest.raises(NotAllowed, match="Handover is locked: it rests on Fan headers, Thermal soak"):
        flow.answer("end")
    flow.answer("next")
    assert flow.go == "fan_headers"


def test_a_handover_that_went_stale_is_done_again_and_a_lock_has_no_override() -> None:
    book, _, build = handed()
    flow = HandoverFlow(book, build)
    assert flow.phase is Phase.AFTER
    wrong = book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="a drop")
    flow.refresh()
    assert asked(flow).startswith("A defect is open, entry")
    assert flow.content().verdict is not None
    assert flow.content().verdict.word == "stale"  # type: ignore[union-attr]
    flow.answer("again")
    question = flow.question()
    assert question is not None
    assert question.prompt.hint == ""
    with pytest.raises(InputError, match="not expected"):
        question.deed("override I know better")
    assert wrong.seq


@pytest.mark.parametrize("phase", ["owner", "visit"])
async def test_the_handover_looks_as_it_did(phase: str) -> None:
    book, clock, build = (handed if phase == "owner" else visited)()
    if phase == "owner":
        clock.run(20 * DAY_S)
    if phase == "visit":
        book.work(Handovers).change_part(build, *_CHANGED)
    app = AtStage(book, "handover", build)
    async with app.run_test(size=SIZES[0]) as pilot:
        await settled(pilot)
        await same_at_each_size(pilot, f"handover_{phase}", between=phase == "owner")
