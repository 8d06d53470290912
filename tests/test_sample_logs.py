"""Every sample log gives the verdict that its simulated truth calls for: from the shell, and through the logbook.

Outside: the verdicts are argued from the simulated truth in ``tests/make_sample_logs.py``, whose physics (ideal gas,
viscous leak, first-order lag) is written out without the program.
"""

import json
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from commission.__main__ import job
from commission.base.frozen import Frozen, replace
from commission.base.verdict import Outcome
from commission.record.entries import BuildOpened, ProcedureAdopted
from commission.record.logbook import Logbook
from commission.record.logged import Logged, Sample
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.entries import Ending, HoldClosed, HoldPlan, SourceOff
from commission.stages.pressure_hold.files.hold_csv import read_hold
from commission.stages.pressure_hold.model import HoldVerdict
from commission.stages.pressure_hold.shell.basis import Asked
from commission.stages.pressure_hold.shell.judge import judged
from commission.stages.pressure_hold.state.attempt import hold_of, holds_of
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock, new_book
from tests.make_demo_logbook import make
from tests.make_sample_logs import BENCHES, FOLDER, Bench, lines
from tests.registered import open_logbook, sample_logbook
from tests.shell.running import called
from tests.surroundings import PATIENCE_S

IDS = [bench.file for bench in BENCHES]
PA = 0.1
"""One mbar·L/s in Pa·m3/s."""


def path_of(bench: Bench) -> Path:
    return FOLDER / f"{bench.file}.csv"


def test_the_files_are_those_of_the_simulation() -> None:
    assert {path.stem for path in FOLDER.glob("*.csv")} == set(IDS)
    for bench in BENCHES:
        assert path_of(bench).read_text(encoding="utf-8").splitlines() == lines(bench)


def test_every_case_that_a_bench_meets_is_among_them() -> None:
    assert [bench.verdict for bench in BENCHES].count("pass") == 3
    assert {bench.verdict for bench in BENCHES} == set(Outcome)


@pytest.mark.parametrize("bench", BENCHES, ids=IDS)
def test_the_shell_gives_the_verdict_that_the_file_states(bench: Bench) -> None:
    told = called("judge", "hold", "--json", str(path_of(bench)))
    assert json.loads(told.out)["outcome"] == bench.verdict
    assert f"# outcome: {bench.verdict}" in lines(bench)


EVEN = [b for b in BENCHES if b.verdict in ("pass", "fail") and b.late_leak_mbar_l_s is None]


@pytest.mark.parametrize("bench", EVEN, ids=lambda b: str(b.file))
def test_the_bounds_hold_the_truth(bench: Bench) -> None:
    found = judged(str(path_of(bench)), Asked())[0].leak_rate
    assert found is not None
    assert found.lower95 <= bench.leak_mbar_l_s * PA <= found.upper95


@pytest.mark.parametrize("bench", [b for b in BENCHES if b.late_leak_mbar_l_s], ids=lambda b: str(b.file))
def test_the_onset_of_a_late_leak_is_told(bench: Bench) -> None:
    late = judged(str(path_of(bench)), Asked())[0].late
    assert late is not None
    assert late.onset_from_s <= bench.onset_s <= late.onset_to_s
    assert late.at_least_pa_m3_s <= (bench.late_leak_mbar_l_s or 0.0) * PA


def test_a_fixed_drop_of_the_gauge_would_be_wrong_about_the_cooling_room_and_the_long_night() -> None:
    # what the sample logs are there to show: the plain rule fails a tight loop and passes a leaking one
    for file, truth, plain in (("room-cooled", "pass", "fail"), ("overnight-near-limit", "fail", "pass")):
        verdict = judged(str(FOLDER / f"{file}.csv"), Asked())[0]
        rule = next(rule for rule in verdict.plain_rules if rule.name == "fixed drop")
        assert (verdict.outcome, rule.outcome) == (truth, plain)


@pytest.mark.parametrize("bench", BENCHES, ids=IDS)
def test_the_logbook_gives_the_same_verdict_as_the_shell(bench: Bench) -> None:
    verdict, basis = judged(str(path_of(bench)), Asked())
    stored = replayed(path_of(bench), basis.plan)
    assert stored.outcome == bench.verdict
    assert plain(stored) == plain(verdict)


def plain(verdict: HoldVerdict) -> HoldVerdict:
    """Return a verdict as it is stored: without its picture."""
    return replace(verdict, picture=None)


def replayed(path: Path, plan: HoldPlan) -> HoldVerdict:
    """Record a hold in a logbook, row by row as time goes by, and close it at its planned end."""
    book, _, clock = new_book()
    build = book.open_build(path.stem)
    book.work(Holds).plan(build, plan)
    book.work(Holds).print_cautions(build)
    book.work(Holds).isolate(build, SourceOff.HOSE_OFF)
    book.work(Holds).start(build)
    series = read_hold(path).series
    columns = zip(series.elapsed_s, series.pressure_pa, series.air_k, series.barometer_pa, strict=True)
    for elapsed, pressure, air, barometer in columns:
        stream(book, build, clock, (elapsed, pressure, air, barometer))
    return book.work(Holds).close(build, Ending.PLANNED)


def stream(book: Logbook, build: str, clock: HandClock, row: tuple[float, float, float, float]) -> None:
    started = hold_of(book.build(build)).started
    assert started is not None
    clock.run(row[0] - (clock.wall_ms - started.mark.wall_ms) / 1000)
    pressure, air, barometer = (None if value != value else value for value in row[1:])  # noqa: PLR0124 - NaN
    sample = Sample(
        elapsed_s=row[0], wall_ms=clock.wall_ms, pressure_pa=pressure, air_k=air, barometer_pa=barometer, typed=""
    )
    book.work(Holds).stream(build, [sample])


@pytest.mark.usefixtures("arriving")
@pytest.mark.parametrize("bench", BENCHES, ids=IDS)
def test_fed_through_a_pipe_it_is_judged_alike(bench: Bench, tmp_path: Path) -> None:
    logbook = tmp_path / "fed.logbook"
    text = path_of(bench).read_text(encoding="utf-8")
    new = ("--new", "--source", "hose off", "--hold", f"{bench.hold_s:.0f} s")
    fed = called("feed", "--build", "b", *new, text=text, logbook=logbook)
    assert (fed.status, fed.lines[-1]) == (0, f"stored {round(bench.hold_s / bench.every_s) + 1}")
    closed = called("end-hold", "b", logbook=logbook)
    assert closed.lines[0] == f"verdict: {bench.verdict}"


# --- the demo workshop ---------------------------------------------------------------------------------------------


def test_the_demo_is_a_sound_logbook_with_a_failed_hold_and_its_cure(tmp_path: Path) -> None:
    opened = sample_logbook(tmp_path)
    book = opened.book
    try:
        assert book.verify() == []
        assert book.read_only_because == ""
        assert book.shop().operator == "Ilka"
        desk = book.build(book.find_build("Window desk"))
        assert [hold.verdict_entry.verdict.outcome for hold in holds_of(desk) if hold.verdict_entry] == ["fail", "pass"]
        assert [finding.proved_by for finding in desk.findings] == [2]
        assert desk.problems == ()
        box = book.build(book.find_build("Travel box"))
        assert (holds_of(box), len(box.parts)) == ((), 3)
        assert next(warning.code for warning in book.work(Sheet).warnings(box)) == "mixed_metals"
    finally:
        book.close()


def test_each_state_that_a_stage_can_be_in_stands_in_the_demo(tmp_path: Path) -> None:
    opened = sample_logbook(tmp_path)
    book = opened.book
    try:
        words = {row.name: [str(rung.word) for rung in book.ladder(book.build(row.build_id))] for row in book.builds()}
        assert words["Loft desk"] == ["passed"] * 7
        assert words["Guest cube"] == ["failed", *["locked"] * 6]
        assert words["Travel box"] == ["open", *["locked"] * 6]
        assert words["Window desk"] == [*["passed"] * 4, "stale", "locked", "locked"]
        cube, loft = (book.build(book.find_build(name)) for name in ("Guest cube", "Loft desk"))
        assert [finding.cured_at for finding in cube.findings] == [None]
        assert any(chain.pump for chain in loft.plugged.chains)
    finally:
        book.close()


def test_a_hold_runs_in_the_demo_from_its_start_and_its_clock_is_the_computers(tmp_path: Path) -> None:
    # 12 min 0 s by the readings that are said to be taken then: a tight loop falls by 0.1 mbar
    opened = sample_logbook(tmp_path, begin=[face.sample for face in job().stages()])
    book = opened.book
    try:
        shelf = book.build(book.find_build("North shelf"))
        hold = hold_of(shelf)
        assert hold.running
        assert 720 <= book.work(Holds).elapsed_s(shelf) < 720 + PATIENCE_S
        assert [round(reading.elapsed.elapsed_s) for reading in hold.readings] == [0, 300, 600]
        now_ms = time.time() * 1000
        assert abs(book.clock.now().wall_ms - now_ms) < 1000 * PATIENCE_S
        assert book.verify() == []
        assert all(earlier.mark.wall_ms <= later.mark.wall_ms for earlier, later in pairwise(book.log.entries()))
    finally:
        book.close()


def test_the_demo_bundle_is_what_its_script_writes(tmp_path: Path) -> None:
    # without the text of the procedure, and without figures, whose last digits differ between processors
    (tmp_path / "again").mkdir()
    target = tmp_path / "again" / "workshop.jsonl"
    target.write_text("".join(make(tmp_path)), encoding="utf-8")
    again = entries_of(target, tmp_path / "again.logbook")
    shipped = entries_of(FOLDER / "workshop.jsonl", tmp_path / "shipped.logbook")
    assert [bare(entry) for entry in again] == [bare(entry) for entry in shipped]


def entries_of(bundle: Path, target: Path) -> list[Logged]:
    done = called("import", str(bundle), logbook=target)
    assert done.status == 0, done.err
    opened = open_logbook(target, read_only=True)
    try:
        return opened.book.log.entries()
    finally:
        opened.book.close()


def rounded(value: Any) -> Any:
    """Return the same with every figure to nine digits."""
    if isinstance(value, float):
        return float(f"{value:.8e}")
    if isinstance(value, tuple):
        return tuple(map(rounded, value))
    if not isinstance(value, Frozen):
        return value
    fields = {name: rounded(getattr(value, name)) for name in value.__struct_fields__}
    return replace(value, **fields)


def bare(entry: Logged) -> Logged:
    payload = entry.payload
    if isinstance(payload, BuildOpened):
        payload = replace(payload, procedure="")
    if isinstance(payload, ProcedureAdopted):
        payload = replace(payload, toml="", digest="")
    if isinstance(payload, HoldClosed):
        verdict = replace(
            payload.verdict, leak_rate=None, drop_pa=None, start_gauge_pa=None, smallest_detectable=None,
            hold_needed_s=None, settling_s=0.0, duration_s=0.0, reasons=(), plain_rules=(),
        )  # fmt: skip
        payload = replace(payload, verdict=verdict)
    payload = rounded(payload)
    return replace(entry, payload=payload, digest="")
