"""What is typed and no entry yet outlives a look at another screen, and the end of the program."""

import os
import stat
from pathlib import Path

import pytest

from commission.__main__ import job
from commission.base.errors import NotAllowed
from commission.bench.trail import Trail
from commission.bench.unsent import MOST, Answer, Unsent, read_unsent, unsent_text
from commission.record.entries import Withdrawn
from commission.record.logbook import Logbook
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.build_sheet.entries import PartAdded
from commission.storage.unsent import LARGEST, UnsentFile
from commission.ui.app import CommissionApp
from tests.answers import POWER
from tests.stages.fill.screen.coolant_bench import held
from tests.stages.first_power.screen.power_bench import filled
from tests.ui.bench import at_home, line_of, look_round, one_build, stop_writing, typed, with_parts
from tests.ui.pictures import text_of

FORMS = {
    "part": ("build_sheet", with_parts, ("radiator 240", "volume 300 mL"), "3"),
    "gauge": ("instruments", one_build, ("new", "1"), "step 0"),
    "plan": ("pressure_hold", with_parts, ("1.2 L ± 5 %", "1"), "step 0."),
    "bottle": ("bottles", held, ("new", "propylene", "30 % by mass"), "2"),
    "supply": ("first_power", filled, (*POWER, "Larkspur 850 ATX2"), "no"),
}
"""Half-filled forms: where, how it comes about, what was answered, and what stands half typed in the line."""


class Memory:
    """Keeps a text, and how often it was told to."""

    def __init__(self, text: str = "") -> None:
        self.text = text
        self.saves = 0

    def load(self) -> str:
        return self.text

    def save(self, text: str) -> None:
        self.text, self.saves = text, self.saves + 1


def app_of(book: Logbook, beside: Memory | UnsentFile) -> CommissionApp:
    return CommissionApp(lambda: book, job=job(), warm=lambda _: None, beside=beside)


def asked(shown: str) -> str:
    """What stands on the screen from the title to the line beneath the input, which says where the text comes from."""
    return shown.split("[Enter]", maxsplit=1)[0]


@pytest.mark.parametrize("form", FORMS)
async def test_a_half_filled_form_outlives_another_screen_and_the_end_of_the_program(form: str) -> None:
    name, make, answers, half = FORMS[form]
    book, log, _, build = make()
    memory = Memory()
    app = app_of(book, memory)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go(name, build)
        await pilot.pause()
        for line in answers:
            await typed(pilot, line)
        await pilot.press(*half)
        stored, before = len(log.entries()), asked(text_of(app))
        for key in ("f4", "escape"):
            await pilot.press(key)
            await pilot.pause()
        app.go(name, build)
        await pilot.pause()
        assert line_of(pilot).draft == half
        assert asked(text_of(app)) == before
        assert "kept: " in text_of(app)
        await pilot.press("ctrl+q")
    assert f'["{half}"]' in memory.text
    again = app_of(book, memory)
    async with again.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        again.go(name, build)
        await pilot.pause()
        assert line_of(pilot).draft == half
        assert asked(text_of(again)) == before
        assert len(log.entries()) == stored
        await pilot.press("escape", "escape")
        assert asked(text_of(again)) != before
        await pilot.press("ctrl+q")
    assert f'["{half}"]' not in memory.text


async def test_what_was_stored_is_not_gone_again() -> None:
    book, log, _, build = with_parts()
    memory = Memory()
    app = app_of(book, memory)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("build_sheet", build)
        await pilot.pause()
        before = len(log.entries_of_kind(PartAdded.KIND))
        await typed(pilot, "radiator 240")
        await pilot.press("enter")
        await pilot.pause()
        assert len(log.entries_of_kind(PartAdded.KIND)) == before + 1
        await pilot.press("ctrl+q")
    assert memory.text == ""


async def test_a_line_at_home_and_lines_that_wait_come_back() -> None:
    book, _, _, build = one_build()
    memory = Memory()
    app = app_of(book, memory)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await pilot.pause()
        app.screen.typed.rest = ["note one", "note two"]  # type: ignore[attr-defined]
        await pilot.press("f5")
        await pilot.pause()
        app.go_out()
        await pilot.pause()
        await pilot.press(*"South")
        app._poll()
        assert "South" in memory.text
        saves = memory.saves
        app._poll()
        assert memory.saves == saves
    again = app_of(book, memory)
    async with again.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert line_of(pilot).draft == "South"
        assert "kept: this was typed before" in text_of(again)
        again.go("record", build)
        await pilot.pause()
        assert line_of(pilot).rest == ["note one", "note two"]


async def test_a_refused_line_comes_back_as_refused_and_the_next_figure_is_not_added_to_it() -> None:
    book, _, _, build = with_parts()
    seq = book.entries(build)[-1].seq
    memory = Memory()
    app = app_of(book, memory)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await pilot.pause()
        await pilot.press(*"9999", "enter", *"9", "ctrl+q")
    again = app_of(book, memory)
    async with again.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        again.go("record", build)
        await pilot.pause()
        assert line_of(pilot).refused
        await pilot.press("backspace")
        assert (line_of(pilot).draft, line_of(pilot).refused) == ("9999", True)
        await pilot.press(*str(seq), "enter")
        assert f"only: {seq}? (withdraw entry {seq}" in text_of(again)
        await pilot.press("enter")
        assert f"Why is entry {seq} wrong" in text_of(again)


async def test_a_half_typed_reason_comes_back_to_the_entry_that_it_was_meant_for() -> None:
    book, log, _, build = with_parts()
    seq = book.entries(build)[-1].seq
    memory = Memory()
    app = app_of(book, memory)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await pilot.pause()
        await typed(pilot, str(seq))
        await pilot.press(*"the wrong", "ctrl+q")
    again = app_of(book, memory)
    async with again.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        again.go("record", build)
        await pilot.pause()
        assert f"Why is entry {seq} wrong" in text_of(again)
        await pilot.press(*" tube", "enter")
        await pilot.pause()
    assert log.stored[-1].payload == Withdrawn(target=seq, reason="the wrong tube")


async def test_a_window_that_takes_over_takes_up_what_the_other_left_half_typed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    book, log, _, build = with_parts()
    kept = {("build_sheet", build): Unsent(lines=("3 chan",)), ("record", build): Unsent(lines=("note on",))}
    memory = Memory(unsent_text(kept))
    stop_writing(log, "another window writes (process 12)")
    app = app_of(book, memory)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("record", build)
        await pilot.pause()
        await pilot.press(*"note mine", "f2")
        await pilot.pause()
        assert line_of(pilot).draft == ""
        assert memory.saves == 0

        def take_over() -> bool:
            log.read_only_because = ""
            return True

        monkeypatch.setattr(log, "take_over", take_over)
        await look_round(pilot)
        await pilot.press("f4")
        await pilot.pause()
        assert line_of(pilot).draft == "note mine"
        app.go("build_sheet", build)
        await pilot.pause()
        await look_round(pilot)
    assert "note mine" in memory.text


def test_an_answer_that_would_store_something_is_not_given_again() -> None:
    book, log, _, build = with_parts()
    flow, trail, stored = SheetFlow(book, build), Trail(), len(log.entries())
    first = flow.now()
    assert first is not None
    form = Answer(key=first.key, ask=first.ask, text="radiator 240")
    flow.answer("radiator 240")
    second = flow.now()
    assert second is not None
    taken = trail.go_again(book, SheetFlow(book, build), [form, Answer(key=second.key, ask=second.ask, text="store")])
    assert taken == 1
    assert len(log.entries()) == stored
    flow.answer("store")
    assert len(log.entries()) == stored + 1


def test_only_what_is_asked_in_the_same_words_is_answered_again() -> None:
    book, _, _, build = with_parts()
    flow, trail = SheetFlow(book, build), Trail()
    assert trail.go_again(book, flow, [Answer(key="part", ask="Something else?", text="radiator 240")]) == 0
    assert trail.answers == ()


def test_nothing_is_stored_while_a_form_is_taken_up_again() -> None:
    book, log, _, build = with_parts()
    stored = len(log.entries())
    with book.only_looking(), pytest.raises(NotAllowed, match="nothing is stored"):
        book.add_note(build, "stray")
    assert len(log.entries()) == stored
    book.add_note(build, "meant")
    assert len(log.entries()) == stored + 1


def test_the_text_holds_what_was_put_in_and_anything_else_holds_nothing() -> None:
    kept = {
        ("build_sheet", "b1"): Unsent(answers=(Answer(key="k", ask="Which?", text='3 "x" ±'),), lines=("a", "b")),
        ("home", ""): Unsent(lines=("Nörd",)),
    }
    assert read_unsent(unsent_text({**kept, ("record", "b1"): Unsent()})) == kept
    assert unsent_text({("record", "b1"): Unsent()}) == ""
    for other in (
        "",
        "{}",
        "[]",
        "[3]",
        '[{"screen": "x"}]',
        '[{"screen":"x","build":"","answers":[[1]],"lines":[]}]',
        "[" * 9999,
    ):
        assert read_unsent(other) == {}
    many = Unsent(lines=tuple(str(number) for number in range(2 * MOST)))
    assert len(read_unsent(unsent_text({("home", ""): many}))["home", ""].lines) == MOST


def test_the_file_is_its_owners_only_and_goes_where_nothing_is_left(tmp_path: Path) -> None:
    file = UnsentFile(tmp_path / "x.logbook")
    assert file.load() == ""
    file.save("half")
    file.save("half a li")
    assert file.load() == "half a li"
    assert [one.name for one in tmp_path.iterdir()] == ["x.logbook.unsent"]
    if os.name == "posix":
        assert stat.S_IMODE(file.path.stat().st_mode) == 0o600
    file.save("")
    file.save("")
    assert list(tmp_path.iterdir()) == []
    file.path.write_bytes(b"\xff\xfe")
    assert file.load() == ""
    file.path.write_text("x" * (LARGEST + 1))
    assert file.load() == ""
    nowhere = UnsentFile(tmp_path / "no folder" / "x.logbook")
    nowhere.save("half")
    assert nowhere.load() == ""
