"""Filling on the screen: keys in, rows and text out."""

from pathlib import Path
from typing import Any

import pytest

from commission.bench.shelf import ShelfFlow
from commission.bench.words_here import NO_WORD
from commission.stages.bleed.card.bleed import BleedFlow
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fill.card.fill import FillFlow, Phase
from commission.stages.fill.model.coolant import Base, Bottle
from commission.stages.fill.state import FillState
from commission.stages.fill.typed import moves
from commission.stages.fill.typed.amount import Amount, read_amount
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.card.first_power import FirstPowerFlow
from commission.stages.handover.card.handover import HandoverFlow
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.thermal_soak.card.soak import SoakFlow
from tests.answers import FILL, FILL_PUMP
from tests.fakes import HandClock
from tests.holds import gauge_reads, ready_build, start_hold, type_hold
from tests.registered import open_logbook
from tests.stages.fill.screen.coolant_bench import filled, held, poured, pouring
from tests.ui.bench import AtStage, at_home, flow_at, line_of, new_app, typed
from tests.ui.hostile import HOSTILE, harm_in
from tests.ui.pictures import SIZES, same_at_each_size, settled, text_of


async def test_a_fill_survives_the_window_being_closed_in_the_middle(tmp_path: Path) -> None:
    clock, path = HandClock(), tmp_path / "bench.logbook"
    book = open_logbook(path, clock=clock).book
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.0)
    book.work(Holds).close(build, Ending.PLANNED)
    book.work(Holds).let_down(build, gauge_reads(0.0))
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(flow_at(app), FillFlow)
        for line in ("own", *FILL, "water", "5 L", "name can", "", ""):
            await typed(pilot, line)
        await typed(pilot, "weighed 1184,6 531,2 g at 22 degC")
        await settled(pilot)
        assert "stored: entry" in text_of(app)
        await pilot.press(*"250 m")
        assert line_of(pilot).draft == "250 m"
    book.close()

    book = open_logbook(path, clock=clock).book
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.pause()
        assert "running now: Blue Heron, fill: 1 amount so far" in text_of(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "655 mL" in text_of(app)
        for line in ("850 mL", "undo", "it was 250 mL", "250 mL", "done", *FILL_PUMP, "", "dry", "170 mL", "", ""):
            await typed(pilot, line)
        text = text_of(app)
        assert " PASS " in text
        await typed(pilot, "")
        await typed(pilot, "")
        assert isinstance(flow_at(app), BleedFlow)
    state = book.build(build)
    assert len(state.of(FillState).moves) == 3
    assert len(state.withdrawn) == 1
    assert book.verify() == []
    book.close()


async def test_stages_are_reached_by_keys_from_the_ladder_and_from_the_turn() -> None:
    book, _, _, _ = pouring()
    app = new_app(book)
    async with app.run_test(size=(120, 40)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        for key, flow in (
            ("f8", BleedFlow),
            ("f8", FirstPowerFlow),
            ("f8", HeadersFlow),
            ("f8", SoakFlow),
            ("f8", HandoverFlow),
            ("f8", HandoverFlow),
            ("f7", SoakFlow),
            ("f7", HeadersFlow),
            ("f7", FirstPowerFlow),
            ("f7", BleedFlow),
            ("f7", FillFlow),
            ("f7", HoldFlow),
            ("f2", SheetFlow),
            ("f3", FillFlow),
            ("f9", ShelfFlow),
            ("f3", FillFlow),
        ):
            await pilot.press(key)
            await pilot.pause()
            assert isinstance(flow_at(app), flow), f"{key} led to {type(flow_at(app)).__name__}"


async def test_what_is_told_of_an_amount_while_it_is_typed_is_what_enter_records(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    read: list[str] = []

    def reading(text: str, **more: Any) -> Amount:
        read.extend([text] if text != NO_WORD else [])
        return read_amount(text, **more)

    monkeypatch.setattr(moves, "read_amount", reading)
    book, _, _, build = pouring()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "")
        await typed(pilot, "250 mL")
        assert read == ["250 mL"]
        await typed(pilot, "250 mL")
        assert read == ["250 mL", "250 mL"], "the same words again are another pour, read against the new total"
    poured_ml = [moved.movement.dose.volume_m3 * 1e6 for moved in book.build(build).of(FillState).moves]
    assert poured_ml == pytest.approx([250, 250])


async def test_a_bottle_is_described_and_retired_on_a_screen_of_its_own() -> None:
    book, _, _, _ = held()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("f9")
        await pilot.pause()
        for line in ("", "ready", "1.035 g/mL", "none", "1 L", "freezing -18 degC", ""):
            await typed(pilot, line)
        assert "1.035 g/mL at 20 °C" in " ".join(text_of(app).replace("│", " ").split())
        for line in ("retire ready", "poured out"):
            await typed(pilot, line)
        assert "0 in use" in text_of(app)
    assert book.work(Fills).bottles == ()


async def test_hostile_names_of_bottles_harm_no_screen() -> None:
    book, _, _, build = pouring()
    for number, text in enumerate(HOSTILE):
        name = f"{number} {text}"
        can = Bottle(bottle_id=name, name=name, base=Base.WATER, size_m3=1e-3, lot=text, product=text)
        book.work(Fills).add_bottle(can)
    book.work(Fills).do_step(build, "protect")
    app = new_app(book)
    async with app.run_test(size=(120, 40)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        for line in ("bottle 1 ", "100 mL # [/]", f"note {HOSTILE[5]}", "bottle 4 ", "50 mL", "undo"):
            await typed(pilot, line)
            await settled(pilot)
            assert harm_in(app) == []
        await pilot.press("f9")
        await settled(pilot)
        assert harm_in(app) == []
    assert len(book.build(build).of(FillState).moves) == 2


@pytest.mark.parametrize("phase", ["cautions", "pouring", "poured", "after"])
async def test_the_fill_looks_as_it_did(phase: str) -> None:
    book, _, _, build = {"cautions": held, "pouring": pouring, "poured": poured, "after": filled}[phase]()
    app = AtStage(book, "fill", build)
    async with app.run_test(size=SIZES[0]) as pilot:
        await settled(pilot)
        flow = flow_at(app)
        assert isinstance(flow, FillFlow)
        wanted = {"cautions": Phase.CAUTIONS, "after": Phase.AFTER}
        assert flow.phase is wanted.get(phase, Phase.POURING)
        await same_at_each_size(pilot, f"fill_{phase}", between=phase == "poured")


async def test_without_unicode_the_fill_is_drawn_in_ascii_alone() -> None:
    book, _, _, build = poured()
    app = AtStage(book, "fill", build, ascii_only=True)
    async with app.run_test(size=(120, 40)) as pilot:
        text = await settled(pilot)
        assert "// expected, 95 %" in text
        assert text.isascii()
