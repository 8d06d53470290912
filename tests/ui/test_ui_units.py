"""The units that a person reads in: chosen by a line on any screen, kept, and followed by all that is shown."""

import json
import re
from collections.abc import Iterator

import pytest

from commission.base.quantity import Quantity
from commission.bench.card import CardContent
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.fill.card.fill import FillFlow
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.entries import ReadingTaken
from commission.ui.looks import Looks
from commission.units.chosen import Chosen, read_units, units_now, use_units
from tests.stages.fill.screen.coolant_bench import bleeding, filled, poured
from tests.ui.bench import AtStage, led, ready, typed, with_parts
from tests.ui.pictures import text_of
from tests.ui.test_ui_looks import Kept

METRIC = re.compile(r"[0-9] (mbar|bar|hPa|kPa|mL|L|°C|K|mm|cm|m|L/h)(?![\w/·])")
"""An amount in a unit that was not chosen; leak rates keep theirs, in which the classes of limits are published."""


NAME = "digital gauge 1 bar"
"""Of the gauge: a name stays as it was given."""


@pytest.fixture(autouse=True)
def house_units() -> Iterator[None]:
    """Leave the units of the program to the next test."""
    yield
    use_units(Chosen())


def texts(value: object) -> Iterator[str]:
    """Every text of a card."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from texts(one)
    else:
        for name in getattr(value, "__struct_fields__", ()):
            yield from texts(getattr(value, name))


def metric(card: CardContent) -> list[str]:
    return [text for text in texts(card) if METRIC.search(text) and text != NAME]


def plan() -> HoldFlow:
    book, _, _, build = with_parts()
    flow = HoldFlow(book, build)
    led(flow, ["1.2 L ± 5 %", "1", "unit psi", "step 0.01 psi", "", "", "", "", "none"])
    return flow


def test_a_plan_a_fill_and_a_bleed_say_no_amount_in_another_unit() -> None:
    flows = [plan(), *(FillFlow(made[0], made[3]) for made in (poured(), filled()))]
    made = bleeding()
    flows.append(BleedFlow(made[0], made[3]))
    assert all(metric(flow.content()) for flow in flows), "each of them has amounts"
    use_units(read_units("psi fl oz degF in gal/min"), of_bare=True)
    for flow in flows:
        flow.refresh()
        assert metric(flow.content()) == []


def test_a_bare_number_is_what_the_card_shows_and_a_refusal_says_it_so() -> None:
    flow = plan()
    use_units(read_units("psi fl oz degF in"), of_bare=True)
    flow.refresh()
    prompt = flow.now()
    assert prompt is not None
    assert "pressure 5.8 psi" in prompt.hint  # 0.4 bar / 0.06894757
    assert prompt.understand("pressure 6") == "pressure 6 psi"
    led(flow, ["pressure 6"])
    draft = flow.hand.plan_draft
    assert draft is not None
    assert draft.target_gauge_pa == pytest.approx(6 * 6894.757, rel=1e-6)  # NIST SP 811, B.8


async def test_a_line_chooses_units_while_a_hold_runs_and_readings_stay_those_of_the_gauge() -> None:
    book, _, clock, build = ready()
    app = AtStage(book, "pressure_hold", build)
    app.looks = Looks(kept := Kept())
    async with app.run_test(size=(120, 40)) as pilot:
        for _ in range(5):
            await typed(pilot, "500.0 21.0")
            clock.run(300)
        assert "mbar" in text_of(app)
        stored = book.head().seq
        await typed(pilot, "units psi fl oz degF")
        shown = text_of(app)
        assert "kept: amounts in psi, US fl oz, degF" in shown
        assert "pressure drop       0.000 psi" in shown, "0.1 mbar of the gauge is 0.00145 psi"
        assert "psi from the start" in shown
        assert "68 °F" in shown
        assert book.head().seq == stored, "it is no entry"
        assert json.loads(kept.text)["units"] == "psi US fl oz degF"
        assert "a bare number is mbar" in shown
        await typed(pilot, "500.0 21.0")
        last = [e.payload for e in book.entries(build) if isinstance(e.payload, ReadingTaken)][-1]
        assert last.pressure is not None
        assert (last.pressure.quantity, last.pressure.si) == (Quantity.GAUGE_PRESSURE, 50_000.0)
        await typed(pilot, "units furlong")
        assert '"furlong" is no unit' in text_of(app)
        await pilot.press("ctrl+u")
        await typed(pilot, "units default")
        assert units_now() == Chosen()
        assert "mbar from the start" in text_of(app)
