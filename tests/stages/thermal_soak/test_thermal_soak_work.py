"""A soak in the log: what may be done when, what is kept, and what takes away its worth."""

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.bench.at_hand import StageAtHand
from commission.procedure.load import default_toml
from commission.procedure.model import When
from commission.record.machine.joints import Paper
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.thermal_soak.card.deeds import look_deed
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.model import MOST_READINGS, Named, SoakPlan
from commission.stages.thermal_soak.rows.show import soak_lines
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from tests.fakes import new_book
from tests.power_builds import powered_build
from tests.soaks import course, headers_passed, soaking
from tests.stages.said_once import lines_of
from tests.wet_builds import answer


def test_a_soak_from_its_start_to_a_pass() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work = book.work(Soaks)
    clock.run(3700)
    work.read(build, course(60))
    assert work.verdict(book.build(build)).reasons[0].code == "joints_not_looked_at"
    work.do_step(build, JOINTS_HOT)
    assert work.close(build).outcome is Outcome.PASS
    run = book.build(build).judged_run("thermal_soak")
    assert run is not None
    assert run.outcome is Outcome.PASS
    assert work.verdict(book.build(build)).outcome is Outcome.PASS  # shown again with the steps of its attempt
    assert book.verify() == []


def test_it_waits_for_headers_and_bleed_and_for_its_cautions() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    with pytest.raises(NotAllowed, match="Thermal soak is locked"):
        book.work(Soaks).start(build, SoakPlan())
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    with pytest.raises(NotAllowed, match="not answered yet: 4 cautions"):
        book.work(Soaks).start(build, SoakPlan())
    with pytest.raises(NotAllowed, match="no soak was begun"):
        book.work(Soaks).read(build, course(1))
    with pytest.raises(NotAllowed, match="no soak was begun"):
        book.work(Soaks).close(build)


def test_what_makes_no_sense_is_not_stored() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work, (one, later) = book.work(Soaks), course(1)
    head = book.head().seq
    for wrong in (
        (),
        (replace(one, warm_k=None, cool_k=None),),
        (replace(one, air_k=100.0),),
        (replace(one, flow_m3_s=-1.0),),
        (replace(one, load_w=-1.0),),
        (replace(one, load_w=4001.0),),  # 16 A at 250 V are 4000 W: IEC 60320-1, C20
        (replace(one, duties=(Named(name="fans", value=1.5),)),),
        (replace(one, components=one.components * 2),),
    ):
        with pytest.raises(InputError):
            work.read(build, wrong)
    with pytest.raises(NotAllowed, match="forward in time"):
        work.read(build, (later, one))
    with pytest.raises(NotAllowed, match="keeps 5000 at most"):
        work.read(build, [replace(one, elapsed_s=float(at)) for at in range(MOST_READINGS + 1)])
    with pytest.raises(NotAllowed, match="goes on already"):
        work.start(build, SoakPlan())
    with pytest.raises(NotAllowed, match=r"at 60\.5 s lies after now"):  # a minute is let be
        work.read(build, (replace(one, elapsed_s=60.5),))
    assert book.head().seq == head
    work.read(build, (one,))
    with pytest.raises(NotAllowed, match="forward in time"):
        work.read(build, (one,))


@pytest.mark.parametrize("plan", [SoakPlan(mass_fraction=0.3), SoakPlan(resolution_k=0.0)])
def test_a_plan_that_makes_no_sense_is_refused(plan: SoakPlan) -> None:
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    answer(book, build, book.work(Soaks), When.BEFORE_SOAK)
    with pytest.raises(InputError):
        book.work(Soaks).start(build, plan)


def test_a_withdrawn_reading_no_longer_counts_and_another_attempt_begins_empty() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work, readings = book.work(Soaks), course(60)
    clock.run(3600)
    work.read(build, readings[:-1])
    slip = work.read(build, (replace(readings[-1], warm_k=400.0),))
    assert work.verdict(book.build(build)).outcome is Outcome.FAIL
    book.withdraw(slip.seq, "mistyped")
    assert len(book.build(build).of(SoakState).readings) == 60
    assert work.verdict(book.build(build)).outcome is Outcome.INCONCLUSIVE
    work.close(build)
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    state = book.build(build)
    assert (state.run("thermal_soak").attempt, state.of(SoakState).readings) == (2, ())


def test_a_leak_takes_its_worth_and_stops_it() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work = book.work(Soaks)
    clock.run(3600)
    work.read(build, course(60))
    work.do_step(build, JOINTS_HOT)
    work.close(build)
    wet = book.work(Mishaps).note(build, Mishap.LEAK, where="block", seen="a drop")
    run = book.build(build).judged_run("thermal_soak")
    assert wet is not None
    assert run is not None
    assert run.stale_by is not None


def test_a_build_of_a_procedure_without_the_stage_goes_on() -> None:
    text = default_toml()
    start = text.index('[[stages]]\nid = "thermal_soak"')
    old = text[:start] + text[text.index("[[typical_parts]]") :]
    book, _, clock = new_book(procedure_toml=old)
    build = powered_build(book, clock)
    assert "thermal_soak" not in {rung.stage.id for rung in book.ladder(book.build(build))}
    with pytest.raises(NotAllowed, match="has no stage thermal soak; open a new build"):
        book.work(Soaks).start(build, SoakPlan())
    assert book.verify() == []


def test_a_limit_of_a_maker_counts_and_is_not_raised_once_readings_are_there() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work = book.work(Soaks)
    for name, most, source in (("", 350.0, "sheet"), ("cpu", 312.0, "sheet"), ("cpu", 350.0, " ")):
        with pytest.raises(InputError):
            work.limit(build, name, _kelvin(most), source)
    work.limit(build, "cpu", _kelvin(358.15), "data sheet")
    clock.run(3600)
    work.read(build, course(60))
    with pytest.raises(NotAllowed, match="may only be lowered"):
        work.limit(build, "CPU", _kelvin(368.15), "forum")
    work.limit(
        build, "cpu", _kelvin(345.45), "newer sheet"
    )  # it settles at 345.15 K in a room of 303.15 K, within 0.5 K
    work.do_step(build, JOINTS_HOT)
    verdict = work.close(build)
    assert (verdict.outcome, verdict.limits[0].source) == (Outcome.INCONCLUSIVE, "newer sheet")
    assert "soak limit cpu: 72.3 °C, newer sheet" in lines_of(soak_lines(book, book.build(build)))
    work.limit(build, "cpu", _kelvin(368.15), "for the next")
    assert work.verdict(book.build(build)).limits == verdict.limits  # what was judged stays judged by its own
    assert book.verify() == []


def _kelvin(kelvin: float) -> Measured:
    return Measured(quantity=Quantity.TEMPERATURE, si=kelvin, typed=f"{kelvin} K")


def test_a_reading_typed_behind_a_time_stands_where_that_was_in_the_soak() -> None:
    """Begun at 13:00: 13:30 is 1800 s in, whatever the hour is now."""
    book, _, clock = new_book()
    build = headers_passed(book, clock)
    answer(book, build, book.work(Soaks), When.BEFORE_SOAK)
    clock.run(86_400)
    flow = SoakFlow(book, build)
    flow.answer("began 13:00 water")
    for line in ("at 13:30 warm 30 air 22 cool 29 cpu 60", "at 14:20 warm 32 air 22 cool 31 cpu 64"):
        flow.answer(line)
    assert [one.elapsed_s for one in book.build(build).of(SoakState).readings] == [1800.0, 4800.0]
    with pytest.raises(NotAllowed, match="before the soak began"):
        flow.answer("at 12:50 warm 32 air 22 cool 31 cpu 64")
    assert "taken over" in str(flow.verdict.reasons[-1].template).casefold()


def test_joints_are_looked_at_by_name_while_hot_and_each_look_has_its_time() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work = book.work(Soaks)
    joints = work.joints(book.build(build))
    assert len(joints) > 1  # as the leak watch of the first power-on named them
    hand = StageAtHand(book, build, work)
    with pytest.raises(NotAllowed, match="nothing says that it is hot"):
        look_deed(hand, "all dry")
    with pytest.raises(InputError, match="which joint"):
        look_deed(hand, "dry")
    with pytest.raises(InputError, match="there is no joint"):
        work.look(build, ["radiator of another loop"], Paper.DAMP)
    clock.run(3600)
    work.read(build, course(60))
    hand.refresh()
    assert work.verdict(book.build(build)).reasons[0].code == "joints_not_looked_at"
    assert look_deed(hand, f"{joints[0]} damp # a trace").told.endswith("wipe it dry and look again in some minutes")
    for line in ("all dry", f"{joints[0]} damp"):
        look_deed(hand, line).do()
        clock.run(60)
        hand.refresh()
    assert joints[0] in work.verdict(book.build(build)).reasons[0].template
    look_deed(hand, f"{joints[0]} dry").do()
    assert work.close(build).outcome is Outcome.PASS
    told = lines_of(soak_lines(book, book.build(build)))
    assert f"soak joint {joints[0]}: 3 looks; dry after 1 h, damp after 1 h 1 min, dry after 1 h 2 min" in told
    assert look_deed(hand, f"{joints[1]} wet").calls == "leak"
