"""A leak or spill is one word from anywhere: the card opens, what was typed stays, nothing that runs is lost."""

import pytest
from textual.pilot import Pilot

from commission.procedure.stage_ids import HOLD
from commission.record.entries import OperatorNamed
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap, WentWrong
from commission.record.mishaps import Mishaps
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.pressure_hold.work.holds import Holds
from commission.ui.screens.home import HomeScreen
from commission.ui.screens.went_wrong import WentWrongScreen
from tests.fakes import new_book
from tests.holds import gauge_reads, ready_build, start_hold
from tests.stages.fan_headers.screen.headers_bench import SWEEPING, plugged
from tests.ui.bench import AtStage, at_home, line_of, new_app, one_build, typed
from tests.ui.pictures import settled
from tests.ui.test_ui_burst import burst, until
from tests.wet_builds import bleeding_build, run_cycle

STAGES = (
    "build_sheet",
    "pressure_hold",
    "fill",
    "bleed",
    "first_power",
    "fan_headers",
    "record",
    "instruments",
    "bottles",
)
CARDS = {
    "leak": ("LEAK", "1  Pump or machine off", "2  Mains plug out", "3  Put a bowl under"),
    "spill": ("SPILL", "1  Stop pouring", "2  Mains plug out", "3  Tip it"),
    "smoke": ("SMOKE", "1  Switch off at the supply", "2  Mains plug out", "3  Flames: everyone out"),
    "burst": ("BURST", "1  Turn your face away", "2  Shut the source", "3  Vent to 0 by the valve"),
}


def _noted(book: Logbook, build: str) -> list[WentWrong]:
    return [one.payload for one in book.entries(build) if isinstance(one.payload, WentWrong)]


def _card(pilot: Pilot[None]) -> WentWrongScreen:
    screen = pilot.app.screen
    assert isinstance(screen, WentWrongScreen)
    return screen


@pytest.mark.parametrize("word", CARDS)
async def test_each_card_shows_its_first_three_actions_in_any_window(word: str) -> None:
    book, _, _, build = one_build()
    app = AtStage(book, "record", build)
    async with app.run_test(size=(60, 18)) as pilot:
        await typed(pilot, word)
        for size in ((60, 18), (80, 24)):
            await pilot.resize_terminal(*size)
            text = await settled(pilot)
            at = [text.find(part) for part in (*CARDS[word], "Enter once done")]
            assert -1 not in at
            assert at == sorted(at)
            assert "call the emergency" in text


@pytest.mark.parametrize("stage", STAGES)
async def test_from_every_screen_behind_a_half_typed_line_and_back_to_it(stage: str) -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    app = AtStage(book, stage, build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before, head = app.screen, book.head()
        await pilot.press(*"12 le", *"ak!", "enter")
        _card(pilot)
        await pilot.press("escape")
        assert app.screen is before
        assert line_of(pilot).draft == "12 "[:2]
        assert book.head() == head
        line_of(pilot).draft = ""
        await pilot.press(*"smoke", "enter")
        for line in ("", "supply", "a smell"):
            await typed(pilot, line)
        assert app.screen is before
        assert "a smell" not in line_of(pilot).draft
        text = await settled(pilot)
    assert [one.what for one in _noted(book, build)] == [Mishap.SMOKE]
    assert "stored: entry" in text


async def test_a_word_answers_no_question_for_a_reason_and_the_question_stays() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 2.0)
    app = AtStage(book, "bleed", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await typed(pilot, "undo")
        asked = line_of(pilot).prompt
        assert asked is not None
        await typed(pilot, "leak")
        _card(pilot)
        await pilot.press("escape")
        again = line_of(pilot).prompt
        assert again is not None
        assert (again.key, again.ask) == (asked.key, asked.ask)
        await typed(pilot, "wrong vessel help!")
        _card(pilot)
        await pilot.press("escape")
        assert line_of(pilot).draft == "wrong vessel"
        assert not book.build(build).withdrawn


async def test_a_word_is_nobody_who_works_here() -> None:
    book, log, _ = new_book()
    book.open_build("North tower")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await typed(pilot, "leak")
        _card(pilot)
        await pilot.press("escape")
        assert isinstance(app.screen, HomeScreen)
    assert not log.entries_of_kind(OperatorNamed.KIND)
    assert [row.name for row in book.builds()] == ["North tower"]


async def test_the_builds_ask_which_one_and_propose_the_one_under_the_cursor() -> None:
    book, _, _, north = one_build()
    book.open_build("Low shelf")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("down")
        burst(app, "spill\rdone\rNorth\rbottle\rbench\ra puddle\rno\r5 mL\r")
        await until(pilot, lambda: isinstance(app.screen, HomeScreen) and bool(_noted(book, north)))
    (noted,) = _noted(book, north)
    assert (noted.what, noted.from_bottle, noted.amount is not None) == (Mishap.SPILL, True, True)
    assert len(book.builds()) == 2


async def test_a_hold_that_runs_goes_on_and_takes_its_readings() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    start_hold(book, build)
    book.work(Holds).read(build, pressure=gauge_reads(500.0))
    app = AtStage(book, "pressure_hold", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for line in ("burst", "", "top cap", "a bang", "no"):
            await typed(pilot, line)
        assert book.build(build).run(HOLD).running
        await typed(pilot, "499.0 mbar")
        text = await settled(pilot)
    assert len(book.build(build).runs[HOLD]) == 1
    assert [one.what for one in _noted(book, build)] == [Mishap.BURST]
    assert 'DEFECT: "burst, top cap: a bang"' in " ".join(text.split())


async def test_a_sweep_that_runs_keeps_its_points_and_goes_on() -> None:
    _, book, _, build = plugged(*SWEEPING, "100 1498")
    swept = book.build(build).of(FanHeadersState).sweeping
    assert swept is not None
    app = AtStage(book, "fan_headers", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for line in ("spill", "", "bottle", "bench", "a puddle", "no", "5 mL"):
            await typed(pilot, line)
        await typed(pilot, "80 1258")
    after = book.build(build).of(FanHeadersState).sweeping
    assert after is not None
    assert after.readings[: len(swept.readings)] == swept.readings
    assert len(after.readings) > len(swept.readings)
    assert len(_noted(book, build)) == 1


async def test_wet_is_a_leak_where_it_is_bled() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    app = AtStage(book, "bleed", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await typed(pilot, "wet")
        assert _card(pilot).flow.aid is not None
        assert "LEAK" in await settled(pilot)


async def test_one_card_gives_way_to_another() -> None:
    book, _, _, build = one_build()
    app = AtStage(book, "record", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await typed(pilot, "spill")
        await typed(pilot, "smoke!")
        assert "SMOKE" in await settled(pilot)
        await pilot.press("escape")
        assert not isinstance(app.screen, WentWrongScreen)


async def test_a_defect_stands_on_the_card_and_the_builds_until_it_is_repaired() -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="drips")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert "repair: leak" in await settled(pilot)
        app.go("bleed", build)
        await pilot.pause()
        assert 'DEFECT: "leak, lower port: drips"' in await settled(pilot)
        for line in ("repaired", "new seal"):
            await typed(pilot, line)
        text = await settled(pilot)
    assert "DEFECT" not in text
    assert "repaired: new seal" in " ".join(text.split())
    assert book.build(build).open_findings == ()
