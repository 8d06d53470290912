"""The thermal soak on the screen: keys in, rows and text out."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.procedure.model import When
from commission.stages.fill.model.coolant import Base, Basis, Bottle
from commission.stages.fill.state import FillState, Moved
from commission.stages.thermal_soak.card.soak import Phase, SoakFlow
from commission.stages.thermal_soak.model import SoakPlan
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from tests.fakes import new_book
from tests.handovers import finished
from tests.make_soak_logs import FOLDER
from tests.soaks import course, headers_passed, soaking
from tests.ui.bench import AtStage, flow_at, typed
from tests.ui.pictures import SIZES, same_at_each_size, settled, text_of
from tests.wet_builds import answer, poured


async def test_a_soak_from_its_cautions_to_a_pass() -> None:
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    app = AtStage(book, "thermal_soak", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "Fittings, tubes, blocks" in text_of(app)
        for line in ("", "", "", "", ""):
            await typed(pilot, line)
        assert "First describe the reservoir" in text_of(app)
        clock.run(60)
        await typed(pilot, "warm 24 cool 22.4 air 22 cpu 50 load 400 W")
        await typed(pilot, "undo")
        await typed(pilot, "mistyped")
        clock.run(1440)
        await typed(pilot, f"file {FOLDER / 'stopped-early.csv'}")
        assert "joints" in text_of(app)
        await typed(pilot, "joints")
        await typed(pilot, "")
        text = await settled(pilot)
        assert "PASS  It does not stand still yet; its course leads to at most" in " ".join(text.split(" "))
    assert len(book.build(build).of(SoakState).readings) == 151
    run = book.build(build).judged_run("thermal_soak")
    assert run is not None
    assert run.outcome == "pass"


def test_readings_that_lie_after_now_are_refused_until_their_time_has_come() -> None:
    """The table ends at 1500 s; a minute more is let be, since two clocks are started by hand."""
    book, log, clock = new_book()
    build = soaking(book, clock)
    flow, file = SoakFlow(book, build), f"file {FOLDER / 'stopped-early.csv'}"
    clock.run(1430)
    head = log.head()
    with pytest.raises(NotAllowed, match="a reading at 1500 s lies after now: this soak began 1430 s ago"):
        flow.answer(file)
    with pytest.raises(NotAllowed, match="a reading at 18000 s lies after now"):
        flow.answer("after 300 min cool 34.5 air 22")
    assert log.head() == head
    clock.run(20)
    flow.answer(file)
    assert len(book.build(build).of(SoakState).readings) == 151


def test_what_a_line_does_is_told_first_and_refused_in_words() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(120)
    flow = SoakFlow(book, build)
    question = flow.question()
    assert question is not None
    told = question.deed("warm 36.2 cool 34.5 air 22 load 400 W").told
    assert told == "after 2 min, warm 36.2 °C, cool 34.5 °C, air 22 °C, load 400 W"
    assert question.deed("end").told == "end the soak and judge it"
    assert flow.answer("end") == ""
    asked = flow.question()
    assert asked is not None
    assert asked.prompt.ask.startswith("Not a pass:")
    assert flow.back()
    flow.answer("warm 36.2 cool 34.5 air 22 load 400 W")
    flow.answer("joints")
    assert flow.answer("undo") == ""
    asked = flow.question()
    assert asked is not None
    assert "a look at hot joints" in asked.prompt.ask


def test_after_a_soak_that_is_no_pass_another_is_offered() -> None:
    book, clock, build = finished()  # with a reason in place of a pass it would be locked now
    passed = SoakFlow(book, build).now()
    assert passed is not None
    with pytest.raises(InputError, match="First type the reservoir"):  # a level is taken there, as the card asks for it
        passed.understand("level 120 mm 23 degC")
    answer(book, build, book.work(Soaks), When.BEFORE_SOAK)
    book.work(Soaks).start(build, SoakPlan())
    clock.run(5400)
    book.work(Soaks).read(build, course(90, end_k=30.0))
    book.work(Soaks).do_step(build, JOINTS_HOT)
    book.work(Soaks).close(build)
    flow = SoakFlow(book, build)
    assert flow.phase is Phase.AFTER
    question = flow.question()
    assert question is not None
    assert question.prompt.ask == "Too warm, or flow that falls: put that right first. Enter soaks again, as attempt 3."
    verdict = flow.content().verdict
    assert verdict is not None
    assert (verdict.word, verdict.final) == ("fail", True)
    flow.answer("soak")
    assert flow.question() is not None
    assert flow.phase.value == "cautions"


@pytest.mark.parametrize("phase", ["cautions", "running", "passed"])
async def test_the_soak_looks_as_it_did(phase: str) -> None:
    book, _, clock = new_book()
    build = headers_passed(book, clock) if phase == "cautions" else soaking(book, clock)
    if phase != "cautions":
        clock.run(720 if phase == "running" else 5400)
        book.work(Soaks).read(build, course(12 if phase == "running" else 90))
    if phase == "passed":
        book.work(Soaks).do_step(build, JOINTS_HOT)
        book.work(Soaks).close(build)
    app = AtStage(book, "thermal_soak", build)
    async with app.run_test(size=SIZES[0]) as pilot:
        await settled(pilot)
        flow = flow_at(app)
        assert isinstance(flow, SoakFlow)
        assert flow.phase is {
            "cautions": Phase.CAUTIONS, "running": Phase.SOAKING, "passed": Phase.AFTER,
        }[phase]  # fmt: skip
        await same_at_each_size(pilot, f"soak_{phase}", between=phase in ("running", "passed"))


@pytest.mark.parametrize(
    ("base", "fraction", "proposed"),
    [
        (Base.PROPYLENE_GLYCOL, 0.3, "propylene glycol 30.0 %"),
        (Base.WATER, None, "water"),
        (Base.READY_MIX, None, None),
        (None, None, "water"),
    ],
)
def test_the_coolant_that_was_poured_is_proposed_and_an_unknown_one_is_asked(
    base: Base | None, fraction: float | None, proposed: str | None
) -> None:
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    answer(book, build, book.work(Soaks), When.BEFORE_SOAK)
    flow = SoakFlow(book, build)
    if base is not None:
        basis = Basis.MASS if fraction else None
        sheet = 1020.0 if base is Base.READY_MIX else None
        bottle = Bottle(
            bottle_id="b", name="can", base=base, size_m3=1e-3, fraction=fraction, basis=basis, density_kg_m3=sheet
        )
        moves = (Moved(seq=1, stage="fill", movement=poured(500, bottle)),)
        flow.hand.state = flow.hand.state.with_(FillState(moves=moves))
    question = flow.question()
    assert question is not None
    assert (question.prompt.key, question.prompt.proposal) == ("soak coolant", proposed)
