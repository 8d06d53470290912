"""A top-up after a soak is typed where the card asks for it, once the plug is out of the hot machine."""

import pytest

from commission.base.errors import InputError
from commission.stages.fill.entries import CoolantPoured
from commission.stages.thermal_soak.card.soak import SoakFlow
from tests.handovers import finished


@pytest.mark.parametrize("line", ["top-up 12 mL", "topped up 12 mL from can", "12 mL"])
def test_a_top_up_after_a_soak_waits_for_the_plug_and_is_stored_there(line: str) -> None:
    book, _, build = finished()
    flow = SoakFlow(book, build)
    prompt = flow.now()
    assert prompt is not None
    assert "bleed again after it" in prompt.understand(line)
    before = book.head().seq
    flow.answer(line)
    asked = flow.now()
    assert asked is not None
    assert "mains plug out at the computer, cold?" in asked.ask
    with pytest.raises(InputError, match="type plug out once it is so"):
        flow.answer("yes")
    assert book.head().seq == before
    flow.answer("plug out")
    (poured,) = [one.payload for one in book.entries(build) if one.seq > before]
    assert isinstance(poured, CoolantPoured)
    assert poured.stage == "thermal_soak"
    assert poured.pour.dose.volume_m3 == pytest.approx(12e-6)
    assert poured.pour.note == "mains plug out, machine cold"


def test_a_top_up_that_was_not_poured_is_left_by_esc() -> None:
    book, _, build = finished()
    flow = SoakFlow(book, build)
    flow.now()
    flow.answer("top-up 12 mL")
    assert flow.back()
    asked = flow.now()
    assert asked is not None
    assert asked.ask.startswith("Passed.")
    with pytest.raises(InputError, match="mL left as logged, not 5000 mL"):
        flow.answer("top-up 5000 mL")
