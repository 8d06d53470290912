"""The demo workshop's power and headers tell what their invented truth calls for.

Outside: the words of the sweeps and the outcomes of the voltages are argued in ``tests/make_sweep_logs.py`` from a
simulation written out without the program; the currents are sums that anybody can do: 6 x 200 mA = 1200 mA against
80 % of 1000 mA.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.record.fold import BuildState
from commission.record.logbook import Logbook
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from tests.demo_power import DAY_S
from tests.make_sample_logs import FOLDER
from tests.make_sweep_logs import BENCHES
from tests.registered import sample_logbook
from tests.shell.running import called

TRUTH = {bench.file: bench for bench in BENCHES}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    yield opened.book
    opened.book.close()


def build(book: Logbook, name: str) -> BuildState:
    return book.build(book.find_build(name))


def test_one_build_has_climbed_the_whole_ladder(book: Logbook) -> None:
    desk = build(book, "Window desk")
    assert [state.outcome for state in book.work(FirstPower).verdict(desk).rungs] == ["pass"] * 4
    assert desk.problems == ()


def test_a_header_in_voltage_mode_starves_a_chain_and_a_mode_change_cures_it(book: Logbook) -> None:
    starved, cured = (sweep.taken.verdict for sweep in build(book, "Window desk").of(FanHeadersState).sweeps)
    assert (starved.said, cured.said) == (TRUTH["top-starved"].verdict, TRUTH["top-cured"].verdict)
    assert any("set the header to PWM" in cause.template for cause in starved.causes)
    assert (starved.stops.start_pct, cured.stops.stop_pct) == (60, None)


def test_a_chain_that_moves_takes_the_verdict_with_it_and_the_history_tells_both_days(book: Logbook) -> None:
    desk = build(book, "Window desk")
    moved = max(move.at_ms for move in desk.plugged.moves)
    assert desk.plugged.seats(moved - DAY_S * 1000)["top"] == "FAN A"
    assert desk.plugged.seats()["top"] == "FAN B"
    words = {rung.stage.id: str(rung.word) for rung in book.ladder(desk)}
    assert words["fan_headers"] == "stale"


def test_the_ladder_of_the_other_build_ends_at_a_plug_that_sags(book: Logbook) -> None:
    judged = build(book, "Corner tower").judged_run("first_power")
    assert judged is not None
    assert judged.outcome == "fail"
    rails = build(book, "Corner tower").of(FirstPowerState).rails
    assert rails is not None
    assert [row.reading.plug for row in rails.rows if row.outcome == "fail"] == ["graphics 2"]


def test_six_fans_that_overload_every_header_are_split_over_two(book: Logbook) -> None:
    there = build(book, "Corner tower").plugged
    assert [chain.steady_ma for chain in there.gone_chains] == [1200]
    assert sorted(there.seats().values()) == ["REAR 1", "REAR 2"]
    assert [sum(chain.steady_ma for chain in there.on(header.header_id)) for header in there.headers] == [600, 600]


def test_the_shell_tells_what_sat_where(tmp_path: Path) -> None:
    logbook = tmp_path / "demo.logbook"
    assert called("import", str(FOLDER / "workshop.jsonl"), logbook=logbook).status == 0
    now = called("headers", "Window desk", logbook=logbook).out
    then = called("headers", "Window desk", "--date", "2026-03-17", logbook=logbook).out
    where = {told: [line for line in told.splitlines() if "top" in line.split(": ", 1)[-1]] for told in (now, then)}
    assert any("FAN B" in line for line in where[now])
    assert any("FAN A" in line for line in where[then])
    assert now != then
