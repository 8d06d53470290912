"""The verdict as it is seen from afar, warnings and remarks."""

import pytest

from commission.base.frozen import replace
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.ui.widgets.big_word import ROWS, big_word
from commission.ui.widgets.result import folded_remarks, result_in, result_lines, verdict_lines, warning_lines
from tests.ui.cards import failed
from tests.ui.pictures import settled, text_of
from tests.ui.test_ui_widgets_card import Shop

FINAL = ("pass", "fail", "inconclusive", "invalid", "stale")
NARROW = 62
"""Cells of a band in a terminal of 100 columns, with the ladder beside it: the narrowest of the usual ones."""


@pytest.mark.parametrize("word", FINAL)
def test_each_verdict_fits_in_large_letters_beside_the_narrowest_ladder(word: str) -> None:
    drawn = big_word(word, NARROW)
    assert len(drawn) == ROWS
    assert {len(line) for line in drawn} == {len(drawn[0])}
    assert len(drawn[0]) <= NARROW


def test_no_two_letters_look_the_same() -> None:
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    assert len({big_word(letter, 20) for letter in letters}) == len(letters)


def test_what_cannot_be_drawn_or_has_no_room_is_left_to_the_word_in_its_box() -> None:
    assert big_word("naïve", 60) == ()
    assert big_word("inconclusive", 20) == ()
    assert len(verdict_lines(VerdictLine(word="pass", text="It is tight.", final=True), 10, big=True)) >= 1


@pytest.mark.parametrize("word", FINAL)
def test_the_word_stands_reversed_and_in_letters_too(word: str) -> None:
    lines = verdict_lines(VerdictLine(word=word, text="Because.", final=True), NARROW, big=True)
    boxed = lines[ROWS]
    assert boxed.plain == f" {word.upper()}  Because."
    assert any(
        "reverse" in str(span.style) and boxed.plain[span.start : span.end] == f" {word.upper()} "
        for span in boxed.spans
    )


def test_in_ascii_and_in_a_low_card_the_word_stands_in_its_box_alone() -> None:
    verdict = VerdictLine(word="fail", text="It leaks.", final=True)
    assert [line.plain for line in verdict_lines(verdict, NARROW, big=True, plain=True)] == [" FAIL  It leaks."]
    assert [line.plain for line in verdict_lines(verdict, NARROW, big=False)] == [" FAIL  It leaks."]


def test_what_still_runs_is_on_its_course_and_never_large() -> None:
    for word, said in (("pass", "ON COURSE TO PASS"), ("fail", "ON COURSE TO FAIL"), ("inconclusive", "RUNNING")):
        lines = verdict_lines(VerdictLine(word=word, text="So far."), NARROW, big=True)
        assert [line.plain for line in lines] == [f" {said}  So far."]


def test_the_goal_stands_there_until_there_is_a_verdict() -> None:
    card = CardContent(proves="The loop is tight.", rests_on="the parts list")
    assert [line.plain for line in result_lines(card, NARROW, big=True)] == [
        "Goal: the loop is tight.",
        "not passed: the parts list",
    ]
    judged = replace(card, verdict=VerdictLine(word="pass", text="It is.", final=True))
    assert all("not passed" not in line.plain for line in result_lines(judged, NARROW, big=True))


def test_what_was_assumed_is_said_beside_the_verdict_in_three_rows_at_most() -> None:
    card = replace(failed(), assumed="Assumed: " + "a gauge; " * 40)
    lines = [line.plain for line in result_lines(card, NARROW, big=False)]
    assert [line for line in lines if line.startswith("Assumed")]
    assert len(lines) == len(result_lines(failed(), NARROW, big=False)) + 3


@pytest.mark.parametrize("rows", [2, 3])
def test_in_few_rows_what_was_assumed_comes_before_the_goal_and_behind_the_verdict(rows: int) -> None:
    card = CardContent(proves="The loop is tight, and how sure. " * 5, assumed="Assumed: " + "a gauge; " * 40)
    before = [line.plain for line in result_in(card, NARROW, rows, big=False)]
    assert (before[0].partition(":")[0], before[-1][-1], len(before)) == ("Assumed", "…", rows)
    judged = [line.plain for line in result_in(replace(failed(), assumed=card.assumed), NARROW, rows, big=False)]
    assert ("FAIL" in judged[0], len(judged)) == (True, rows)
    assert any(line.startswith("Assumed") for line in judged)


def test_a_warning_has_a_mark_and_a_word_and_a_remark_has_none() -> None:
    lines = warning_lines(["The gauge is coarse.", "Warning: it may burst.", "DEFECT: a drip."], NARROW)
    assert [line.plain for line in lines] == [
        " !  WARNING: The gauge is coarse.",
        " !  WARNING: it may burst.",
        " !  DEFECT: a drip.",
    ]
    assert all(any("reverse" in str(span.style) for span in line.spans) for line in lines)


def test_two_remarks_are_shown_and_the_rest_waits() -> None:
    card = CardContent(proves="", remarks=("one", "two"), reasons=("three", "four"), listed=("asked for",))
    assert folded_remarks(card, 0, 2, unfolded=False) == (
        ("asked for", "one", "two"),
        "2 more: press Tab or type details",
    )
    shown, _ = folded_remarks(card, 0, 2, unfolded=True)
    assert shown == ("asked for", "one", "two", "three", "four")
    figures = replace(card, reasons=(), figures=tuple(Figure(label=str(n), value="1") for n in range(5)))
    assert folded_remarks(figures, 3, 2, unfolded=False)[1] == "2 more: press Tab or type details"


async def test_the_plot_gives_way_to_all_remarks_and_comes_back() -> None:
    card = replace(failed(), reasons=tuple(f"Reason number {n}." for n in range(5)))
    app = Shop(card)
    async with app.run_test(size=(80, 23)) as pilot:
        assert "fitted decay" in await settled(pilot)
        assert "Reason number 4." not in text_of(app)
        app.card.unfold()
        shown = await settled(pilot)
        assert "Reason number 4." in shown
        assert "fitted decay" not in shown
        app.card.unfold()
        assert "fitted decay" in await settled(pilot)
