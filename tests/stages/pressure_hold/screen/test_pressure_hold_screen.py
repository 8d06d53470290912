"""The pressure hold on the screen: keys in, rows and text out."""

import random

import pytest
from textual.pilot import Pilot

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.logged import Sample
from commission.stages.pressure_hold.card.hold import HoldFlow, Phase
from commission.stages.pressure_hold.card.running import REST, SHORTEST_REST_S
from commission.stages.pressure_hold.state.attempt import hold_of, holds_of
from tests.answers import HOLD, HOLD_AGAIN
from tests.fakes import HandClock, new_book
from tests.ui.bench import GAUGE, AtStage, at_home, flow_at, led, line_of, look_round, new_app, ready, typed, with_parts
from tests.ui.pictures import SIZES, same_at_each_size, settled, text_of


async def read_on(pilot: Pilot[None], clock: HandClock, lines: list[str]) -> None:
    """Let five minutes go by before each line."""
    for line in lines:
        clock.run(300)
        await typed(pilot, line)


async def test_from_an_empty_logbook_to_fail_finding_cure_and_a_retest_that_passes() -> None:
    book, _, clock = new_book()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        for line in ("Ada", "North tower", "radiator 360", "", "tube 10 mm x 1,2 m", "", ""):
            await typed(pilot, line)
        assert isinstance(flow_at(app), HoldFlow)
        for line in ("1.2 L ± 5 %", *GAUGE, "", "", "", "none", "time 30 min", "", *HOLD, "", "", "", "hose off"):
            await typed(pilot, line)
        await typed(pilot, "500,0 21.0")
        await read_on(pilot, clock, [f"{500 - 40 * n} 21.0" for n in range(1, 5)])
        assert " FAIL " in text_of(app)
        await typed(pilot, "")
        assert " FAIL " in text_of(app)
        for line in ("0", "seal", "tube", "pinched under the port", "new seal, greased"):
            await typed(pilot, line)
        assert "only another hold proves it" in text_of(app).replace("\n", " ")
        for line in ("", "", *HOLD_AGAIN, "", "", "", "1", "500,0 21.0"):
            await typed(pilot, line)
        await read_on(pilot, clock, ["500,0 21.0"] * 8)
        clock.run(5)
        await typed(pilot, "end")
        await typed(pilot, "")
        text = text_of(app)
        assert " PASS " in text
        await pilot.press("tab")  # all details: there is no room beside the curve
        assert "attempt 1" in await settled(pilot)
    state = book.build(book.builds()[0].build_id)
    assert [hold.verdict_entry.verdict.outcome for hold in holds_of(state) if hold.verdict_entry] == [
        Outcome.FAIL,
        Outcome.PASS,
    ]
    assert state.findings[0].proved_by == 2


async def test_a_hold_goes_on_where_the_window_was_closed() -> None:
    book, _, clock, build = ready()
    async with new_app(book).run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "500 21")
        await read_on(pilot, clock, ["500 21", "500 21"])
    clock.run(420)
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.pause()
        assert "running now" in text_of(app)
        await pilot.press("enter")
        await pilot.pause()
        text = text_of(app)
        assert "reading OVERDUE by 2:00" in text
        assert "17:00" in text
        await typed(pilot, "500 21")
    assert len(hold_of(book.build(build)).readings) == 4


async def test_the_text_stays_in_the_line_while_the_clock_ticks() -> None:
    book, _, clock, _ = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "500 21")
        await pilot.press(*"499,9")
        clock.run(3000)
        await look_round(pilot)
        assert line_of(pilot).draft == "499,9"
        assert "The planned time is over" in text_of(app)


async def test_bar_where_mbar_is_meant_is_asked_in_one_line_and_the_text_stays() -> None:
    book, log, _, _ = ready()
    app = new_app(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await at_home(pilot)
        await pilot.press("enter")
        await pilot.pause()
        head = log.head()
        await typed(pilot, "0,5 21")
        assert "type the unit" in text_of(app)
        assert line_of(pilot).draft == "0,5 21"
    assert log.head() == head


async def test_a_feed_in_another_window_is_seen_live() -> None:
    book, log, clock, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    app = AtStage(book, "pressure_hold", build)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        series = hold_of(book.build(build)).series
        rows = [
            Sample(
                elapsed_s=float(n), wall_ms=clock.wall_ms + n * 1000, pressure_pa=49_870.0, air_k=294.15,
                barometer_pa=None, typed="498.7,21.0",
            )
            for n in range(1, 120)
        ]  # fmt: skip
        log.add_samples(series, rows)
        clock.run(120)
        await look_round(pilot)
        assert "last 498.7 mbar" in text_of(app)


async def test_a_series_of_a_day_is_judged_only_after_a_rest() -> None:
    book, log, clock, build = ready()
    led(HoldFlow(book, build), ["500 21"])
    rng = random.Random(7)
    rows = [
        Sample(
            elapsed_s=float(n), wall_ms=clock.wall_ms + n * 1000, pressure_pa=50_000 - 0.001 * n + 10 * rng.random(),
            air_k=294.15, barometer_pa=None, typed="",
        )
        for n in range(1, 86_400)
    ]  # fmt: skip
    log.add_samples(hold_of(book.build(build)).series, rows)
    clock.run(86_400)
    running = HoldFlow(book, build).running
    assert running.look(now=True)
    log.add_samples(hold_of(book.build(build)).series, [replace(rows[-1], elapsed_s=86_401.0)])
    assert not running.look(), "judged again at once"
    clock.run(max(SHORTEST_REST_S, REST * running._took_s) + 0.001)  # the clock counts whole milliseconds
    assert running.look(), "what is new was not judged after the rest"


@pytest.mark.parametrize("phase", ["cautions", "plan", "running", "failed"])
async def test_the_hold_looks_as_it_did(phase: str) -> None:
    book, _, clock, build = with_parts()
    flow = HoldFlow(book, build)
    lines = {"plan": ["1.2 L ± 5 %", *GAUGE, "", "", "", "none", "time 30 min"]}
    lines["cautions"] = [*lines["plan"], "", "", "on"]
    lines["running"] = lines["failed"] = [*lines["plan"], "", *HOLD, "", "", "", "1", "500.0 21.0"]
    if phase != "plan":
        led(flow, lines[phase])
    step = {"running": 0.3, "failed": 40.0}.get(phase, 0.0)
    for n in range(1, 5 if step else 0):
        clock.run(300)
        flow.refresh()
        led(flow, [f"{500 - step * n:.1f} 21.0"])
    if phase == "failed":
        led(flow, ["", "0"])
    app = AtStage(book, "pressure_hold", build)
    async with app.run_test(size=SIZES[0]) as pilot:
        await pilot.pause()
        if phase == "plan":
            for line in lines["plan"]:
                await typed(pilot, line)
        await settled(pilot)
        shown = flow_at(app)
        assert isinstance(shown, HoldFlow)
        wanted = {"cautions": Phase.CAUTIONS, "plan": Phase.PLAN, "running": Phase.RUNNING, "failed": Phase.AFTER}
        assert shown.phase is wanted[phase]
        await same_at_each_size(pilot, f"hold_{phase}", between=phase in ("running", "failed"))
