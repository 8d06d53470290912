"""What is typed is what is stored, however fast: keys that come at once do what they would do if typed slowly."""

from collections.abc import Callable

import pytest
from textual import events
from textual.app import App
from textual.pilot import Pilot

from commission.procedure.stage_ids import HOLD
from commission.record.entries import NoteAdded, OperatorNamed, Withdrawn
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.build_sheet.entries import PartAdded
from commission.ui.screens.base import BenchScreen
from commission.ui.screens.home import HomeScreen
from commission.ui.screens.record import RecordScreen
from tests.fakes import new_book
from tests.ui.bench import at_home, flow_at, line_of, new_app, one_build, typed, with_parts
from tests.ui.bench import until as wait_until
from tests.ui.pictures import text_of

NAMED = {"\r": "enter", "\x1b": "escape", "\x7f": "backspace", "\x01": "home", "\x02": "down", "\x03": "f4"}
"""Characters that stand for keys here."""


def burst(app: App[None], text: str) -> None:
    """Hand over all keys at once, as a driver does with one piece that it reads."""
    for sign in text:
        name = NAMED.get(sign)
        event = events.Key(name, None) if name else events.Key(sign if sign.isalnum() else "any", sign)
        event.set_sender(app)
        app.post_message(event)


def draft(app: App[None]) -> str:
    """The unsent text of the screen; nothing while it comes up."""
    screen = app.screen
    return screen.typed.draft if isinstance(screen, BenchScreen) and screen.ready else ""


async def until(pilot: Pilot[None], seen: Callable[[], bool]) -> None:
    """Wait until something has come about, and the app is at rest."""
    await wait_until(pilot, seen, "it did not come about")
    await pilot.pause()


async def test_two_answers_in_one_burst_are_two_answers() -> None:
    book, log, _ = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        burst(app, "Ada\rNorth tower\rpump\r")
        await until(pilot, lambda: isinstance(flow_at(app), SheetFlow) and "store pump" in text_of(app))
    assert [one.payload for one in log.entries_of_kind(OperatorNamed.KIND)] == [OperatorNamed(name="Ada")]
    assert [row.name for row in book.builds()] == ["North tower"]


async def test_lines_for_the_next_screen_reach_it_in_order() -> None:
    book, log, _, _ = one_build()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        burst(app, "\rradiator 360\rstore\rcpu block\rstore\rtube 10 mm x 1,2 m\rstore\rnext one")
        await until(pilot, lambda: draft(app) == "next one")
    kinds = [one.payload.part.kind for one in log.entries_of_kind(PartAdded.KIND) if isinstance(one.payload, PartAdded)]
    assert [str(kind) for kind in kinds] == ["radiator", "cpu block", "tube"]


async def test_enter_alone_answers_no_question_that_was_not_painted_when_it_came() -> None:
    book, log, _, build = one_build()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        burst(app, "\rradiator 360\r\rcpu block\r")
        await until(pilot, lambda: "was not on the screen when Enter came" in text_of(app))
        assert not log.entries_of_kind(PartAdded.KIND), "Enter took the usual figures that nobody had read"
        assert "1 more typed line waiting: cpu block" in text_of(app)
        line_of(pilot).rest = []
        await pilot.press("enter")
        await until(pilot, lambda: bool(log.entries_of_kind(PartAdded.KIND)))
    assert [row.build_id for row in book.builds()] == [build]


async def test_lines_behind_a_refused_line_are_kept_and_come_up_one_by_one() -> None:
    book, log, _, build = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await until(pilot, lambda: isinstance(app.screen, RecordScreen))
        burst(app, "note first\rwithdraw 99999\rnote second\rnote thi")
        await until(pilot, lambda: "2 more typed lines waiting" in text_of(app))
        assert draft(app) == "withdraw 99999"
        assert "not stored" in text_of(app)
        assert notes(log) == ["first"]
        await typed(pilot, "note instead")
        assert draft(app) == "note second"
        await pilot.press("enter")
        await pilot.pause()
        assert notes(log) == ["first", "instead", "second"]
        assert draft(app) == "note thi"


def notes(log: object) -> list[str]:
    entries = log.entries_of_kind(NoteAdded.KIND)  # type: ignore[attr-defined]
    return [one.payload.text for one in entries]


async def test_a_line_that_waits_is_never_added_to() -> None:
    book, log, _, build = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await until(pilot, lambda: isinstance(app.screen, RecordScreen) and app.screen.ready)
        app.post_message(events.Paste("withdraw 99999\nnote old\n"))
        await until(pilot, lambda: "1 more typed line waiting: note old" in text_of(app))
        await pilot.press("ctrl+u")
        assert "Ctrl+U Esc Drop what waits" in text_of(app)
        app.post_message(events.Paste("note new\nnote newer\n"))
        await until(pilot, lambda: len(line_of(pilot).rest) == 3)
        told = " ".join(text_of(app).replace("┃", " ").split())
        assert "3 more typed lines waiting: note old · note new · note newer · Enter brings one up" in told
        await pilot.press("enter")
        assert draft(app) == "note old"
        await pilot.press("n")
        assert draft(app) == "n"
        assert line_of(pilot).rest == ["n", "note old", "note new", "note newer"]
        await pilot.press("ctrl+u", "ctrl+u")
        assert "cleared: note old · note new · note newer" in text_of(app)
        assert line_of(pilot).rest == []
    assert notes(log) == []


async def test_keys_sent_a_moment_after_a_refusal_still_belong_to_their_burst(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("commission.ui.keys_in_order.BURST_S", 0.03)
    book, _, _, build = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await until(pilot, lambda: isinstance(app.screen, RecordScreen) and app.screen.ready)
        burst(app, "withdraw 99999\r")
        await until(pilot, lambda: "not stored" in text_of(app))
        line, refused = line_of(pilot), line_of(pilot).refused_at
        assert refused is not None
        for number, sign in enumerate("abc"):
            late = events.Key(sign, sign)
            late.time = refused + 0.01 * number - 0.005  # the clock of the keys, wound by hand
            app.post_message(late)
        slow = events.Key("x", "x")
        slow.time = refused + 1.0
        app.post_message(slow)
        await until(pilot, lambda: line.draft != "withdraw 99999")
        assert line.draft == "withdraw 99999x"
        assert line.rest[1:] == ["abc"]


async def test_a_reason_behind_a_number_becomes_the_reason() -> None:
    book, log, _, build = with_parts()
    seq = book.entries(build)[-1].seq
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await until(pilot, lambda: isinstance(app.screen, RecordScreen) and app.screen.ready)
        burst(app, f"{seq}\rthe wrong tube\r")
        await until(pilot, lambda: bool(log.entries_of_kind(Withdrawn.KIND)))
    (withdrawn,) = [one.payload for one in log.entries_of_kind(Withdrawn.KIND)]
    assert withdrawn == Withdrawn(target=seq, reason="the wrong tube")


async def test_keys_that_edit_run_where_they_were_typed() -> None:
    book, log, _ = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        burst(app, "daX\x7f\x01A\r")
        await until(pilot, lambda: bool(log.entries_of_kind(OperatorNamed.KIND)))
    assert book.shop().operator == "Ada"


async def test_an_arrow_before_enter_chooses_before_enter() -> None:
    book, _, _, _ = one_build("First")
    book.open_build("Second")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
        names = [row.name for row in home.flow.builds]
        burst(app, "\x02\r")
        await until(
            pilot,
            lambda: isinstance(app.screen, BenchScreen) and app.screen.ready and isinstance(flow_at(app), SheetFlow),
        )
        assert text_of(app).startswith(f" {names[1]}")


async def test_escape_takes_back_only_what_was_typed_before_it() -> None:
    book, _, _, _ = one_build()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        burst(app, "Nort\x1bSouth")
        await until(pilot, lambda: draft(app) == "South")


async def test_what_was_not_entered_waits_on_its_screen() -> None:
    book, _, _, build = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go(HOLD, build)
        await until(pilot, lambda: getattr(app.screen, "help_key", "") == HOLD)
        burst(app, "half a li\x03")
        await until(pilot, lambda: isinstance(app.screen, RecordScreen) and app.screen.ready)
        assert draft(app) == ""
        await pilot.press("f3")
        await until(pilot, lambda: draft(app) == "half a li")


async def test_pasted_lines_are_entered_one_by_one() -> None:
    book, log, _ = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.post_message(events.Paste("Ada\nNorth tower\npump\nstore\nradiator 3"))
        await until(pilot, lambda: draft(app) == "radiator 3")
        assert "understood: line 5 of 5: " in text_of(app)
    assert book.shop().operator == "Ada"
    assert [row.name for row in book.builds()] == ["North tower"]
    assert len(log.entries_of_kind(PartAdded.KIND)) == 1


async def test_keys_typed_while_the_first_picture_stands_reach_the_builds() -> None:
    book, _, _ = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        burst(app, "Ada\rNor")
        await until(pilot, lambda: isinstance(app.screen, HomeScreen) and draft(app) == "Nor")
    assert book.shop().operator == "Ada"
