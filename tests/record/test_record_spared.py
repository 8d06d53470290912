"""What took a proof away and was withdrawn: the pass stands again, and what comes next tells it once."""

from collections.abc import Callable

import pytest

from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.bleed.work import Bleeds
from commission.stages.fill.model.fill import Drain
from commission.stages.fill.work.fills import Fills
from commission.stages.handover.work.handovers import Handovers
from commission.units.show import say
from tests.fakes import HandClock, new_book
from tests.handovers import handed
from tests.wet_builds import amount, answer, bleeding_build, run_cycle


def drain(book: Logbook, build: str) -> int:
    return book.work(Fills).move(build, Drain(dose=amount(50)), stage="handover").seq


def leak(book: Logbook, build: str) -> int:
    return book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="a drop").seq


def bled_again(book: Logbook, clock: HandClock, build: str) -> list[str]:
    answer(book, build, book.work(Bleeds), When.BEFORE_PUMP)
    book.work(Bleeds).start(build)
    for _ in range(5):
        run_cycle(book, clock, build, 0)
    return [say(one) for one in book.work(Bleeds).close(build).reasons if one.code.startswith("withdrawn")]


@pytest.mark.parametrize(("act", "what"), [(drain, "coolant drained"), (leak, "went wrong, leak, lower port")])
def test_what_took_a_pass_and_was_withdrawn_is_told_by_the_next_verdict_once(
    act: Callable[[Logbook, str], int], what: str
) -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    for _ in range(5):
        run_cycle(book, clock, build, 0)
    assert book.work(Bleeds).close(build).outcome == "pass"
    seq = act(book, build)
    book.withdraw(seq, "typo {0}")
    told = f"Withdrawn, and it had taken a proof away: {what} (entry {seq}: typo (0))."
    assert bled_again(book, clock, build) == [told]
    assert bled_again(book, clock, build) == []  # told


def test_a_mishap_while_a_bleed_goes_on_that_was_withdrawn_is_told_by_it() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 0)
    book.withdraw(leak(book, build), "typo")
    for _ in range(5):
        run_cycle(book, clock, build, 0)
    assert [one.code for one in book.work(Bleeds).close(build).reasons].count("withdrawn_undoing") == 1


def test_the_handover_tells_it_until_the_machine_was_handed_over() -> None:
    book, _, build = handed()
    seq = leak(book, build)
    book.withdraw(seq, "typo")
    work = book.work(Handovers)
    reasons = work.verdict(book.build(build)).reasons
    assert [f"(entry {seq}: typo)" in say(one) for one in reasons].count(True) == 1
    answer(book, build, work, When.FOR_THE_OWNER)
    work.hand_over(build, to="another")
    after = [one.code for one in work.verdict(book.build(build)).reasons]
    assert "withdrawn_undoing" not in after
