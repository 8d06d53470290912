"""The stages, each with a word for its state."""

import pytest
from textual import on
from textual.app import App, ComposeResult
from textual.widgets import Static

from commission.record.ladder import StageWord
from commission.ui.theme import dress
from commission.ui.widgets.bench import Bench
from commission.ui.widgets.stage_ladder import Rung, StageLadder, folded
from tests.ui.pictures import text_of

NAMES = (
    "build sheet",
    "pressure hold",
    "fill",
    "bleed",
    "first power-on",
    "fan headers",
    "thermal soak",
    "handover",
    "service",
)
ALL = tuple(Rung(key=n, name=n, state=s) for n, s in zip(NAMES, StageWord, strict=True))


class Shop(App[None]):
    """A ladder beside an empty card."""

    def __init__(self, rungs: tuple[Rung, ...] = ALL, current: str = "fill", *, plain: bool = False) -> None:
        super().__init__()
        self.rungs = rungs
        self.current = current
        dress(self, ascii_only=plain)
        self.chosen: list[str] = []

    def compose(self) -> ComposeResult:
        yield Bench(StageLadder(), Static())

    def on_mount(self) -> None:
        self.query_one(StageLadder).show(self.rungs, self.current)

    @on(StageLadder.Chosen)
    def _chosen(self, event: StageLadder.Chosen) -> None:
        self.chosen.append(event.key)


@pytest.mark.parametrize("plain", [False, True])
async def test_beside_the_card_every_stage_has_its_word(plain: bool) -> None:
    app = Shop(plain=plain)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        shown = text_of(app)
        for rung in ALL:
            assert rung.name in shown
            assert rung.state in shown
        assert ">fill" in shown
        assert shown.isascii() or not plain


async def test_in_few_rows_each_stage_takes_one_line_with_its_word() -> None:
    app = Shop()
    async with app.run_test(size=(120, 12)) as pilot:
        await pilot.pause()
        lines = text_of(app).split("\n")
        assert any("pressure hold: open" in line for line in lines)
        for rung in ALL:
            assert any(f": {rung.state}" in line for line in lines)


async def test_on_eighty_columns_it_is_one_line_that_accounts_for_every_stage() -> None:
    app = Shop()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = [line for line in text_of(app).split("\n") if line]
        assert len(lines) == 1
        assert "fill: RUNNING" in lines[0]
        assert lines[0].strip() == "2 before · fill: RUNNING · bleed: passed · first power-on: failed · 4 more"


@pytest.mark.parametrize("width", range(1, 130, 7))
@pytest.mark.parametrize("current", ["build sheet", "first power-on", "service", "no such stage"])
def test_the_folded_line_never_overflows_once_the_current_stage_fits(width: int, current: str) -> None:
    pieces = folded(ALL, current, width)
    line = " · ".join(text for text, _ in pieces)
    assert len(line) <= max(width, len(pieces[0][0]) if len(pieces) == 1 else 0)
    assert any(text.isupper() or text.split(": ")[-1].isupper() for text, _ in pieces)


async def test_a_click_chooses_a_stage_and_takes_no_key_away() -> None:
    app = Shop()
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await pilot.click(StageLadder, offset=(4, 0))
        assert app.chosen == ["build sheet"]
        assert app.focused is None


async def test_the_folded_line_can_be_clicked() -> None:
    app = Shop()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        at = text_of(app).split("\n")[0].index("fill")
        await pilot.click(StageLadder, offset=(at, 0))
        assert app.chosen == ["fill"]


async def test_a_ladder_without_stages_is_empty() -> None:
    app = Shop(rungs=())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.click(StageLadder, offset=(4, 0))
        assert app.chosen == []
        assert text_of(app).strip() == ""
