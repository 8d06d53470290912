"""The one line in which everything is typed."""

import pytest
from textual import events, on
from textual.app import ComposeResult

from commission.base.errors import InputError
from commission.bench.ask import one_word
from commission.bench.prompt import Prompt
from commission.ui.keys_in_order import MOST_LINES, KeysInOrder
from commission.ui.widgets.do_now import DoNowLine
from commission.ui.widgets.typed_line import LONGEST, TypedLine
from tests.ui.pictures import text_of


def gauge(text: str) -> str:
    """Understand numbers only."""
    try:
        return f"gauge {float(text.replace(',', '.')):g} mbar"
    except ValueError:
        raise InputError(f'"{text[:20]}" is no number; type the gauge such as 497,5') from None


READING = Prompt(key="reading", ask="Read the gauge.", hint="in mbar", understand=gauge)


class Bench(KeysInOrder):
    """A line and a memory of what it posted."""

    def __init__(self, prompt: Prompt = READING, *, answer: str = "accept") -> None:
        super().__init__()
        self.first = prompt
        self.answer = answer
        self.entered: list[tuple[str, str]] = []
        self.called: list[str] = []
        self.bells = 0

    def compose(self) -> ComposeResult:
        yield DoNowLine()

    @property
    def line(self) -> DoNowLine:
        return self.query_one(DoNowLine)

    def on_mount(self) -> None:
        self.line.ask(self.first)
        self.line.focus()

    def bell(self) -> None:
        self.bells += 1

    @on(DoNowLine.Entered)
    def _entered(self, event: DoNowLine.Entered) -> None:
        self.entered.append((event.text, event.understood))
        if self.answer == "accept":
            event.line.accepted(f"number {len(self.entered)}")
        elif self.answer == "refuse":
            event.line.refuse("the disk is full")

    @on(DoNowLine.WentWrong)
    def _called(self, event: DoNowLine.WentWrong) -> None:
        self.called.append(event.word)
        event.line.go_on()


async def test_what_is_typed_is_shown_as_understood_before_enter() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"497,5")
        assert "understood: gauge 497.5 mbar" in text_of(app)
        assert app.entered == []


async def test_enter_posts_what_was_typed_and_empties_the_line() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"497,5", "enter")
        assert app.entered == [("497,5", "gauge 497.5 mbar")]
        assert app.line.draft == ""
        assert "stored: number 1" in text_of(app)


async def test_what_is_not_understood_stays_and_is_not_posted() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"4x")
        assert 'not yet: "4x" is no number' in text_of(app)
        await pilot.press("enter")
        assert app.entered == []
        assert app.line.draft == "4x"
        assert 'not stored: "4x" is no number' in text_of(app)
        assert app.bells == 0


async def test_what_could_not_be_stored_comes_back_with_the_reason() -> None:
    app = Bench(answer="refuse")
    async with app.run_test() as pilot:
        await pilot.press(*"497", "enter")
        await pilot.pause()
        assert app.line.draft == "497"
        assert "not stored: the disk is full" in text_of(app)


async def test_two_quick_enters_store_one_reading() -> None:
    app = Bench(answer="nothing")
    async with app.run_test() as pilot:
        await pilot.press(*"497", "enter", "enter")
        assert len(app.entered) == 1


async def test_text_typed_ahead_waits_for_the_answer_and_is_then_entered() -> None:
    app = Bench(answer="nothing")
    async with app.run_test() as pilot:
        await pilot.press(*"497", "enter", *"496", "enter")
        assert [text for text, _ in app.entered] == ["497"]
        app.line.accepted("number 1")
        await pilot.pause()
        assert [text for text, _ in app.entered] == ["497", "496"]


async def test_text_typed_ahead_is_judged_by_the_next_prompt() -> None:
    app = Bench(answer="nothing")
    async with app.run_test() as pilot:
        await pilot.press(*"497", "enter", *"yes", "enter")
        app.line.ask(Prompt(key="next", ask="Is the source shut off?"))
        await pilot.pause()
        assert app.entered[-1] == ("yes", "yes")


async def test_enter_on_the_empty_line_takes_the_proposal() -> None:
    app = Bench(Prompt(key="target", ask="Which test pressure?", proposal="500", understand=gauge))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert "Enter takes: gauge 500 mbar" in text_of(app)
        await pilot.press("enter")
        assert app.entered == [("500", "gauge 500 mbar")]


async def test_enter_on_the_empty_line_without_a_proposal_posts_nothing() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press("enter", "space", "enter")
        assert app.entered == []
        assert "nothing was typed" in text_of(app)


async def test_what_is_typed_stays_whatever_is_asked_meanwhile() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"49")
        app.line.ask(Prompt(key="reading", ask="Read the gauge once more.", understand=gauge))
        await pilot.pause()
        assert app.line.draft == "49"
        assert "once more" in text_of(app)
        app.line.ask(Prompt(key="other", ask="Name the build.", initial="Heron"))
        await pilot.pause()
        assert app.line.draft == "49"
        assert "understood: 49" in text_of(app)


async def test_another_question_puts_its_own_text_only_where_nothing_was_typed() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        app.line.ask(Prompt(key="name", ask="Name the build.", initial="Heron"))
        await pilot.pause()
        assert app.line.draft == "Heron"
        app.line.ask(READING)
        await pilot.pause()
        assert app.line.draft == ""


async def test_a_refusal_stays_while_the_card_is_refreshed() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"4x", "enter")
        app.line.ask(Prompt(key="reading", ask="Read the gauge.", understand=lambda text: gauge(f"{text}")))
        await pilot.pause()
        assert "not stored:" in text_of(app)


async def test_drafts_can_be_read_and_put_back() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        app.line.draft = "497,5"
        await pilot.pause()
        assert app.line.draft == "497,5"
        assert "understood: gauge 497.5 mbar" in text_of(app)


async def test_a_decimal_comma_is_a_key_like_any_other() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press("1", "2", ",", "5")
        assert app.line.draft == "12,5"


async def test_a_megabyte_from_the_clipboard_is_cut_with_a_word() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        app.post_message(events.Paste("7" * 1_000_000))
        await pilot.pause()
        assert len(app.line.draft) == LONGEST
        assert "the rest was left out" in text_of(app)
        assert app.bells == 0
        await pilot.press("8")
        assert len(app.line.draft) == LONGEST


async def test_several_pasted_lines_are_entered_one_by_one_and_each_is_counted() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        app.post_message(events.Paste("\n497\n\n498\n499"))
        await pilot.pause()
        assert [text for text, _ in app.entered] == ["497", "498"]
        assert app.line.draft == "499"
        assert "understood: line 3 of 3: gauge 499 mbar" in text_of(app)
        await pilot.press("enter")
        assert app.entered[-1] == ("499", "gauge 499 mbar")


async def test_pasted_lines_stop_at_the_first_that_is_refused_and_the_rest_can_be_read() -> None:
    app = Bench()
    async with app.run_test(size=(130, 24)) as pilot:
        app.post_message(events.Paste("497\n\x1b[2J498\n499\n500\n"))
        await pilot.pause()
        assert [text for text, _ in app.entered] == ["497"]
        assert app.line.draft == "\\u001b[2J498"
        assert app.line.input.cursor_position == len(app.line.draft)
        assert "not stored: line 2 of 4:" in text_of(app)
        assert "2 more typed lines waiting: 499 · 500" in text_of(app)
        app.line.draft = "498"
        await pilot.press("enter", "enter", "enter")
        assert [text for text, _ in app.entered] == ["497", "498", "499", "500"]


async def test_a_pasted_line_that_was_cleared_is_not_told_of_the_next_answer() -> None:
    app = Bench()
    async with app.run_test(size=(130, 24)) as pilot:
        app.post_message(events.Paste("497\n\x1b[2J498\n"))
        await pilot.pause()
        assert "not stored: line 2 of 2:" in text_of(app)
        app.line.clear_line()
        await pilot.press("enter")
        assert "nothing was typed" in text_of(app)
        assert "line 2 of 2" not in text_of(app)


async def test_one_pasted_line_is_not_entered_by_itself() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"49")
        app.post_message(events.Paste("7,5\r\n"))
        await pilot.pause()
        assert app.line.draft == "497,5"
        assert app.entered == []


async def test_of_a_whole_document_nothing_is_entered() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        app.post_message(events.Paste("497\n" * (MOST_LINES + 1)))
        await pilot.pause()
        assert app.entered == []
        assert app.line.draft == ""
        assert "201 lines were pasted, 200 are the most: none was taken" in text_of(app)


async def test_ctrl_u_empties_the_line_from_wherever_the_cursor_is() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"4x7", "enter", "left", "ctrl+u", *"497", "enter")
        assert [text for text, _ in app.entered] == ["497"]


async def test_two_clicks_and_dragging_select_nothing_that_the_next_key_would_replace() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"497")
        await pilot.click(TypedLine, offset=(30, 0), times=2)
        await pilot.press("comma")
        await pilot.mouse_down(TypedLine, offset=(0, 0))
        await pilot.hover(TypedLine, offset=(3, 0))
        await pilot.mouse_up(TypedLine, offset=(3, 0))
        await pilot.press("end", "5")
        assert app.line.draft == "497,5"


async def test_the_mouse_can_do_what_enter_does() -> None:
    app = Bench()
    async with app.run_test() as pilot:
        await pilot.press(*"497")
        await pilot.click(".do-now--enter")
        assert app.entered == [("497", "gauge 497 mbar")]


@pytest.mark.parametrize("rows", range(1, 9))
async def test_in_few_rows_the_input_line_is_the_last_to_go(rows: int) -> None:
    app = Bench(Prompt(key="long", ask="Read the gauge. " * 6, hint="An example. " * 6, understand=gauge))
    async with app.run_test(size=(40, 12)) as pilot:
        app.line.give_rows(rows, 40)
        await pilot.press(*"497")
        await pilot.pause()
        lines = text_of(app).rstrip("\n").split("\n")
        assert any(line.startswith("> 497") for line in lines)
        assert len([line for line in lines if line]) <= rows


async def test_enter_on_the_empty_line_answers_nothing_while_lines_wait() -> None:
    app = Bench(Prompt(key="reading", ask="Read the gauge.", proposal="0", understand=gauge))
    async with app.run_test(size=(130, 24)) as pilot:
        app.post_message(events.Paste("4x\n499\n500\n"))
        await pilot.pause()
        await pilot.press("ctrl+u", "enter")
        assert app.entered == []
        assert app.line.draft == "499"
        assert "this was typed before; Enter takes it now" in text_of(app)
        await pilot.press("enter", "enter")
        assert [text for text, _ in app.entered] == ["499", "500"]


OUT = Prompt(key="caution", ask="Pull the plug.", understand=one_word("out"))
NOTE = Prompt(key="why", ask="Why is it wrong?")


@pytest.mark.parametrize(
    ("prompt", "refused", "then", "only"),
    [(READING, "4oo", "397", "397"), (OUT, "yes", "out", "out"), (NOTE, "second window", "note two", "note two")],
)
async def test_what_is_typed_behind_a_refused_line_is_asked_about_alone_and_never_stored_with_it(
    prompt: Prompt, refused: str, then: str, only: str
) -> None:
    app = Bench(prompt, answer="refuse")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*refused, "enter")
        assert "not stored: " in text_of(app)
        entered = len(app.entered)
        app.answer = "accept"
        await pilot.press(*then)
        assert (app.line.draft, app.line.refused) == (refused + then, True)
        assert f"Enter asks: only {only}?" in text_of(app)
        await pilot.press("enter")
        assert len(app.entered) == entered
        assert app.line.draft == only
        assert " ".join(text_of(app).split()).endswith("Enter takes it; Esc: back to the whole line")
        assert app.line.rest == [refused + then], "closed now, the window keeps the whole line"
        assert app.line.step_back()
        assert (app.line.draft, app.line.refused) == (refused + then, False), "it is an ordinary line from now on"
        app.line.clear_line()
        app.answer = "refuse"
        await pilot.press(*refused, "enter")
        entered, app.answer = len(app.entered), "accept"
        await pilot.press(*then, "enter", "enter")
        assert app.entered[entered:] == [(only, prompt.understand(only))]


async def test_who_goes_on_with_a_refused_line_or_edits_it_is_not_asked() -> None:
    def two(text: str) -> str:
        if len(text.split()) != 2:
            raise InputError("gauge and air, please")
        return text

    app = Bench(Prompt(key="reading", ask="Read.", understand=two))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"400", "enter", *" 21.4", "enter")
        await pilot.press(*"4oo", "enter", "backspace", "backspace", *"00 21.4", "enter")
        assert [text for text, _ in app.entered] == ["400 21.4", "400 21.4"]
        await pilot.press(*"400", "enter", *"39O", "enter", "backspace", *"0 21.5")
        assert "Enter asks: only 390 21.5?" in text_of(app), "it was refused twice, and the second part was mended"
        await pilot.press("enter", "enter")
        assert app.entered[-1][0] == "390 21.5"


async def test_a_danger_word_behind_a_refused_line_opens_its_card_and_the_line_stays() -> None:
    app = Bench(READING)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"4oo", "enter", *"leak", "enter")
        assert (app.called, app.line.draft, app.line.refused) == (["leak"], "4oo", True)


async def test_lines_behind_a_line_that_was_cleared_are_offered_to_no_other_question() -> None:
    app = Bench()
    async with app.run_test(size=(100, 24)) as pilot:
        app.post_message(events.Paste("4x\n499\n"))
        await pilot.pause()
        await pilot.press("ctrl+u")
        assert "1 more typed line waiting: 499 · Enter brings one up, Ctrl+U drops it" in text_of(app)
        await pilot.press(*"497", "enter")
        assert app.line.draft == ""
        app.line.ask(Prompt(key="really end", ask="End?", proposal="end"))
        await pilot.pause()
        assert "1 more typed line waiting: 499 · Ctrl+U drops it" in text_of(app)
        await pilot.press("enter")
        assert [text for text, _ in app.entered] == ["497", "end"]
        await pilot.press("escape")
        app.line.step_back()
        assert app.line.rest == []


async def test_a_line_that_waits_goes_back_where_the_next_question_cannot_take_it() -> None:
    app = Bench()
    async with app.run_test(size=(100, 24)) as pilot:
        app.post_message(events.Paste("4x\n499\n"))
        await pilot.pause()
        app.line.draft = "497"
        await pilot.press("enter")
        assert app.line.draft == "499"
        app.line.ask(Prompt(key="really end", ask="End?", proposal="end", understand=one_word("end")))
        assert (app.line.draft, app.line.rest) == ("", ["499"])


async def test_enter_where_nothing_is_asked_says_so() -> None:
    app = Bench()
    async with app.run_test(size=(80, 24)) as pilot:
        app.line.ask(None)
        await pilot.press("enter")
        assert "not stored: nothing is asked here now" in text_of(app)


async def test_an_example_that_is_longer_than_the_line_ends_at_a_whole_word() -> None:
    """Half an amount is another amount: 60 columns leave 48 for the text."""
    example = "497.5 mbar 21.3 degC 1013 hPa 12.5 mm tilted left 1200 rpm"
    app = Bench(Prompt(key="reading", ask="Read it.", placeholder=example))
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.pause()
        shown = app.line.query_one(TypedLine).placeholder
        assert shown == "type, such as: 497.5 mbar 21.3 degC 1013 hPa …"
