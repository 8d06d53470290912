"""The first power-on on the screen: keys in, rows and text out."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.mishap import WentWrong
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.card.first_power import FirstPowerFlow, Phase
from commission.stages.first_power.work.first_power import FirstPower
from commission.ui.screens.went_wrong import WentWrongScreen
from tests.answers import POWER
from tests.fakes import HandClock, ListLog
from tests.power_builds import FED_BY_THE_SUPPLY
from tests.registered import open_logbook
from tests.stages.first_power.screen.power_bench import (
    CABLE,
    PLUG,
    closed,
    described,
    filled,
    supplied,
    watched,
    watching,
)
from tests.ui.bench import AtStage, at_home, flow_at, led, line_of, new_app, tick, typed
from tests.ui.hostile import HOSTILE, harm_in
from tests.ui.pictures import SIZES, same_at_each_size, settled, text_of
from tests.wet_builds import filled_build

Made = tuple[Logbook, ListLog, HandClock, str]


def then(make: Callable[[], Made], *lines: str, run: float = 0.0) -> Made:
    """A build with some time gone by and some lines typed."""
    book, log, clock, build = make()
    clock.run(run)
    led(FirstPowerFlow(book, build), lines)
    return book, log, clock, build


async def opened(pilot: Pilot[None]) -> FirstPowerFlow:
    """Wait until the first power-on stands there, which the app begins with."""
    await pilot.pause()
    flow = flow_at(pilot.app)
    assert isinstance(flow, FirstPowerFlow)
    return flow


async def test_another_cable_may_be_chosen_while_one_has_a_fault() -> None:
    book, _, _, build = described("CPU", "GPU")
    led(FirstPowerFlow(book, build), [*CABLE, "0.3 OL OL 0.3", "2>3 0.3", "3>2 0.3", "all OL"])
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert "Wiring fault" in await settled(pilot)
        await typed(pilot, "cable GPU")
        assert 'Cable "GPU": which plug' in (await settled(pilot)).replace("\n", " ")
        await pilot.press("enter")
        assert "nothing was typed" in await settled(pilot)
        assert app.return_code is None


async def test_the_ladder_survives_the_window_being_closed_in_a_cable_and_in_the_watch(tmp_path: Path) -> None:
    clock, path = HandClock(), tmp_path / "bench.logbook"
    book = open_logbook(path, clock=clock).book
    build = filled_build(book, clock)
    book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        for line in (*POWER, "Larkspur 850 ATX3", "CPU", *CABLE, "0.3 0.3"):
            await typed(pilot, line)
        assert "3>3 4>4" in await settled(pilot)
        await pilot.press(*"0.3 ")
    book.close()

    book = open_logbook(path, clock=clock).book
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert "3>3 4>4" in await settled(pilot)
        for line in ("0.3 0.3", "all OL", "", PLUG, "CPU +12 12.04", "", "", "", "block in, radiator", "", ""):
            await typed(pilot, line)
        clock.run(601)
        await typed(pilot, "dry")
        assert "radiator. What does" in (await settled(pilot)).replace("\n", " ")
    book.close()

    clock.run(30)
    book = open_logbook(path, clock=clock).book
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert "running 10:31" in await settled(pilot)
        await typed(pilot, "dry")
        for _ in range(2):
            clock.run(610)
            await typed(pilot, "all dry")
        for line in ("off", "steady quiet", "ready", "", "speed 2 s 4700 rpm", "right 41 degC", ""):
            await typed(pilot, line)
        text = await settled(pilot)
        assert " PASS  All four steps passed" in text
        await typed(pilot, "")
        assert isinstance(flow_at(app), HeadersFlow)
    run = book.build(build).judged_run("first_power")
    assert run is not None
    assert run.outcome == "pass"
    assert book.verify() == []
    book.close()


async def test_the_clock_asks_for_a_look_when_it_comes_due_and_keeps_what_is_being_typed() -> None:
    book, _, clock, build = watching()
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert "next look in 10:00" in await settled(pilot)
        await pilot.press(*"dr")
        clock.run(595)
        tick(app)
        text = await settled(pilot)
        assert "look due NOW" in text
        assert "due now: press dry paper" in text
        assert line_of(pilot).draft == "dr"


async def test_an_attempt_to_skip_is_refused_in_one_line_beneath_what_was_typed() -> None:
    book, log, _, build = described()
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        head = log.head()
        await typed(pilot, "machine")
        text = await settled(pilot)
        assert 'not stored: "whole machine" is locked' in text
        assert line_of(pilot).draft == "machine"
        assert log.head() == head


async def test_wet_paper_is_logged_as_a_look_and_opens_the_card_of_a_leak_at_that_joint() -> None:
    book, log, _, build = PHASES["watch"][0]()
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        await typed(pilot, "radiator wet # runs down")
        assert isinstance(app.screen, WentWrongScreen)
        assert log.entries(build)[-1].payload.KIND == "joint looked at"
        for line in ("off", "", "no"):
            await typed(pilot, line)
        text = await settled(pilot)
    noted = log.entries(build)[-1].payload
    assert isinstance(noted, WentWrong)
    assert (noted.what, noted.where, noted.seen) == ("leak", "radiator", "runs down")
    # the pump still runs by the record: what was asked before the card is asked again
    assert "OFF AT ONCE" in text


async def test_a_pump_that_does_not_turn_opens_its_card_and_off_is_asked_after_it() -> None:
    book, _, _, build = watched()
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        await typed(pilot, "no")
        assert isinstance(app.screen, WentWrongScreen)
        text = await settled(pilot)
        await typed(pilot, "off")
        after = await settled(pilot)
    assert [text.find(part) for part in ("1  Switch off at once", "2  Mains plug out", "3  Look at the level")] > [
        0,
        0,
        0,
    ]
    assert "POWER OFF AT ONCE" in after


async def test_escape_leaves_a_form_first_and_the_screen_after_it() -> None:
    book, _, _, build = described("CPU")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        app.go("first_power", build)
        await opened(pilot)
        await typed(pilot, CABLE[0])
        await pilot.press("escape")
        assert 'Cable "CPU"' in await settled(pilot)
        await pilot.press("escape")
        await at_home(pilot)


PHASES: dict[str, tuple[Callable[[], Made], Phase]] = {
    "cautions": (filled, Phase.CAUTIONS),
    "wires": (lambda: then(lambda: described("CPU", "GPU 1"), *CABLE, "0.3"), Phase.CABLES),
    "rails": (lambda: then(described, PLUG, "GPU 1 +12 11.10", "PWR_OK 180 ms"), Phase.SUPPLY),
    "joints": (supplied, Phase.JOINTS),
    "watch": (lambda: then(watching, "all dry", run=601), Phase.WATCH),
    "wet": (lambda: then(watching, "radiator wet", run=601), Phase.WATCH),
    "machine": (lambda: then(watched, "speed 2 s 4700 rpm"), Phase.MACHINE),
    "passed": (closed, Phase.AFTER),
}


@pytest.mark.parametrize("phase", PHASES)
async def test_the_first_power_on_looks_as_it_did_and_asks_in_any_window(phase: str) -> None:
    make, wanted = PHASES[phase]
    book, _, _, build = make()
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=SIZES[0]) as pilot:
        flow = await opened(pilot)
        await settled(pilot)
        assert flow.phase is wanted
        await same_at_each_size(pilot, f"power_{phase}", between=phase in ("watch", "passed"))
        for size in ((200, 60), (60, 18)):  # the question is there in any window
            await pilot.resize_terminal(*size)
            text = await settled(pilot)
            prompt = flow.now()
            assert prompt is not None
            assert " ".join(prompt.ask.split()[:4]) in text
            assert "[Enter]" in text


@pytest.mark.parametrize("phase", ["wires", "rails", "watch", "wet", "machine"])
async def test_plain_ascii_is_enough_for_every_rung(phase: str) -> None:
    book, _, _, build = PHASES[phase][0]()
    app = AtStage(book, "first_power", build, ascii_only=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert (await settled(pilot)).isascii()


async def test_hostile_names_harm_no_screen() -> None:
    book, _, _, build = watching()
    for text in HOSTILE:
        book.work(FirstPower).look(build, "radiator", Paper.DRY, note=text)
    app = AtStage(book, "first_power", build)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot)
        await settled(pilot)
        assert harm_in(app) == []
        assert "radiator" in text_of(app)
