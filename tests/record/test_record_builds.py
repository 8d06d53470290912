"""Opening builds, naming people and instruments, withdrawing entries."""

import platform
import sqlite3
from pathlib import Path

import pytest

from commission import __version__
from commission.base.errors import CommissionError, NotAllowed, ReadOnly, UnknownName
from commission.base.frozen import replace
from commission.procedure.load import default_toml
from commission.record.entries import SessionOpened
from commission.record.ladder import StageWord
from commission.record.logbook import Logbook
from commission.record.record import SESSIONS, SHOP
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import new_book
from tests.holds import GAUGE, PLAN, RADIATOR, gauge_reads, ready_build, start_hold, type_hold
from tests.registered import REGISTRY, open_logbook
from tests.soaks import soaking


def test_a_session_is_recorded_once_and_only_before_the_first_entry() -> None:
    book, log, _ = new_book()
    assert book.builds() == ()
    assert log.stored == []
    book.name_operator("Kim")
    book.open_build("Blue Heron")
    sessions = [entry for entry in log.stored if isinstance(entry.payload, SessionOpened)]
    assert [(entry.seq, entry.build) for entry in sessions] == [(1, SESSIONS)]


def test_every_entry_carries_who_did_it() -> None:
    book, log, _ = new_book()
    book.open_build("first")
    book.name_operator("Kim")
    book.open_build("second")
    opened = log.entries_of_kind("build opened")
    assert [entry.operator for entry in opened] == ["", "Kim"]
    again, _, _ = new_book(log)
    again.open_build("third")
    assert log.stored[-1].operator == "Kim"


@pytest.mark.parametrize("name", ["", "   ", "x" * 81])
def test_a_build_needs_a_name_of_sensible_length(name: str) -> None:
    book, log, _ = new_book()
    with pytest.raises(NotAllowed):
        book.open_build(name)
    assert log.stored == []


def test_a_procedure_is_stored_once_and_builds_name_it() -> None:
    book, log, _ = new_book()
    first, second = book.open_build("first"), book.open_build("second")
    adopted = log.entries_of_kind("procedure adopted")
    assert len(adopted) == 1
    assert {book.build(first).procedure, book.build(second).procedure} == {adopted[0].payload.digest}  # type: ignore[attr-defined]


def test_an_old_build_is_judged_by_the_procedure_it_was_opened_with() -> None:
    book, log, clock = new_book()
    old = book.open_build("old")
    newer = Logbook(
        log,
        clock,
        registry=REGISTRY,
        procedure_toml=default_toml().replace("value = 1800", "value = 2700"),
        program="later",
        new_id=lambda: f"later{log.head().seq}",
    )
    new = newer.open_build("new")
    lengths = [newer.procedure(newer.build(b)).stage("pressure_hold").limit("hold_s") for b in (old, new)]
    assert lengths == [1800, 2700]


def test_two_builds_cannot_share_a_name_that_reads_the_same() -> None:
    book, _, _ = new_book()
    book.open_build("Blue  Heron")
    with pytest.raises(NotAllowed, match="already"):
        book.open_build("blue heron ")
    assert book.find_build("BLUE HERON") == book.builds()[0].build_id


def test_an_unknown_build_is_answered_with_those_there_are() -> None:
    book, _, _ = new_book()
    book.open_build("Blue Heron")
    with pytest.raises(UnknownName, match="Blue Heron"):
        book.find_build("Red Heron")


@pytest.mark.parametrize(
    "change",
    [
        {"resolution": 0.0},
        {"resolution": -1.0},
        {"accuracy": -1.0},
        {"low": 100_000.0},
        {"resolution": 50_000.0},
        {"resolution": float("nan")},
    ],
)
def test_an_instrument_whose_figures_contradict_each_other_is_refused(change: dict[str, float]) -> None:
    book, log, _ = new_book()
    with pytest.raises(NotAllowed):
        book.add_instrument(replace(GAUGE, **change))  # type: ignore[arg-type]
    assert log.stored == []


def test_a_retired_instrument_is_no_longer_offered_but_stays_in_the_log() -> None:
    book, log, _ = new_book()
    book.add_instrument(GAUGE)
    book.retire_instrument(GAUGE.instrument_id, "dropped")
    assert book.shop().instruments == ()
    assert len(log.entries(SHOP)) == 2


def test_a_withdrawn_entry_stays_and_no_longer_counts() -> None:
    book, log, _ = new_book()
    build_id = ready_build(book)
    added = book.build(build_id).last
    assert added is not None
    book.withdraw(added.seq, "typed twice")
    state = book.build(build_id)
    assert state.parts == ()
    assert added in log.entries(build_id)
    with pytest.raises(NotAllowed, match="already"):
        book.withdraw(added.seq, "again")


def test_a_withdrawal_needs_a_reason_and_a_target_that_may_go() -> None:
    book, log, _ = new_book()
    build_id = ready_build(book)
    before = log.head()
    opened = log.entries(build_id)[0]
    for seq, reason, error in [
        (opened.seq, "x", NotAllowed),
        (1, "x", NotAllowed),
        (2, " ", NotAllowed),
        (99, "x", UnknownName),
        (0, "x", UnknownName),
        (-1, "x", UnknownName),
    ]:
        with pytest.raises(error):
            book.withdraw(seq, reason)
    assert log.head() == before


def test_a_changed_loop_makes_a_passed_hold_stale() -> None:
    book, _, clock = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    type_hold(book, clock, build_id, start_mbar=500, fall_mbar=0)
    from commission.stages.pressure_hold.entries import Ending

    book.work(Holds).close(build_id, Ending.PLANNED)
    assert book.ladder(book.build(build_id))[0].word is StageWord.PASSED
    added = book.work(Sheet).add_part(build_id, replace(RADIATOR, part_id="another"))
    rung = book.ladder(book.build(build_id))[0]
    assert rung.word is StageWord.STALE
    assert str(added.seq) in rung.why


def test_the_loop_cannot_change_while_a_hold_runs() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    start_hold(book, build_id)
    with pytest.raises(NotAllowed, match="running"):
        book.work(Sheet).add_part(build_id, replace(RADIATOR, part_id="another"))
    part_id = book.build(build_id).parts[0].part_id
    with pytest.raises(NotAllowed, match="running"):
        book.work(Sheet).remove_part(build_id, part_id, "leaks")


@pytest.mark.parametrize(
    ("volume_m3", "u_m3", "rating"),
    [(0, 0, None), (-1, 0, None), (1.2, 0.1, None), (1e-3, 2e-3, None), (1e-3, 1e-4, 0.0), (float("nan"), 0, None)],
)
def test_a_part_with_senseless_figures_is_refused(volume_m3: float, u_m3: float, rating: float | None) -> None:
    book, log, _ = new_book()
    build_id = book.open_build("Blue Heron")
    before = log.head()
    with pytest.raises(NotAllowed):
        book.work(Sheet).add_part(
            build_id, replace(RADIATOR, volume_m3=volume_m3, u_volume_m3=u_m3, max_gauge_pa=rating)
        )
    assert log.head() == before


def test_a_measured_volume_counts_before_the_parts_until_the_loop_changes() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    book.work(Sheet).measure_volume(build_id, method="strokes", volume_m3=1.5e-3, u_volume_m3=2e-5, inputs=())
    volume = book.build(build_id).volume
    assert volume is not None
    assert (volume.basis, volume.volume_m3) == ("measured on air", 1.5e-3)
    book.work(Sheet).add_part(build_id, replace(RADIATOR, part_id="another"))
    volume = book.build(build_id).volume
    assert volume is not None
    assert volume.basis == "parts"


def test_a_log_that_cannot_be_written_refuses_and_keeps_answering() -> None:
    book, log, _ = new_book()
    build_id = ready_build(book)
    log.read_only_because = "another window writes"
    with pytest.raises(ReadOnly):
        book.add_note(build_id, "hello")
    assert book.build(build_id).name == "Blue Heron"


def test_warnings_name_the_gauge_and_the_pressure() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    state = book.build(build_id)
    assert book.work(Sheet).warnings(state) == ()
    book.add_instrument(replace(GAUGE, instrument_id="wide", name="workshop gauge", high=1e6, resolution=10_000))
    assert [phrase.code for phrase in book.work(Sheet).warnings(state)] == ["gauge_range"]
    assert "above_weakest_part" in [phrase.code for phrase in book.work(Sheet).warnings(state, 150_000)]


def test_one_error_type_covers_every_refusal() -> None:
    book, _, _ = new_book()
    build_id = ready_build(book)
    with pytest.raises(CommissionError):
        book.work(Holds).read(build_id, pressure=gauge_reads(500))
    with pytest.raises(CommissionError):
        book.work(Holds).plan(build_id, replace(PLAN, target_gauge_pa=200_000))


@pytest.mark.parametrize(("system", "release"), [("Linux", "2.6.40"), ("Plan", "9")])
def test_a_record_whose_machine_is_given_does_not_depend_on_this_one(
    system: str, release: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, _, _ = new_book()
    here.open_build("Blue Heron")
    monkeypatch.setattr("platform.system", lambda: system)
    monkeypatch.setattr("platform.release", lambda: release)
    monkeypatch.setattr("platform.python_version", lambda: "3.99")
    elsewhere, _, _ = new_book()
    elsewhere.open_build("Blue Heron")
    assert here.head() == elsewhere.head()


def test_a_session_names_what_the_program_runs_on(tmp_path: Path) -> None:
    book = open_logbook(tmp_path / "x.logbook").book
    book.open_build("Blue Heron")
    session = book.entries(SESSIONS)[0].payload
    book.close()
    assert session == SessionOpened(
        program=__version__,
        sqlite=sqlite3.sqlite_version,
        python=platform.python_version(),
        system=f"{platform.system()} {platform.release()}",
    )


@pytest.mark.parametrize(
    ("note", "done"),
    [("not really", False), ("No.", False), ("skipped it", False), ("not yet stained", True), ("no drops seen", True)],
)
def test_a_note_that_takes_a_done_back_is_refused(note: str, *, done: bool) -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    work = book.work(Holds)
    work.print_cautions(build)
    work.plan(build, PLAN)
    step = work.missing_steps(book.build(build))[0]
    if done:
        work.do_step(build, step, note)
    else:
        with pytest.raises(NotAllowed, match="says that it was not done"):
            work.do_step(build, step, note)


def test_a_note_that_says_wet_is_a_leak_while_coolant_is_in_and_a_stage_goes_on() -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    for wet in ("puddle under the pump", "coolant drips from the pump"):
        with pytest.raises(NotAllowed, match="says that something is wet: type leak or spill"):
            book.add_note(build, wet)
    book.add_note(build, "the liquid is blue, no drops")
    dry = ready_build(book, "Grey Owl")
    start_hold(book, dry)
    book.add_note(dry, "damp cellar")  # nothing is in the loop


def test_no_calibration_lies_after_today() -> None:
    book, _, _ = new_book()
    today = "2026-09-21"
    with pytest.raises(NotAllowed, match="2090-01-01 lies after today"):
        book.add_instrument(replace(GAUGE, calibrated_on="2090-01-01"))
    book.add_instrument(replace(GAUGE, calibrated_on=today))
