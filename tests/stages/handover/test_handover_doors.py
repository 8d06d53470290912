"""What a handover may not hide: what is overdue on its day, a look that was left out, another bottle, a clock set back.

Days by the calendar, worked by hand; the intervals are our choices: the first look after 30 days, cleaning after 180,
coolant and soak after 365.25 (where the bottle says nothing).
"""

import pytest

from commission.base.frozen import replace
from commission.procedure.model import When
from commission.record.locks import counts
from commission.record.logbook import Logbook
from commission.stages.fill.model.coolant import Base, Bottle
from commission.stages.handover.card.deeds import at_hand, back_deed, handed_deed, look_missing
from commission.stages.handover.card.handover import HandoverFlow
from commission.stages.handover.entries import HandedOver
from commission.stages.handover.state import HandoverState
from commission.stages.handover.work.handovers import Handovers
from commission.units.show import say
from tests.handovers import DAY_S, OWNER, finished, handed, visited
from tests.wet_builds import CAN, JUG, answer, poured


def last(book: Logbook, build: str) -> HandedOver:
    found = book.build(build).of(HandoverState).last
    assert found is not None
    return found


def told(book: Logbook, build: str) -> str:
    return " ".join(map(say, last(book, build).verdict.reasons))


def test_what_is_overdue_on_the_day_of_a_handover_is_told_by_it_at_either_door() -> None:
    """1000 days behind the first: the look is 970 days late, cleaning 820, coolant 1000 - 365 = 635."""
    book, clock, build = visited()
    assert "Overdue" not in told(book, build)
    clock.run(970 * DAY_S)
    said = "Overdue on the day of the handover: look by 970 days, cleaning by 820 days, coolant change by 635 days"
    assert said in back_deed(at_hand(book, build)).told
    assert said in handed_deed(at_hand(book, build), "Tom Ash").told
    book.work(Handovers).hand_over(build)
    assert said in told(book, build)


def test_a_machine_that_stood_on_the_shelf_is_handed_over_with_its_years_told() -> None:
    book, clock, build = finished()
    work = book.work(Handovers)
    work.name_spares(build, (), "")
    work.read_life(build, None)
    assert work.facts(book.build(build)).overdue == ()
    clock.run(400 * DAY_S)
    assert {item for item, _ in work.facts(book.build(build)).overdue} >= {"coolant change", "soak again"}


def test_a_look_that_is_due_is_asked_for_wherever_the_machine_goes() -> None:
    book, clock, build = handed()
    clock.run(31 * DAY_S)
    hand = at_hand(book, build)
    assert look_missing(hand).startswith("A look at level and joints is due")
    answer(book, build, book.work(Handovers), When.FOR_THE_OWNER)
    flow = HandoverFlow(book, build)
    flow.hand.again = True
    flow.answer("Tom Ash")
    question = flow.question()
    assert question is not None
    assert "A look at level and joints is due, none was logged. Is it right?" in question.prompt.ask
    assert last(book, build).to == OWNER  # nothing was stored
    flow.answer("yes")
    assert last(book, build).to == "Tom Ash"


GLYCOL = replace(JUG, name="blue can", base=Base.ETHYLENE_GLYCOL)


@pytest.mark.parametrize("bottle", [GLYCOL, JUG])
def test_glycol_in_plain_water_is_another_coolant_however_little(bottle: Bottle) -> None:
    book, _, build = visited()
    book.work(Handovers).top_up(build, poured(2.0, bottle))
    assert not counts(book.build(build), "fill")


def test_a_bottle_that_the_papers_do_not_name_is_told() -> None:
    book, _, build = visited()
    book.work(Handovers).top_up(build, poured(2.0, replace(CAN, name="other can")))
    assert counts(book.build(build), "fill")
    book.work(Handovers).hand_over(build)
    assert 'Topped up from another bottle than the papers name: "other can".' in told(book, build)


def test_a_clock_before_an_entry_is_told() -> None:
    book, clock, build = visited()
    clock.step_wall(-400 * DAY_S)
    book.work(Handovers).hand_over(build)
    assert "The computer's clock stands 400 d before an earlier entry" in told(book, build)
