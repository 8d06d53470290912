"""How many keys the quick ways take, typed into the program one by one."""

import pytest
from textual.geometry import Size
from textual.screen import Screen

from tests.benchmarks.keystrokes import LIMITS, ways
from tests.ui.bench import AtStage, line_of, with_parts
from tests.ui.pictures import text_of


async def test_the_quick_ways_take_no_more_keys_than_their_aims_and_each_stores_a_reading() -> None:
    found = await ways()
    assert [way.name for way in found] == list(LIMITS)
    assert [way.name for way in found if way.keys > LIMITS[way.name]] == []
    assert [way.readings for way in found] == [1, 2, 2]


async def test_a_key_lays_nothing_out_again_and_a_long_line_scrolls_with_its_cursor(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    book, _, _, build = with_parts()
    app = AtStage(book, "record", build)
    laid_out: list[Size | None] = []
    refresh_layout = Screen._refresh_layout

    def counted(screen: Screen[None], size: Size | None = None, scroll: bool = False) -> None:
        laid_out.append(size)
        refresh_layout(screen, size, scroll)

    monkeypatch.setattr(Screen, "_refresh_layout", counted)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"note one t")
        assert laid_out
        laid_out.clear()
        await pilot.press(*"hing")
        assert laid_out == []
        line_of(pilot).draft = "note " + "0123456789" * 12
        await pilot.press(*"END")
        assert "6789END" in text_of(app)
        await pilot.press("home")
        assert "note 0123" in text_of(app)
