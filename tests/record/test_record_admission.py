"""What the screens would refuse is not imported; what an honest program wrote is."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from commission.base.clock import ClockMark
from commission.base.errors import FileError
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.record.entries import (
    BuildBroughtBack,
    BuildOpened,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    NoteAdded,
    OperatorNamed,
    ProcedureAdopted,
    SessionOpened,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.logged import Logged, Sample
from commission.record.machine.instrument import GaugeFace
from commission.record.mishap import Mishap, WentWrong
from commission.record.payload import Payload
from commission.record.series_entries import SeriesSealed
from commission.stages.bleed.entries import BleedCycleDone
from commission.stages.bleed.work import Bleeds
from commission.stages.build_sheet.entries import PartAdded, PartLeftOut, PartRated, PartRemoved, VolumeMeasured
from commission.stages.fan_headers.entries import ChainMoved, HeaderRemoved, LevelSwept
from commission.stages.fill.entries import CoolantPoured
from commission.stages.first_power.entries import JointLooked
from commission.stages.pressure_hold.entries import (
    Ending,
    HoldClosed,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
    Rig,
    RigDescribed,
    RowsRefused,
    RowWithdrawn,
    SearchBegun,
    SearchPumped,
    SourceIsolated,
    SourceOff,
)
from commission.stages.pressure_hold.work.holds import Holds
from commission.storage.exchange import export_bundle
from commission.storage.samples import Row, row_of
from tests.fakes import new_book
from tests.holds import GAUGE, PLAN, RADIATOR, air_reads, gauge_reads, ready_build, start_hold, type_hold
from tests.power_builds import supplied_build, watch_pump
from tests.registered import import_bundle, new_admission, open_log
from tests.storage.making import filled
from tests.wet_builds import bleeding_build, cycle, run_cycle

DATA = Path(__file__).parent.parent / "data"


def _record(*, closed: bool = False, started: bool = True) -> list[Logged]:
    """Return the entries of a workshop with one build whose hold runs, or was closed."""
    book, log, clock = new_book()
    build = ready_build(book)
    if started:
        start_hold(book, build)
        type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.1, minutes=10)
    if closed:
        book.work(Holds).close(build, Ending.BY_HAND)
    return log.stored


def _admit(entries: list[Logged]) -> None:
    admission = new_admission()
    for entry in entries:
        admission.entry(entry)


def _build_of(entries: list[Logged]) -> str:
    return next(entry.build for entry in entries if isinstance(entry.payload, BuildOpened))


def _after(entries: list[Logged], payload: Payload, *, build: str | None = None, **more: object) -> list[Logged]:
    last = entries[-1]
    more = {"observed_ms": None, **more}
    one = replace(
        last,
        seq=last.seq + 1,
        uid="new",
        build=_build_of(entries) if build is None else build,
        payload=payload,
        **more,  # type: ignore[arg-type]
    )
    return [*entries, one]


def _refusal(entries: list[Logged]) -> str:
    _admit(entries[:-1])
    with pytest.raises(FileError) as caught:
        _admit(entries)
    message = str(caught.value)
    assert message.startswith(f"entry {entries[-1].seq}: ")
    assert "\n" not in message
    return message


def test_what_the_logbook_itself_recorded_is_taken() -> None:
    _admit(_record())
    _admit(_record(closed=True))


def _reading(**more: object) -> ReadingTaken:
    plain = ReadingTaken(attempt=1, pressure=gauge_reads(499.9), air=None, barometer=None)
    return replace(plain, **more)  # type: ignore[arg-type]


RUNNING: list[tuple[Payload, str]] = [
    (PartAdded(part=RADIATOR, typed=()), "a part is added or removed while a hold runs"),
    (SourceIsolated(attempt=1, how=SourceOff.HOSE_OFF), "before the start is changed while a hold runs"),
    (RigDescribed(attempt=1, rig=Rig.OWN_GAUGE), "before the start is changed while a hold runs"),
    (PartLeftOut(part_id="x", reason="x"), "before the start is changed while a hold runs"),
    (HoldPlanned(attempt=1, plan=PLAN), "a hold is planned or started while one runs"),
    (HoldStarted(attempt=1, plan=PLAN, series="z"), "a hold is planned or started while one runs"),
    (HoldExtended(attempt=1, hold_s=60.0), "must be longer than it was planned"),
    (_reading(attempt=2), "an attempt that is not this one"),
    (_reading(pressure=None), "nothing was read"),
    (_reading(pressure=Measured(quantity=Quantity.GAUGE_PRESSURE, si=1e9, typed="1e9 Pa")), "that cannot be"),
    (_reading(air=Measured(quantity=Quantity.TEMPERATURE, si=-3.0, typed="-3 K")), "that cannot be"),
    (NoteAdded(text="x" * 70_000), "one of its texts has 70000 characters; 65536 are the most"),
    (PressureLetDown(attempt=1, gauge=gauge_reads(0.0)), "no hold was ended before it"),
    (SearchBegun(attempt=1, suspects=("pump",)), "was not ended before it"),
    (SearchPumped(attempt=1, behind="pump", gauge=gauge_reads(500.0)), "was not ended before it"),
    (FindingRaised(finding_id="f", stage="x", attempt=1, where="seal", part_id=None, note=" "), "what was found"),
    (BuildBroughtBack(), "was not put away"),
    (WentWrong(mishap_id="m", what=Mishap.LEAK, where=" ", seen="drips"), "where it was"),
    (WentWrong(mishap_id="m", what=Mishap.LEAK, where="port", seen=""), "what was seen"),
    (WentWrong(mishap_id="m", what=Mishap.LEAK, where="port", seen="x", from_bottle=True), "coolant that was spill"),
    (WentWrong(mishap_id="m", what=Mishap.SPILL, where="b", seen="x", amount=gauge_reads(1.0)), "is a volume"),
    (FindingCured(finding_id="f", cure="new seal"), "a defect that was never found"),
    (StageOverridden(stage="fill", reason=" "), "needs a reason"),
    (StageOverridden(stage="tea", reason="thirst"), 'has no stage "tea"'),
    (StepDone(stage="tea", attempt=1, step="x"), 'has no stage "tea"'),
    (Withdrawn(target=999, reason="x"), "it withdraws entry 999, which is none of the same build before it"),
    (BuildOpened(name="Other", procedure=""), "this build was opened before"),
    (VolumeMeasured(method="strokes", volume_m3=3.0, u_volume_m3=0.1, inputs=()), "no sensible volume"),
    (LevelSwept(readings=()), "no sweep was begun before it"),
    (HeaderRemoved(header_id="h", reason="gone"), "no such header"),
    (ChainMoved(chain_id="c", header_id=None, why="x"), "no such fan chain"),
    (OperatorNamed(name="Kim"), "belongs to the workshop, not to a build"),
    (SessionOpened(program="1", sqlite="3", python="3", system="x"), "stands where it never belongs"),
    (ProcedureAdopted(toml="", digest=""), "stands where it never belongs"),
    (SeriesSealed(series="z", first=1, last=2, digest=""), "stands where it never belongs"),
]  # fmt: skip


@pytest.mark.parametrize(("payload", "message"), RUNNING, ids=lambda value: getattr(value, "KIND", None))
def test_what_a_running_hold_would_refuse_is_not_taken(payload: Payload, message: str) -> None:
    assert message in _refusal(_after(_record(), payload))


BEFORE: list[tuple[Payload, str]] = [
    (_reading(), "no hold runs before it"),
    (HoldExtended(attempt=1, hold_s=9e4), "no hold runs before it"),
    (RowsRefused(attempt=1, elapsed_s=60.0), "no hold runs before it"),
    (RowWithdrawn(attempt=1, number=2, reason="x"), "no hold is running"),
    (HoldStarted(attempt=1, plan=PLAN, series="z"), "the hold has no plan before it"),
    (HoldPlanned(attempt=1, plan=replace(PLAN, hold_s=0.0)), "must all be above 0"),
    (HoldPlanned(attempt=3, plan=PLAN), "an attempt that is not this one"),
    (PartAdded(part=replace(RADIATOR, volume_m3=5.0), typed=()), "check the unit"),
    (PartAdded(part=replace(RADIATOR, max_gauge_pa=-1.0), typed=()), "check the unit"),
    (PartRemoved(part_id="nothing", reason="x"), "no such part"),
    (PartLeftOut(part_id="nothing", reason="x"), "no such part"),
    (PartRated(part_id="nothing", rating=gauge_reads(500)), "no such part"),
]


@pytest.mark.parametrize(("payload", "message"), BEFORE, ids=lambda value: getattr(value, "KIND", None))
def test_what_needs_a_running_hold_is_not_taken_without_one(payload: Payload, message: str) -> None:
    assert message in _refusal(_after(_record(started=False), payload))


def test_a_hold_that_skipped_cautions_or_steps_is_not_taken() -> None:
    planned = _after(_record(started=False), HoldPlanned(attempt=1, plan=PLAN))
    assert "cautions are not answered before it" in _refusal(
        _after(planned, HoldStarted(attempt=1, plan=PLAN, series="z"))
    )
    started = _record()
    at = next(i for i, entry in enumerate(started) if isinstance(entry.payload, HoldStarted))
    skipped = [entry for entry in started[: at + 1] if not isinstance(entry.payload, StepDone)]
    assert "steps are not done before it" in _refusal(skipped)


def test_a_gauge_described_anew_under_its_own_id_is_taken() -> None:
    dial = replace(GAUGE, face=GaugeFace.DIAL, tapped=True)
    _admit(_after(_record(), InstrumentAdded(instrument=dial), build=""))


def test_a_part_is_left_out_with_a_reason_and_rated_above_nothing() -> None:
    entries = _record(started=False)
    part = next(entry.payload.part.part_id for entry in entries if isinstance(entry.payload, PartAdded))
    _admit(_after(entries, PartRated(part_id=part, rating=gauge_reads(700))))
    assert "needs a reason" in _refusal(_after(entries, PartLeftOut(part_id=part, reason=" ")))
    assert "must be above 0" in _refusal(_after(entries, PartRated(part_id=part, rating=gauge_reads(0))))


def test_a_second_end_is_not_taken() -> None:
    entries = _record(closed=True)
    closing = next(entry.payload for entry in entries if isinstance(entry.payload, HoldClosed))
    assert "no hold runs before it" in _refusal(_after(entries, closing))


SHOP: list[tuple[Payload, str]] = [
    (InstrumentAdded(instrument=replace(GAUGE, instrument_id="other")), "already"),
    (InstrumentAdded(instrument=replace(GAUGE, name="other", low=9e9)), "from low to high"),
    (InstrumentAdded(instrument=replace(GAUGE, name="other", resolution=5e4)), "a quarter of the range"),
    (InstrumentAdded(instrument=replace(GAUGE, name="x" * 81)), "81 characters"),
    (OperatorNamed(name=" "), "a name is wanted"),
    (_reading(), "belongs to a build"),
]


@pytest.mark.parametrize(("payload", "message"), SHOP)
def test_what_the_workshop_would_refuse_is_not_taken(payload: Payload, message: str) -> None:
    assert message in _refusal(_after(_record(), payload, build=""))


def test_a_build_that_was_never_opened_or_opened_twice_is_not_taken() -> None:
    entries = _record()
    opened = next(entry.payload for entry in entries if isinstance(entry.payload, BuildOpened))
    assert "a build that was never opened" in _refusal(_after(entries, NoteAdded(text="x"), build="nowhere"))
    assert "a build that was never opened" in _refusal(_after(entries, NoteAdded(text="x"), build="-"))
    assert "is taken" in _refusal(_after(entries, opened, build="b9"))
    other = replace(opened, name="New", procedure="0" * 64)
    assert "does not stand before it" in _refusal(_after(entries, other, build="b9"))
    for name in ("", "x" * 81):
        assert "name" in _refusal(_after(entries, replace(opened, name=name), build="b9"))


def _marked(entries: list[Logged], **change: object) -> list[Logged]:
    mark: ClockMark = replace(entries[-1].mark, **change)  # type: ignore[arg-type]
    return _after(entries, NoteAdded(text="x"), mark=mark)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"offset_min": 841}, "no zone is 841 min from UTC"),
        ({"offset_min": -721}, "no zone is -721 min from UTC"),
        ({"wall_ms": -1}, "a time that cannot be"),
        ({"wall_ms": 253_402_300_800_000}, "a time that cannot be"),
        ({"mono_ms": -1}, "a time that cannot be"),
        ({"boot_ms": -1}, "a time that cannot be"),
    ],
)
def test_clocks_and_zones_that_cannot_be_are_not_taken(change: dict[str, object], message: str) -> None:
    assert message in _refusal(_marked(_record(), **change))


def test_what_was_seen_after_it_was_entered_is_not_taken() -> None:
    entries = _record()
    wall = entries[-1].mark.wall_ms
    assert "before the start of the hold or after" in _refusal(_after(entries, _reading(), observed_ms=wall + 1))
    assert "before the start of the hold or after" in _refusal(_after(entries, _reading(), observed_ms=5))
    seen = _after(entries, NoteAdded(text="x"), observed_ms=wall + 86_400_001)
    assert "it was seen long after it was entered" in _refusal(seen)


def test_a_withdrawal_is_taken_once_and_never_of_what_all_rests_on() -> None:
    entries = _record()
    reading = next(entry.seq for entry in entries if isinstance(entry.payload, ReadingTaken))
    begun = next(entry.seq for entry in entries if isinstance(entry.payload, HoldStarted))
    once = _after(entries, Withdrawn(target=reading, reason="typed wrong"))
    _admit(once)
    assert "was already" in _refusal(_after(once, Withdrawn(target=reading, reason="again")))
    assert "cannot be withdrawn" in _refusal(_after(entries, Withdrawn(target=begun, reason="x")))
    assert "needs a reason" in _refusal(_after(entries, Withdrawn(target=reading, reason=" ")))


def _sample(elapsed_s: float, **more: object) -> Row:
    plain = Sample(elapsed_s=elapsed_s, wall_ms=5, pressure_pa=5e4, air_k=None, barometer_pa=None, typed="x")
    return row_of(replace(plain, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([_sample(-1.0)], "reading 1 of a hold is not later"),
        ([_sample(0.0), _sample(0.0)], "reading 2 of a hold is not later"),
        ([_sample(0.0), _sample(9.0), _sample(8.0)], "reading 3 of a hold is not later"),
        ([_sample(0.0, pressure_pa=2e5)], 'reading 1 of a hold is above the range of "bench gauge"'),
        ([_sample(0.0, wall_ms=-1)], "a time or a text that cannot be"),
        ([_sample(0.0, typed="x" * 70_000)], "a time or a text that cannot be"),
    ],
)
def test_samples_that_a_hold_would_refuse_are_not_taken(rows: list[Row], message: str) -> None:
    entries, admission = _record(), new_admission()
    for entry in entries:
        admission.entry(entry)
    series = next(entry.payload.series for entry in entries if isinstance(entry.payload, HoldStarted))
    with pytest.raises(FileError, match=message):
        admission.samples(series, 1, rows)
    with pytest.raises(FileError, match="no entry begins anything with it"):
        admission.samples("nothing", 1, [_sample(0.0)])


@pytest.mark.parametrize(
    "bundle", sorted(DATA.glob("version_*/*.jsonl")), ids=lambda path: f"{path.parent.name}-{path.stem}"
)
def test_what_an_honest_version_wrote_is_taken(bundle: Path, tmp_path: Path) -> None:
    with bundle.open("rb") as lines:
        import_bundle(lines, tmp_path / "x", admit=new_admission())
    log = open_log(tmp_path / "x", holder="tests")
    assert "".join(export_bundle(log)) == bundle.read_text(encoding="utf-8")
    log.close()


def test_a_refused_bundle_names_line_and_entry_and_leaves_nothing(tmp_path: Path) -> None:
    log = filled(tmp_path / "x")
    lines = list(export_bundle(log))
    log.close()
    with pytest.raises(FileError, match=r'line 2: entry 1: "note added" for a build that was never opened'):
        import_bundle(lines, tmp_path / "y", admit=new_admission())
    assert not (tmp_path / "y").exists()


def test_a_bleed_with_a_cycle_that_took_nothing_is_taken() -> None:
    book, log, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 0)
    run_cycle(book, clock, build, 12)
    _admit(log.stored)


def test_air_alone_is_a_reading() -> None:
    """A reading of the air alone is one that the screens take."""
    _admit(_after(_record(), _reading(pressure=None, air=air_reads(21.0))))


def _bled() -> list[Logged]:
    book, log, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 3)
    return log.stored


def _with(kind: type, change: Callable[[Any], Payload], entries: list[Logged]) -> list[Logged]:
    """Return the entries up to the last of a kind, with that one changed."""
    place = max(n for n, entry in enumerate(entries) if isinstance(entry.payload, kind))
    changed = replace(entries[place], payload=change(entries[place].payload))
    return [*entries[:place], changed]


@pytest.mark.parametrize("litres", [-0.1, 501.0, float("nan")])
def test_an_amount_of_coolant_that_cannot_be_typed_is_not_taken(litres: float) -> None:
    def change(poured: CoolantPoured) -> CoolantPoured:
        dose = replace(poured.pour.dose, volume_m3=litres / 1000)
        return replace(poured, pour=replace(poured.pour, dose=dose))

    assert "of coolant, which cannot be" in _refusal(_with(CoolantPoured, change, _bled()))


@pytest.mark.parametrize("wrong", [{"run_s": -1.0}, {"resolution_m3": 0.0}])
def test_a_cycle_that_cannot_be_is_not_taken(wrong: dict[str, Any]) -> None:
    def change(done: BleedCycleDone) -> BleedCycleDone:
        return replace(done, cycle=replace(done.cycle, **wrong))

    assert "time run is below 0, or its resolution" in _refusal(_with(BleedCycleDone, change, _bled()))


def test_a_pour_into_a_loop_that_still_holds_pressure_is_not_taken() -> None:
    kept = [entry for entry in _bled() if not isinstance(entry.payload, PressureLetDown)]
    first = next(n for n, entry in enumerate(kept) if isinstance(entry.payload, CoolantPoured))
    numbered = [replace(entry, seq=n) for n, entry in enumerate(kept[: first + 1], 1)]
    assert "before the pressure of the last hold was vented" in _refusal(numbered)


def test_a_look_at_a_joint_that_is_not_watched_is_not_taken() -> None:
    book, log, clock = new_book()
    watch_pump(book, clock, supplied_build(book, clock))

    def change(looked: JointLooked) -> JointLooked:
        return replace(looked, look=replace(looked.look, joint="nowhere"))

    assert "not on the list of the watch" in _refusal(_with(JointLooked, change, log.stored))


def test_what_is_said_to_be_done_before_what_stands_before_it_is_refused() -> None:
    book, log, clock = new_book()
    build = bleeding_build(book, clock)
    clock.run(3600)
    begun_ms = log.stored[-1].mark.wall_ms
    with book.past.written_up(begun_ms + 1_800_000):
        book.work(Bleeds).cycle(build, cycle(0))
    _admit(log.stored)
    late = [*log.stored[:-1], replace(log.stored[-1], observed_ms=begun_ms - 1)]
    assert "in the order in which they were done" in _refusal(late)
