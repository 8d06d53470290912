"""A rating that is typed after a hold passed: below the pressure that the part has stood, the pass goes stale."""

import pytest

from commission.base.quantity import Measured, Quantity
from commission.record.ladder import ladder
from commission.stages.build_sheet.entries import PartRated
from commission.stages.pressure_hold.state.attempt import judged_hold
from tests.fakes import new_book
from tests.wet_builds import proved_build


@pytest.mark.parametrize(("share", "word"), [(0.5, "stale"), (1.5, "passed")])
def test_a_rating_below_the_pressure_already_held_takes_the_pass_away(share: float, word: str) -> None:
    book, _, clock = new_book()
    build = proved_build(book, clock)
    state = book.build(build)
    judged = judged_hold(state)
    assert judged is not None
    assert judged.plan is not None
    held = max(timed.reading.pressure.si for timed in judged.readings if timed.reading.pressure is not None)
    held = max(held, judged.plan.target_gauge_pa)
    rating = Measured(quantity=Quantity.GAUGE_PRESSURE, si=held * share, typed=f"{held * share / 1e5:g} bar")
    rated = book.sheet.rate_part(build, state.parts[0].part_id, rating)
    assert isinstance(rated.payload, PartRated)
    state = book.build(build)
    hold = next(rung for rung in ladder(book.procedure(state), state) if rung.stage.id == "pressure_hold")
    assert str(hold.word) == word
    assert hold.why == (f"since entry {rated.seq}" if word == "stale" else "attempt 1")
