"""What was withdrawn in a soak, a limit that was raised, a soak before that failed: the verdict tells it."""

import re

import pytest

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.physics.glycol import Glycol
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When
from commission.record.again import Again, judge_again
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.stages.thermal_soak.card.coolant import coolant_in
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.judge.coolant_held import other_coolant
from commission.stages.thermal_soak.judge.read_before import same_as
from commission.stages.thermal_soak.model import Named, SoakPlan, SoakReading
from commission.stages.thermal_soak.state import earlier_soaks
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from commission.units.show import say
from tests.fakes import HandClock, new_book
from tests.handovers import finished
from tests.registered import REGISTRY
from tests.soaks import course, soaking
from tests.wet_builds import answer

NOW = load_procedure(default_toml()).revision


def begun() -> tuple[Logbook, HandClock, str]:
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(3700)
    return book, clock, build


@pytest.mark.parametrize("times", [1, 2])
def test_readings_above_a_limit_that_were_withdrawn_are_told_and_two_of_them_are_no_slip(times: int) -> None:
    book, _, build = begun()
    work, readings = book.work(Soaks), course(60)
    hot = replace(readings[5], components=(Named(name="cpu", value=372.15),))  # 99 degC; 95 is the limit
    wrong = list[int]()
    for _ in range(times):
        wrong.append(work.read(build, (hot,)).seq)
        book.withdraw(wrong[-1], "typo {0}")
    work.read(build, readings)
    work.do_step(build, JOINTS_HOT)
    verdict = work.close(build)
    assert verdict.outcome is (Outcome.PASS if times == 1 else Outcome.INCONCLUSIVE)
    assert "cpu above its limit" in verdict.reasons[1].template
    assert "typo (0)" in verdict.reasons[1].template
    flow = SoakFlow(book, build)
    asked = flow.now()
    assert asked is not None
    if times > 1:
        assert f"no slip: entry {', '.join(map(str, wrong))}. " in verdict.reasons[0].template
        assert asked.ask.startswith("Not a pass: note why those readings were withdrawn, then soak again.")
    assert ("level" in asked.hint) == (times == 1), "cold again, of a soak that passed"
    flow.answer("note typed on a phone")
    assert book.build(build).notes[-1].endswith("typed on a phone")


def test_a_wet_look_that_was_withdrawn_bars_the_pass_by_itself() -> None:
    book, _, build = begun()
    work = book.work(Soaks)
    work.read(build, course(60))
    joints = work.joints(book.build(build))
    book.withdraw(work.look(build, joints[:1], Paper.WET).seq, "typo")
    work.look(build, joints, Paper.DRY)
    verdict = work.verdict(book.build(build))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "much_withdrawn")
    assert f"{joints[0]}: paper wet" in verdict.reasons[1].template


def test_a_raised_limit_and_a_soak_that_failed_at_more_load_are_told() -> None:
    book, clock, build = finished()
    work = book.work(Soaks)
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    clock.run(3700)
    hot = tuple(replace(one, components=(Named(name="cpu", value=372.15),)) for one in course(60))
    work.read(build, hot)
    assert work.close(build).outcome is Outcome.FAIL
    most = Measured(quantity=Quantity.TEMPERATURE, si=378.15, typed="105 degC")
    work.limit(build, "cpu", most, "data sheet")
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    clock.run(3700)
    work.read(build, tuple(replace(one, load_w=200.0, flow_m3_s=None) for one in hot))
    work.do_step(build, JOINTS_HOT)
    codes = [one.code for one in work.close(build).reasons]
    assert {"limit_raised", "failed_at_more"} <= set(codes)


@pytest.mark.parametrize(
    ("load_w", "read", "limit_k", "outcome", "code"),
    [
        (400.0, False, 0.0, Outcome.INCONCLUSIVE, "failed_not_read"),
        (60.0, True, 0.0, Outcome.PASS, "failed_at_less"),
        (None, True, 0.0, Outcome.INCONCLUSIVE, "failed_at_less"),
        (400.0, True, 0.0, Outcome.PASS, "steady"),
        (400.0, True, 423.15, Outcome.PASS, "failed_by_lower_limit"),
    ],
)
def test_a_component_that_failed_is_read_again_and_the_load_with_it_before_a_soak_passes(
    load_w: float | None, read: bool, limit_k: float, outcome: Outcome, code: str
) -> None:
    """It failed at 400 W; a soak between them that did not read it either takes nothing away."""
    book, clock, build = finished()
    work, hot = book.work(Soaks), (Named(name="cpu", value=372.15),)  # 99 degC; 95 is the limit
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    clock.run(3700)
    work.read(build, tuple(replace(one, components=hot) for one in course(60)))
    assert work.close(build).outcome is Outcome.FAIL
    if limit_k:
        work.limit(build, "CPU", Measured(quantity=Quantity.TEMPERATURE, si=limit_k, typed="150 degC"), "forum")
    for last in (False, True):
        answer(book, build, work, When.BEFORE_SOAK)
        work.start(build, SoakPlan())
        clock.run(3700)
        chip_k = 66.0 if limit_k else 34.0
        readings = course(60, flow_m3_s=1e-5, cpu_k=chip_k if read and last else None)
        for one in readings:
            named = tuple(replace(part, name="CPU") for part in one.components)
            work.read(build, (replace(one, load_w=load_w, components=named),))
        work.do_step(build, JOINTS_HOT)
        assert last or work.close(build).outcome is Outcome.INCONCLUSIVE
    verdict = work.close(build)
    assert (verdict.outcome, code in [one.code for one in verdict.reasons]) == (outcome, True)
    if outcome is Outcome.INCONCLUSIVE:
        assert verdict.reasons[0].code == code
        assert verdict.reasons[0].template.startswith("The cpu failed in attempt 2 ")
    assert work.verdict(book.build(build)).reasons == verdict.reasons  # shown as it was judged


@pytest.mark.parametrize(
    ("readings", "outcome", "code"),
    [
        (course(60), Outcome.PASS, "steady"),
        (course(60, end_k=0.4, start_k=0.4, drop_k=0.0), Outcome.INCONCLUSIVE, "no_heat_shown"),
    ],
)
def test_under_a_procedure_without_limits_for_heat_those_of_this_program_count_and_that_is_said(
    readings: tuple[SoakReading, ...], outcome: Outcome, code: str
) -> None:
    """0.4 K is less than two sensors of 0.3 K leave: 1.645 * sqrt(2) * 0.3 K = 0.70 K at 95 % (JCGM 100:2008)."""
    older = re.sub(r'\[\[stages\.limits\]\]\nid = "least_(above_air_k|carried)"(\n.+)+\n', "", default_toml())
    older = older.replace(f"revision = {NOW}", "revision = 6", 1)
    book, log, clock = new_book(procedure_toml=older)
    build = soaking(book, clock)
    clock.run(3700)
    work = book.work(Soaks)
    work.read(build, readings)
    if code == "steady":
        work.do_step(build, JOINTS_HOT)
    said = "This build was opened under an earlier procedure, revision 6, which has no limits for heat: those of "
    said += f"revision {NOW} count."
    assert said in SoakFlow(book, build).card().notices
    verdict = work.close(build)
    assert (verdict.outcome, verdict.reasons[0].code) == (outcome, code)
    assert verdict.reasons[1].template == said
    assert judge_again(REGISTRY, book.program, log.stored, log.samples) == Again()  # it comes in with what it says


def test_a_procedure_with_its_own_limits_for_heat_borrows_none() -> None:
    book, _, build = begun()
    assert book.work(Soaks).borrowed(book.build(build)) is None


def test_a_limit_below_what_a_soak_passed_with_is_of_the_next_soak() -> None:
    book, clock, build = finished()
    work = book.work(Soaks)
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    clock.run(3700)
    work.read(build, course(60, cpu_k=28.0))  # 60 degC at the end: 22 of the air, 10 of the coolant
    work.do_step(build, JOINTS_HOT)
    assert work.close(build).outcome is Outcome.PASS
    low, high = (Measured(quantity=Quantity.TEMPERATURE, si=si, typed="typed") for si in (323.15, 363.15))
    with pytest.raises(NotAllowed, match=r"in the soak that passed .CPU. was warmer"):
        work.limit(build, "CPU", low, "data sheet")
    work.limit(build, "CPU", high, "data sheet")
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    work.limit(build, "CPU", low, "data sheet")


@pytest.mark.parametrize(("said", "outcome"), [(False, Outcome.INCONCLUSIVE), (True, Outcome.PASS)])
def test_readings_of_an_earlier_soak_prove_nothing_of_the_machine_unless_somebody_says_so(
    said: bool, outcome: Outcome
) -> None:
    book, clock, build = begun()
    work, readings = book.work(Soaks), course(60)
    work.read(build, readings)
    work.close(build)
    answer(book, build, work, When.BEFORE_SOAK)
    work.start(build, SoakPlan())
    clock.run(3700)
    cut = tuple(replace(one, elapsed_s=one.elapsed_s - 180) for one in readings[3:])  # the first rows off, and shifted
    found = same_as(cut, earlier_soaks(book.build(build)))
    assert (found, same_as(course(60, end_k=10.1), earlier_soaks(book.build(build)))) == ("soak 1", "")
    work.read(build, cut, file="old.csv", same_as=found if said else "")
    work.do_step(build, JOINTS_HOT)
    verdict = work.close(build)
    told = [say(one) for one in verdict.reasons if one.code == "rows_seen_before"]
    assert (verdict.outcome, len(told), told[0].endswith("said to be right.")) == (outcome, 1, said)


def test_a_name_that_chooses_a_laxer_limit_is_told_where_that_decides() -> None:
    """A chip headed as a regulator: 22 + 10 + 60 degC today, 100 in the warmest room; 95 is the limit of a chip."""
    book, _, build = begun()
    work = book.work(Soaks)
    named = [
        replace(one, components=tuple(Named(name="cpu vrm", value=each.value) for each in one.components))
        for one in course(60, cpu_k=60.0)
    ]
    work.read(build, named)
    work.do_step(build, JOINTS_HOT)
    verdict = work.verdict(book.build(build))
    assert verdict.outcome is Outcome.PASS
    assert [say(one) for one in verdict.reasons if one.code == "judged_as"] == [
        "The cpu vrm is judged by a limit of 105 °C (procedure, for a regulator)."
    ]


def test_heat_reckoned_with_another_coolant_than_the_records_is_told() -> None:
    book, _, build = finished()
    assert coolant_in(book.build(build)) == "water"
    by_record = other_coolant(SoakPlan(), book.build(build))
    told = other_coolant(SoakPlan(base=Glycol.PROPYLENE, mass_fraction=0.6), book.build(build))
    assert by_record is None
    assert told is not None
    assert say(told) == "Worked out for propylene glycol 60.0 %; by what was added it is water."
