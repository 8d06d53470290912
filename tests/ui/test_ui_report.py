"""The report on the screen: one key, what it begins with, and handing it out."""

from pathlib import Path

import pytest

from commission.record.issue import reports_of
from commission.report.flow import ReportFlow
from tests.report.page import Page
from tests.ui.bench import at_home, new_app, ready, typed
from tests.ui.pictures import text_of


async def test_one_key_leads_to_it_and_enter_hands_it_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    book, _, _, build = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f12")
        await pilot.pause()
        before = text_of(app)
        await pilot.press("enter")
        await pilot.pause()
        after = text_of(app)
    (file,) = tmp_path.iterdir()
    flow = ReportFlow(book, app.faces, build)
    (asked,) = (flow.question().prompt,)
    assert asked.proposal == f"{file.stem}.txt", "the page is there already"
    flow.answer("json")
    assert (tmp_path / f"{file.stem}.json").is_file()
    assert "Not ready to hand over. It needs: " in before
    assert "Pressure hold   open" in before
    assert "No report of this build was handed out yet." in before
    (issued,) = reports_of(book, build)
    assert file.name.endswith(f"-{issued.head}.html")
    assert f"handed out so far: {build[-4:]}-{issued.head}" in after
    assert Page(file.read_text("utf-8")).unmatched == []


async def test_a_second_one_asks_why_first_and_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    book, _, _, build = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f12")
        await pilot.pause()
        await typed(pilot, "one.txt")
        book.add_note(build, "one more")
        await pilot.press("f4")
        await pilot.press("f12")
        await pilot.pause()
        assert "Why does a new report replace" in text_of(app)
        await typed(pilot, "a note came")
        await pilot.press("f4")
        await pilot.press("f12")
        await pilot.pause()
        await typed(pilot, "two.txt")
        await typed(pilot, "two.txt")
        assert "there already; name another file" in text_of(app)
    first, second = reports_of(book, build)
    assert (second.replaces, second.why) == (first.head, "a note came")
    assert "because: a note came" in (tmp_path / "two.txt").read_text("utf-8")
    assert len(list(tmp_path.iterdir())) == 2


async def test_why_is_remembered_when_the_screen_is_left_and_esc_goes_back_to_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    book, _, _, build = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.press("f12")
        await pilot.pause()
        await typed(pilot, "one.json")
        book.add_note(build, "one more")
        await pilot.press("f4")
        await pilot.press("f12")
        await typed(pilot, "a note came")
        await pilot.press("f4")
        await pilot.press("f12")
        await pilot.pause()
        assert "Type the file for the report" in text_of(app)
        await pilot.press("escape")
        await pilot.pause()
        assert "Why does a new report replace" in text_of(app)
    assert len(reports_of(book, build)) == 1
