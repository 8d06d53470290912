"""The first screen: which build needs what next, and what is running now."""

import pytest

from commission.__main__ import job
from commission.base.errors import NotAllowed
from commission.bench.home import HomeFlow
from commission.procedure.model import When
from commission.record.entries import Withdrawn
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.stages.build_sheet.card.sheet import SheetFlow
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.ui.screens.home import HomeScreen
from commission.ui.widgets.build_list import BuildList
from tests.fakes import new_book
from tests.holds import ready_build, start_hold
from tests.power_builds import plugged, powered_build, supplied_build
from tests.ui.bench import at_home, flow_at, led, look_round, new_app, ready, typed, until, with_parts
from tests.ui.pictures import text_of
from tests.wet_builds import answer


async def test_each_build_says_where_it_stands_and_what_it_needs() -> None:
    book, _, _, _ = with_parts()
    book.open_build("Empty case")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert "put away · away · quick NAME" in text_of(app)
        rows = [line for line in text_of(app).splitlines() if "open" in line]
    assert "Empty case" in rows[0]
    assert "its parts list" in rows[0]
    assert "North tower" in rows[1]
    assert "a pressure hold" in rows[1]


async def test_what_is_running_stands_above_the_builds_with_its_next_reading() -> None:
    book, _, clock, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    clock.run(60)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        assert "running now: North tower, hold 1 min of 40 min, reading due in 4 min" in text_of(app)
        clock.run(600)
        await look_round(pilot)
        assert "reading OVERDUE by 6 min" in text_of(app)


def test_everything_that_runs_is_told_and_a_running_pump_first() -> None:
    book, _, clock = new_book()
    book.name_operator("Ada")
    sweeping = powered_build(book, clock, "Sweeper")
    plugged(book, sweeping)
    answer(book, sweeping, book.work(FanHeaders), When.BEFORE_SWEEP)
    book.work(FanHeaders).sweeps.begin_sweep(sweeping, book.build(sweeping).plugged.chains[-1].chain_id)
    watching = supplied_build(book, clock, "Watcher")
    answer(book, watching, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(watching, ("block in", "radiator"))
    holding = ready_build(book, "Holder")
    start_hold(book, holding)
    clock.run(1200)
    flow = HomeFlow(book, job().stages())
    lines = flow.running()
    assert [line.partition(",")[0] for line in lines] == ["Watcher", "Holder", "Sweeper"]
    assert lines[0].startswith("Watcher, PUMP alone 20 min, leak check OVERDUE by ")
    assert lines[2] == "Sweeper, sweep of front: 0 readings so far"
    assert flow.look_at(watching).next == "leak checks: PUMP runs"
    book.work(FirstPower).look(watching, "radiator", Paper.WET)
    flow.refresh()
    assert "LEAK: switch it off at once" in flow.running()[0]
    book.work(FirstPower).end_watch(watching, level=LevelLook.NOT_LOOKED, noise=Noise.NOT_LISTENED)
    book.work(FanHeaders).sweeps.abort_sweep(sweeping, "begun by mistake")
    flow.refresh()
    assert [line.partition(",")[0] for line in flow.running()] == ["Holder"]
    ended = book.log.entries_of_kind("wet watch ended")[-1]
    with pytest.raises(NotAllowed, match="that leak watch is over"):
        book.withdraw(ended.seq, "typed into the wrong build")
    book.record(watching, Withdrawn(target=ended.seq, reason="as older records hold it"))
    flow.refresh()
    assert flow.running()[0].startswith("Watcher, PUMP alone")


async def test_all_that_runs_stands_above_the_builds() -> None:
    book, _, clock, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    watching = supplied_build(book, clock, "Watcher")
    answer(book, watching, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(watching, ("block in", "radiator"))
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        shown = text_of(app).splitlines()
    at = next(number for number, line in enumerate(shown) if "running now: Watcher, PUMP alone" in line)
    assert shown[at + 1].startswith("              North tower, hold")


async def test_enter_on_the_empty_line_opens_the_build_under_the_cursor() -> None:
    book, _, _ = new_book()
    book.name_operator("Ada")
    for name in ("First", "Second", "Third"):
        book.open_build(name)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(flow_at(app), SheetFlow)
        assert "Second" in text_of(app).splitlines()[0]


async def test_the_name_of_a_build_opens_it_and_a_new_name_makes_a_new_one() -> None:
    book, _, _, build = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await typed(pilot, "north  TOWER")
        assert "North tower · pressure hold" in text_of(app)
        assert app.build_id == build
        await pilot.press("escape")
        await pilot.pause()
        await typed(pilot, "South tower")
        assert 'Start a new build called "South tower"?' in text_of(app)
        await typed(pilot, "yes")
        assert "South tower · parts list" in text_of(app)
    assert [row.name for row in book.builds()] == ["South tower", "North tower"]


async def test_a_name_that_is_too_long_stays_in_the_line_with_the_reason() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    app.sub_title = "Whose logbook this is, in more than one line where the window is narrow."
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await typed(pilot, "?")
        for line in (
            "operator NAME: who works from now on",
            "put away NAME",
            "bring back NAME",
            "units psi fl oz degF",
        ):
            assert line in text_of(app)
        await pilot.resize_terminal(60, 18)
        assert "units psi" not in text_of(app)  # a small window shows the rest by a key, and the builds by Esc
        await pilot.press("pagedown")
        assert "units psi" in text_of(app)
        await pilot.press("escape")
        assert "operator NAME" not in text_of(app)
        await pilot.resize_terminal(80, 24)
        await typed(pilot, "x" * 200)
        assert "80 are the most" in text_of(app)
        assert isinstance(app.screen, HomeScreen)
    assert len(book.builds()) == 1


async def test_a_click_opens_the_build_under_the_cursor() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.click(BuildList, offset=(3, 1))
        await pilot.pause()
        assert isinstance(flow_at(app), HoldFlow)


async def test_only_builds_in_view_are_folded() -> None:
    book, _, _ = new_book()
    book.name_operator("Ada")
    for number in range(120):
        book.open_build(f"Build {number}")
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        screen = app.screen
        assert isinstance(screen, HomeScreen)
        flow = screen.flow

        def known() -> int:
            return sum(flow.known(row.build_id) is not None for row in flow.builds)

        await until(pilot, lambda: known() >= 10, "a few builds are folded between two keys")
        assert 10 <= known() <= 30
        await pilot.press("pagedown")
        last = flow.builds[screen.list.cursor]
        await until(pilot, lambda: flow.known(last.build_id) is not None, "the last build is not folded")


async def test_a_clock_that_ticks_while_the_screen_is_taken_down_does_no_harm() -> None:
    book, _, _, _ = with_parts()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        home = await at_home(pilot)
    home.tick()
    assert app.return_code in (None, 0)
