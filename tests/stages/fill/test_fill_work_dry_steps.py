"""The steps of a fill that need coolant: not in an empty loop, and the look for drips again where much came behind it.

Outside: a pump that runs dry is soon ruined, and paper stays dry at a joint that no coolant has reached: the trade's
common practice, no source. The loop holds 1200 mL, so 120 mL are the least; 30 % of 1100 mL in all are 330 mL.
"""

import pytest

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.stages.fill.model.fill import Drain
from commission.stages.fill.work.fills import Fills
from commission.units.show import say
from tests.fakes import new_book
from tests.wet_builds import amount, answer, pour, pouring_build


def test_no_step_that_needs_coolant_is_taken_in_an_empty_loop_and_the_pump_waits_for_more_than_a_spoonful() -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    work = book.work(Fills)
    answer(book, build, work, When.BEFORE_PUMP)
    work.do_step(build, "protect")
    with pytest.raises(NotAllowed, match=r"^nothing was added yet; type what went in first$"):
        work.do_step(build, "first_fill")
    pour(book, build, 100)
    with pytest.raises(NotAllowed, match=r"^only 100 mL are in as logged: .* First fill until 120 mL or more are in$"):
        work.do_step(build, "first_fill")
    pour(book, build, 200)
    for step in ("first_fill", "bursts", "look", "to_the_mark"):
        work.do_step(build, step)


@pytest.mark.parametrize(
    ("before", "behind", "again"), [(800, (300,), False), (700, (200, 200), True), (1100, (-1100, 1100), True)]
)
def test_a_look_before_most_of_the_coolant_was_in_is_asked_again(
    before: int, behind: tuple[int, ...], again: bool
) -> None:
    book, _, clock = new_book()
    build = pouring_build(book, clock)
    work = book.work(Fills)
    answer(book, build, work, When.BEFORE_PUMP)
    pour(book, build, before)
    for step in ("protect", "first_fill", "bursts", "look"):
        work.do_step(build, step)
    for ml in behind:
        if ml < 0:
            work.move(build, Drain(dose=amount(-ml)))
        else:
            pour(book, build, ml)
    assert work.missing_steps(book.build(build)) == (("look", "to_the_mark") if again else ("to_the_mark",))
    verdict = work.close(build)
    assert (verdict.outcome is Outcome.PASS) is not again
    assert ("look" in say(verdict.reasons[0])) is again
