"""Windows of any size."""

import random

import pytest

from commission.ui.widgets.do_now import DoNowLine
from tests.ui.pictures import text_of
from tests.ui.test_ui_widgets_hostile import Everything

SIZES = [(1, 1), (80, 24), (2, 60), (200, 1), (20, 5), (200, 60), (3, 3), (99, 24), (100, 24), (55, 30), (54, 30)]


@pytest.mark.parametrize("plain", [False, True])
async def test_a_storm_of_resizes_loses_nothing(plain: bool) -> None:
    rng = random.Random(3)
    sizes = SIZES + [(rng.randint(1, 200), rng.randint(1, 60)) for _ in range(8)]
    app = Everything(["the loop at the bench", "5 of 8", "a gauge"], plain=plain)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.query_one(DoNowLine).focus()
        app.query_one(DoNowLine).draft = "497,5"
        for width, height in sizes:
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            lines = text_of(app).rstrip("\n").split("\n")
            assert len(lines) <= height
            assert all(len(line) <= width for line in lines)
        assert app.query_one(DoNowLine).draft == "497,5"
        assert app.return_code is None
