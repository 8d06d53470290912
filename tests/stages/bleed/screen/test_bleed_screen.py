"""Bleeding on the screen: keys in, rows and text out."""

import pytest

from commission.stages.bleed.card.bleed import BleedFlow, Phase
from tests.answers import BLEED
from tests.stages.fill.screen.coolant_bench import CONVERGING, KEPT, bleeding, filled
from tests.ui.bench import AtStage, at_home, flow_at, new_app, typed
from tests.ui.pictures import SIZES, same_at_each_size, settled, text_of


async def test_a_bleed_from_its_cautions_to_a_pass_with_the_window_closed_in_between() -> None:
    book, _, clock, build = filled()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(flow_at(app), BleedFlow)
        for line in (*BLEED, "covered"):
            await typed(pilot, line)
        for line in CONVERGING:
            clock.run(1800)
            await typed(pilot, line)
        assert " RUNNING " in text_of(app)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "in 4 cycles" in text_of(app)
        for line in KEPT:
            clock.run(3600)
            await typed(pilot, line)
        assert " ON COURSE TO PASS " in text_of(app)
        await typed(pilot, "")
        text = await settled(pilot)
        assert " PASS " in text
        assert "Bleed: PASSED" in text
    run = book.build(build).judged_run("bleed")
    assert run is not None
    assert run.outcome == "pass"


@pytest.mark.parametrize("phase", ["cautions", "first", "running", "tilted"])
async def test_the_bleed_looks_as_it_did(phase: str) -> None:
    lines = {"running": CONVERGING, "tilted": (*CONVERGING, "30 min 4 mL left few quiet", "30 min 3 mL none quiet")}
    book, _, _, build = filled() if phase == "cautions" else bleeding(*lines.get(phase, ()))
    app = AtStage(book, "bleed", build)
    async with app.run_test(size=SIZES[0]) as pilot:
        await settled(pilot)
        flow = flow_at(app)
        assert isinstance(flow, BleedFlow)
        assert flow.phase is (Phase.CAUTIONS if phase == "cautions" else Phase.BLEEDING)
        await same_at_each_size(pilot, f"bleed_{phase}", between=phase == "running")
