"""What lets the row of a bleed's cycles begin again: coolant beside them, a withdrawn one; a restart is told."""

from collections.abc import Callable

import pytest

from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.machine.noise import Noise
from commission.stages.bleed.model import Bubbles
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.model.fill import Drain
from commission.stages.fill.work.fills import Fills
from tests.fakes import HandClock, new_book
from tests.wet_builds import amount, answer, bleeding_build, cycle, poured, run_cycle


def bled(book: Logbook, clock: HandClock, build: str, cycles: int = 5) -> None:
    for _ in range(cycles):
        run_cycle(book, clock, build, 0.3)


@pytest.mark.parametrize(
    "beside",
    [
        lambda b, i: b.work(Fills).move(i, poured(8)),
        lambda b, i: b.work(Fills).move(i, Drain(dose=amount(10)), stage="bleed"),
    ],
    ids=["an amount", "drained"],
)
def test_coolant_beside_the_cycles_begins_the_row_again(beside: Callable[[Logbook, str], object]) -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    bled(book, clock, build)
    assert book.work(Bleeds).verdict(book.build(build)).outcome is Outcome.PASS
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    beside(book, build)
    verdict = book.work(Bleeds).verdict(book.build(build))
    assert (verdict.outcome, verdict.kept) == (Outcome.INCONCLUSIVE, 0)
    assert "coolant_moved" in {one.code for one in verdict.reasons}


def test_a_withdrawn_cycle_that_broke_the_rule_is_told_and_the_row_begins_behind_it() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    bled(book, clock, build, 3)
    clock.run(1800)
    bad = book.work(Bleeds).cycle(build, cycle(25, bubbles=Bubbles.MANY, noise=Noise.GURGLING), poured(25))
    book.withdraw(bad.seq, "typo")
    bled(book, clock, build, 2)
    verdict = book.work(Bleeds).verdict(book.build(build))
    assert (verdict.outcome, verdict.kept) == (Outcome.INCONCLUSIVE, 2)
    assert "took 25 mL, bubbles many, pump gurgling" in verdict.reasons[1].template
    assert "typo" in verdict.reasons[1].template
    bled(book, clock, build, 3)
    assert book.work(Bleeds).close(build).outcome is Outcome.PASS


def test_amounts_beside_the_cycles_that_were_withdrawn_are_told_and_the_row_begins_behind_the_last() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    answer(book, build, book.work(Fills), When.BEFORE_POURING)
    for _ in range(4):
        clock.run(1860)
        book.work(Bleeds).cycle(build, cycle(0))
        book.withdraw(book.work(Fills).move(build, poured(8)).seq, "typo")
    bled(book, clock, build, 1)
    verdict = book.work(Bleeds).close(build)
    assert (verdict.outcome, verdict.kept) == (Outcome.INCONCLUSIVE, 1)
    assert verdict.reasons[1].template.endswith("and 1 more.")
    assert verdict.reasons[1].template.count("8 mL added (entry ") == 3
    assert "amount_withdrawn" in {one.code for one in verdict.reasons}


def test_a_restart_between_the_cycles_is_told() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    bled(book, clock, build, 2)
    clock.restart(3600)
    bled(book, clock, build, 3)
    assert "restarted" in {one.code for one in book.work(Bleeds).close(build).reasons}
