"""Which build is proposed, how one is started, put away and brought back, and what among them is no name."""

import pytest

from commission.__main__ import job
from commission.base.errors import InputError, NotAllowed
from commission.bench.home import HomeFlow
from commission.bench.needs import least_time
from commission.bench.no_name import refuse_no_name
from commission.bench.prompt import Prompt
from commission.bench.taken_as import taken_as
from commission.bench.words_here import NO_WORD, _Ear, told_here, with_more
from commission.record.ladder import StageState, StageWord
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.ui.screens.home import HomeScreen
from commission.ui.widgets.build_list import BuildList
from tests.fakes import new_book
from tests.ui.bench import (
    AtStage,
    at_home,
    led,
    line_of,
    new_app,
    one_build,
    ready,
    stop_writing,
    typed,
    until,
    with_parts,
)
from tests.ui.pictures import settled, text_of

NO_NAMES = (
    "remove", "remove radiator 360", "undo", "Undo", "withdraw 12", "note all dry", "yes", "7", "500 21", "497,5",
    "497.5 mbar", "250mL", "12:30", "21.3 °C", "bar", "visit first look", "0,5 bar 21 degC", "85 %",
)  # fmt: skip
NAMES = ("North tower", "Tower 2", "2nd tower", "C64", "Old 4U server", "Undone", "remover", "A", "500 series")


@pytest.mark.parametrize("text", NO_NAMES)
def test_what_is_meant_for_an_open_build_is_no_name(text: str) -> None:
    with pytest.raises(InputError, match=r"Open (the|a) build first"):
        refuse_no_name(text)


@pytest.mark.parametrize("text", NAMES)
def test_names_may_hold_numbers_and_letters(text: str) -> None:
    refuse_no_name(text)


def test_who_asks_for_words_names_neither_a_person_nor_a_build_and_the_person_changes_among_the_builds() -> None:
    book, _, _ = new_book()
    home = HomeFlow(book, job().stages())
    for name in ("Ada", "First"):
        prompt = home.question().prompt
        for line in ("?", "help", "Help"):
            called = taken_as(prompt, line, wet_is_a_leak=False).called
            assert called is not None
            assert called.word == "?"
            with pytest.raises(InputError):
                home.answer(line)
        home.answer(name)
    home.answer("operator Grace")
    assert (book.shop().operator, [row.name for row in book.builds()]) == ("Grace", ["First"])


@pytest.mark.parametrize(("taken", "line", "asks"), [
    ("any", "?", True), ("any", "help", True), ("any", "help needed", False),
    ("?", "?", False), ("?", "help", True), ("dry", "?", True),
])  # fmt: skip
def test_a_call_for_words_is_no_answer_but_where_the_mark_is_one(taken: str, line: str, asks: bool) -> None:
    """A list of names takes any text; an amount takes the mark for not known."""

    def understand(text: str) -> str:
        if taken not in ("any", text):
            raise InputError("no")
        return text

    called = taken_as(Prompt(key="k", ask="a", understand=understand), line, wet_is_a_leak=False).called
    assert (called is not None) is asks


def three() -> Logbook:
    book, _, _ = new_book()
    book.name_operator("Ada")
    for name in ("First", "Second", "Third"):
        book.open_build(name)
    return book


def listed(home: HomeScreen) -> list[str]:
    return [row.name for row in home.flow.builds]


async def test_a_text_that_is_no_build_asks_before_it_becomes_one() -> None:
    book = three()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        for stray in ("Frist", "no", "Frist", "", "note all dry", "Fourht", "Second"):
            await typed(pilot, stray)
        assert len(app.screen_stack) == 2
        assert app.build_id == next(row.build_id for row in book.builds() if row.name == "Second")
        await pilot.press("escape")
        await pilot.pause()
        await typed(pilot, "Fourth")
        assert 'Start a new build called "Fourth"?' in text_of(app)
        await pilot.press("enter")
        assert "nothing was typed" in text_of(app)
        await pilot.press("escape")
        assert "Start a new build" not in text_of(app)
        assert len(listed(home)) == 3
        await typed(pilot, "Fourth")
        await typed(pilot, "YES")
        assert len(app.screen_stack) == 2
    assert [row.name for row in book.builds()] == ["Fourth", "Third", "Second", "First"]


@pytest.mark.parametrize("line", ["undo", "remove", "500 21", "497.5 mbar"])
async def test_a_word_or_value_among_the_builds_is_answered_and_stays_in_the_line(line: str) -> None:
    book = three()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await typed(pilot, line)
        assert line_of(pilot).draft == line
        assert "build first" in " ".join(text_of(app).split())
    assert len(book.builds()) == 3


async def test_enter_proposes_the_build_that_was_just_left() -> None:
    book = three()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert "Enter opens Third" in text_of(app)
        await typed(pilot, "first")
        await pilot.press("escape")
        await pilot.pause()
        assert "Enter opens First" in text_of(app)
        await pilot.press("enter")
        await pilot.pause()
        assert text_of(app).startswith(" First")


async def test_after_a_new_start_the_build_that_was_worked_on_last_is_proposed() -> None:
    book = three()
    book.add_note(next(row.build_id for row in book.builds() if row.name == "Second"), "pump ordered")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        assert listed(home) == ["Third", "Second", "First"]
        assert "Enter opens Second" in text_of(app)


async def test_the_build_in_which_something_runs_stands_first_and_is_proposed() -> None:
    book, _, _, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    for name in ("Second", "Third"):
        book.open_build(name)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        assert listed(home) == ["North tower", "Third", "Second"]
        assert "Enter opens North tower" in text_of(app)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert text_of(app).startswith(" Third")


async def test_a_build_is_put_away_seen_again_and_brought_back() -> None:
    book = three()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        await typed(pilot, "away")
        assert "no build was put away" in text_of(app)
        await pilot.press("escape")
        await typed(pilot, "put away")
        await typed(pilot, "put away second")
        assert listed(home) == ["First"]
        await typed(pilot, "put away Thrid")
        assert 'there is no build "Thrid"' in text_of(app)
        await pilot.press("escape")
        await typed(pilot, "Third")
        assert listed(home) == ["Third", "First"]
        await typed(pilot, "away")
        assert listed(home) == ["Second"]
        await pilot.click(BuildList, offset=(3, 1))
        assert len(app.screen_stack) == 1
        await pilot.press("enter")
        await pilot.pause()
        assert listed(home) == ["Third", "Second", "First"]
        await typed(pilot, "put away second")
        await typed(pilot, "away")
        await pilot.press("escape")
        assert listed(home) == ["Third", "First"]
    assert len(book.builds()) == 3
    assert book.find_build("Second") in book.away()


async def test_what_runs_is_told_and_listed_though_its_build_was_put_away() -> None:
    book, _, _, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    book.put_away(build)
    book.open_build("Second")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        assert "running now: North tower, hold" in text_of(app)
        assert listed(home) == ["North tower", "Second"]
        await pilot.press("enter")
        await pilot.pause()
        assert app.build_id == build


def test_putting_away_twice_and_bringing_back_what_is_there_are_refused() -> None:
    book = three()
    build = book.find_build("Second")
    with pytest.raises(NotAllowed, match="was not put away"):
        book.bring_back(build)
    put = book.put_away(build)
    with pytest.raises(NotAllowed, match="put away already"):
        book.put_away(build)
    book.withdraw(put.seq, "the wrong one")
    assert book.away() == frozenset()
    assert not book.build(build).put_away


async def test_the_name_of_a_person_is_asked_for_before_that_of_a_build() -> None:
    book, _, _ = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "Who works at this bench?" in text_of(app), "nobody was asked for")
        assert "type its name below" not in text_of(app)
        await typed(pilot, "Ada")
        assert "No build yet: type its name below." in text_of(app)


def test_the_one_build_that_a_typed_name_begins_or_nearly_is_is_offered_before_a_new_one() -> None:
    book = three()
    flow = HomeFlow(book, job().stages())
    flow.answer("Fi")
    assert flow.question().prompt.ask == 'There is no build "Fi". Did you mean "First"?'
    flow.answer("yes")
    assert book.build(flow.chosen).name == "First"
    flow.answer("Secnd")
    assert flow.question().prompt.ask == 'There is no build "Secnd". Did you mean "Second"?'
    flow.answer("new")
    assert book.build(flow.chosen).name == "Secnd"
    flow.answer("Sec")
    assert flow.question().prompt.ask == 'There is no build "Sec". Start a new build called "Sec"?', "two begin so"


def test_the_list_tells_beforehand_how_long_the_next_stage_takes_at_least() -> None:
    book, faces = three(), job().stages()
    state = book.build(book.builds()[0].build_id)
    procedure = book.procedure(state)

    def told(stage: str, word: StageWord) -> str:
        return least_time(book, faces, state, StageState(stage=procedure.stage(stage), word=word, why=""))

    assert told("bleed", StageWord.OPEN) == "2 h at least"  # the procedure: span_s = 7200
    assert told("first_power", StageWord.STALE) == "30 min at least"  # the procedure: wet_watch_s = 1800
    assert told("bleed", StageWord.RUNNING) == told("fill", StageWord.OPEN) == ""


def test_the_name_of_a_list_of_the_workshop_becomes_no_build() -> None:
    book, _, _, _ = one_build()
    flow = HomeFlow(book, job().stages())
    with pytest.raises(InputError, match='"instruments" is no build: F5 opens that list'):
        flow.answer("instruments")


async def test_a_window_that_only_shows_offers_nothing_to_enter() -> None:
    book, log, _, build = ready()
    stop_writing(log, "another window writes (process 12)")
    app = AtStage(book, "pressure_hold", build)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "This window only shows what is recorded" in await settled(pilot)
        await pilot.press("enter")
        assert "not stored: nothing was typed" in text_of(app)
    home = HomeFlow(book, job().stages())
    prompt = home.now()
    assert prompt is not None
    assert prompt.ask == "Choose a build to look at: this window only shows."


def test_the_words_that_are_listed_among_the_builds_are_all_that_is_looked_for_there() -> None:
    book, _, _, _ = one_build()
    home = HomeFlow(book, job().stages())
    prompt = home.question().prompt
    heard: dict[str, str] = {}
    before, _Ear.heard = _Ear.heard, heard
    try:
        prompt.understand(NO_WORD)
    finally:
        _Ear.heard = before
    listed = {word for line in told_here(prompt) for word in line.partition(":")[0].replace(",", "").split()}
    assert set(heard) <= listed
    assert {"operator", "quick", "units", "leak"} <= listed
    assert "? more" in with_more(prompt).hint  # type: ignore[union-attr]


def test_a_build_is_started_like_another_from_the_list() -> None:
    book, _, _, build = with_parts()
    home = HomeFlow(book, job().stages())
    first = book.build(build).name
    with pytest.raises(InputError, match=f"type the name of the new build first: NEW like {first}"):
        home.answer(f"like {first}")
    assert home.answer(f"Second  Tower like {first.upper()}").startswith(f"like {first}: ")
    new = book.find_build("Second Tower")
    assert (home.chosen, new != build) == (new, True)
    assert [part.name for part in book.build(new).parts] == [part.name for part in book.build(build).parts] != []
    home.answer("Tower like no other")  # names no build: a name like any other, and asked first
    assert [row.name for row in book.builds()].count("Tower like no other") == 0


def test_a_line_like_another_build_that_is_refused_opens_none_and_a_name_stays_as_it_was_typed() -> None:
    book, _, _, build = with_parts()
    empty, first = book.build(book.open_build("Bare bench")).name, book.build(build).name
    home, before = HomeFlow(book, job().stages()), book.head()
    with pytest.raises(NotAllowed, match="has nothing that can be copied"):
        home.answer(f"Grey Owl like {empty}")
    with pytest.raises(InputError, match='"instruments" is no build'):
        home.answer(f"instruments like {first}")
    assert book.head() == before
    home.answer(f"Große  Straße like {first}")  # casefolded it has two letters more
    assert book.build(home.chosen).name == "Große Straße"
