"""A volume that is measured on air after it was judged by another one: a loop twice as large leaks twice as much.

The plan counts 1200 ± 30 mL (standard uncertainty), so it allows for 1200 + 1.96 · 30 = 1259 mL, and a fill judged by
the parts for 1141 to 1259 mL (95 % of a normal distribution, JCGM 100:2008, table G.1).
"""

import pytest

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.stage_ids import FILL, HOLD
from commission.record.locks import rung_lock
from commission.record.logbook import Logbook
from commission.record.machine.rungs import Rung
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import new_book
from tests.holds import PLAN, ready_build, start_hold, type_hold
from tests.power_builds import powered_build
from tests.wet_builds import filled_build


def measured(book: Logbook, build: str, ml: float) -> int:
    """Measure the volume and return the number of the entry."""
    return (
        book.work(Sheet).measure_volume(build, method="strokes", volume_m3=ml * 1e-6, u_volume_m3=30e-6, inputs=()).seq
    )


def word(book: Logbook, build: str, stage: str) -> tuple[str, str]:
    state = book.build(build)
    return next((str(one.word), one.why) for one in book.ladder(state) if one.stage.id == stage)


@pytest.mark.parametrize(("ml", "stale"), [(2400, True), (1262, True), (1256, False), (1150, False), (900, False)])
def test_a_hold_does_not_outlive_a_loop_larger_than_its_plan_allowed_for(ml: float, stale: bool) -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=9)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.PASS
    seq = measured(book, build, ml)
    assert word(book, build, HOLD) == (("stale", f"since entry {seq}") if stale else ("passed", "attempt 1"))
    if stale:
        assert word(book, build, FILL)[0] == "locked"
        book.withdraw(seq, "a stroke was counted twice")
        assert word(book, build, HOLD)[0] == "passed"


def test_a_loop_that_is_measured_larger_while_the_hold_runs_is_no_pass() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=9)
    measured(book, build, 2400)
    closed = book.work(Holds).close(build, Ending.PLANNED)
    assert closed.outcome is Outcome.INCONCLUSIVE
    assert closed.reasons[0].code == "volume_larger_than_planned"
    assert [amount.si for amount in closed.reasons[0].amounts] == [2.4e-3, 1.2e-3]


def test_a_hold_planned_by_what_was_measured_passes() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    measured(book, build, 2400)
    start_hold(book, build, replace(PLAN, volume_m3=2.4e-3, u_volume_m3=30e-6, volume_basis="measured on air"))
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.PASS


@pytest.mark.parametrize(("ml", "counts"), [(1250, True), (1150, True), (1100, False), (1270, False)])
def test_a_fill_does_not_outlive_the_volume_that_it_was_judged_by(ml: float, counts: bool) -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    measured(book, build, ml)
    run = book.build(build).judged_run(FILL)
    assert run is not None
    assert (run.stale_by is None) is counts


def test_a_volume_that_creeps_up_by_what_each_measurement_allows_for_takes_the_fill_all_the_same() -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock)
    for ml in (1250, 1300):
        measured(book, build, ml)
    run = book.build(build).judged_run(FILL)
    assert run is not None
    assert run.stale_by is not None


def test_the_pump_and_the_machine_wait_where_the_loop_is_measured_twice_as_large() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock)
    assert rung_lock(book.build(build), Rung.MACHINE) is None
    measured(book, build, 2400)
    assert rung_lock(book.build(build), Rung.PUMP) is not None
    assert rung_lock(book.build(build), Rung.MACHINE) is not None
    assert word(book, build, FILL)[0] == "locked"


def test_a_plan_that_counts_less_than_the_loop_that_was_measured_is_refused() -> None:
    """At 95 % the plan allows for 620 + 1.96 · 31 = 681 mL."""
    book, log, _ = new_book()
    build = ready_build(book)
    measured(book, build, 1200)
    before = log.head()
    small = replace(PLAN, volume_m3=620e-6, u_volume_m3=31e-6, volume_basis="data sheets")
    with pytest.raises(NotAllowed, match="counts at most 681 mL, but 1200 mL were measured on air; take that volume"):
        book.work(Holds).plan(build, small)
    assert log.head() == before
    book.work(Holds).plan(build, replace(PLAN, volume_m3=1.16e-3))  # 1160 + 1.96 · 30 = 1219 mL


@pytest.mark.parametrize(("ml", "outcome"), [(700, Outcome.INCONCLUSIVE), (1180, Outcome.PASS)])
def test_a_plan_smaller_than_the_parts_is_judged_by_as_much_as_they_add_up_to(ml: float, outcome: Outcome) -> None:
    """18 mbar in 30 min from the parts' 1200 mL are 1.2e-2 mbar·L/s, beyond the limit; from 700 mL they would be 7e-3.

    9 mbar are 6e-3, within it.
    """
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build, replace(PLAN, volume_m3=ml * 1e-6, u_volume_m3=0.03 * ml * 1e-6, volume_basis="typed"))
    type_hold(book, clock, build, start_mbar=500, fall_mbar=18 if ml == 700 else 9)
    closed = book.work(Holds).close(build, Ending.PLANNED)
    assert closed.outcome is outcome
    told = [reason for reason in closed.reasons if reason.code == "parts_add_up_to_more"]
    assert bool(told) is (ml == 700)
    assert [[amount.si for amount in reason.amounts] for reason in told] == ([[1.2e-3, 0.7e-3]] if told else [])


def test_a_plan_smaller_than_the_parts_still_fails_what_no_volume_explains() -> None:
    """60 mbar in 30 min are 2.3e-2 mbar·L/s even from 700 mL."""
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build, replace(PLAN, volume_m3=0.7e-3, u_volume_m3=21e-6, volume_basis="typed"))
    type_hold(book, clock, build, start_mbar=500, fall_mbar=60)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.FAIL
