"""Texts from people and files do no harm in any widget."""

from collections.abc import Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual import events
from textual.app import App, ComposeResult

from commission.base.errors import InputError
from commission.bench.card import CardContent, CautionLine, CautionMark, Figure, VerdictLine
from commission.bench.clock_times import ClockTimes
from commission.bench.entry_row import EntryRow
from commission.bench.prompt import Prompt
from commission.record.ladder import StageWord
from commission.stages.pressure_hold.plot.curve import CurveAxes, HoldCurve
from commission.ui.theme import dress
from commission.ui.widgets.bench import Bench
from commission.ui.widgets.bench_card import BenchCard
from commission.ui.widgets.build_list import BuildList, BuildRow
from commission.ui.widgets.entry_table import EntryTable
from commission.ui.widgets.hold_clock import HoldClock
from commission.ui.widgets.row_list import Rows
from commission.ui.widgets.stage_ladder import Rung, StageLadder
from commission.ui.widgets.typed_line import TypedLine
from commission.ui.widgets.words import safe
from tests.stages.pressure_hold.screen.pictures_of_holds import hold, noisy
from tests.ui.hostile import HOSTILE, harm_in, hostile_text
from tests.ui.pictures import settled, text_of

SHORT = [text for text in HOSTILE if text.strip() and len(text) <= 40]


class Everything(App[None]):
    """Every widget of the house at once. (What is typed stays as it is typed, also on an ASCII terminal.)"""

    CSS = "BuildList, EntryTable { height: 4; }"

    def __init__(self, texts: Sequence[str], *, plain: bool = False) -> None:
        super().__init__()
        self.three = (*texts, *texts, *texts)[:3]
        dress(self, ascii_only=plain)

    def compose(self) -> ComposeResult:
        yield Bench(StageLadder(), BenchCard(plot=HoldCurve(), clock=HoldClock()))
        yield BuildList()
        yield EntryTable()

    def on_mount(self) -> None:
        a, b, c = self.three

        def understand(text: str) -> str:
            if text.startswith("!"):
                raise InputError(b)
            return c

        prompt = Prompt(key="k", ask=a, hint=b, initial=c, placeholder=a, understand=understand)
        marks = zip([a, b, c], CautionMark, strict=True)
        self.query_one(BenchCard).show(
            CardContent(
                proves=a,
                rests_on=b,
                cautions=tuple(CautionLine(text=text, mark=mark) for text, mark in marks),
                cautions_open=True,
                step=c,
                prompt=prompt,
                figures=(Figure(label=a, value=b, bounds=c, remark=a), Figure(label="volume", value="1 L", remark=b)),
                verdict=VerdictLine(word=b, text=c),
                missing=a,
                notices=(b, c),
                plot=True,
                clock=True,
            )
        )
        self.query_one(HoldClock).read(a, remark=b)
        self.query_one(HoldClock).tick(ClockTimes(elapsed_s=1.0))
        axes = CurveAxes(time_text=lambda s: f"{a}{s:g}", pressure_text=lambda pa: f"{pa:g}{b}", unit=c)
        self.query_one(HoldCurve).show(hold(noisy(19)), axes=axes)
        self.query_one(StageLadder).show([Rung(key="k", name=a, state=StageWord.OPEN)], "k")
        self.query_one(BuildList).show_rows([BuildRow(key="k", name=a, state=b, needs=c, last=a)], empty=b)
        row = EntryRow(seq=1, when=a, who=b, kind=c, what=a, withdrawn=True)
        self.query_one(EntryTable).show(Rows((row,)))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(hostile_text, min_size=3, max_size=3), st.booleans())
async def test_no_text_harms_any_widget(texts: list[str], plain: bool) -> None:
    app = Everything(texts, plain=plain)
    async with app.run_test(size=(130, 60)) as pilot:
        await pilot.pause()
        assert harm_in(app) == []
        assert app.return_code is None
        app.query_one(TypedLine).focus()
        app.query_one(TypedLine).post_message(events.Paste("!" + texts[0]))
        await pilot.press("enter")
        await pilot.pause()
        assert harm_in(app) == []
        shown = [line for line in text_of(app).split("\n") if "[Enter]" not in line]
        assert not plain or "\n".join(shown).isascii()


@pytest.mark.parametrize("at", range(0, len(SHORT), 3))
async def test_each_kind_of_hostile_text_is_shown_as_the_text_it_is(at: int) -> None:
    app = Everything(SHORT[at : at + 3])
    async with app.run_test(size=(130, 60)) as pilot:
        shown = await settled(pilot)
        for text in SHORT[at : at + 3]:
            assert safe(text) in shown, repr(text)


async def test_the_check_itself_notices_harm() -> None:
    from textual.content import Content
    from textual.widgets import Static

    class Careless(App[None]):
        def compose(self) -> ComposeResult:
            yield Static(Content("a\x1b[2J"))
            yield Static("[@click=app.quit]press me[/]")

    app = Careless()
    async with app.run_test(size=(40, 5)) as pilot:
        await pilot.pause()
        assert len(harm_in(app)) >= 2
