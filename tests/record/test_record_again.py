"""Verdicts that come in are judged again: who edits a bundle and makes its digests again gets no better word by it.

Outside: no pass without what it rests on (JCGM 106:2012, 7.3.3: conformity is decided by a measured value); +12 V is
11.40 to 12.60 V (ATX12V Power Supply Design Guide 2.2, 3.2.1: 5 %), so that 13.5 V is no pass; the digest of an entry
is SHA-256 over the one before, a line feed, and its text, worked here with the standard library alone.
"""

import functools
import hashlib
import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import FileError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bootstrap import import_bundle, look_at_import, merge_logbook
from commission.record.again import Again, judge_again
from commission.record.logged import Logged, SampleColumns
from commission.record.record import PROCEDURES
from commission.stages.bleed.entries import BleedCycleDone
from commission.stages.fan_headers.entries import SweepTaken
from commission.stages.fill.entries import CoolantPoured, PumpSupplyChosen
from commission.stages.first_power.entries import CableTested, JointLooked, MachineStarted, RailsRead, WetWatchEnded
from commission.stages.first_power.model.rails import Rail
from commission.stages.pressure_hold.entries import HoldClosed, ReadingTaken, SourceIsolated
from commission.stages.thermal_soak.entries import SoakClosed, SoakRead
from tests.make_sample_logs import FOLDER
from tests.registered import REGISTRY, open_log_for_reading
from tests.registered import import_bundle as read_bundle
from tests.shell.running import called, one_line

DEMO = FOLDER / "workshop.jsonl"
NOTHING = SampleColumns(elapsed_s=(), pressure_pa=(), air_k=(), barometer_pa=())


@functools.cache
def demo() -> tuple[tuple[Logged, ...], dict[str, SampleColumns], str]:
    """The entries and series of the sample logbook, and the version of the program that wrote it."""
    with tempfile.TemporaryDirectory() as folder, DEMO.open("rb") as lines:
        read_bundle(lines, Path(folder) / "demo.logbook")
        log = open_log_for_reading(Path(folder) / "demo.logbook")
        entries = tuple(log.entries())
        names = {
            one.payload.series for one in entries if hasattr(one.payload, "plan") and hasattr(one.payload, "series")
        }
        series = {name: log.samples(name) for name in names}
        log.close()
    return entries, series, next(one.payload.program for one in entries if hasattr(one.payload, "program"))


def again(seq: int, *without: type, samples: Callable[[str], SampleColumns] | None = None) -> Again:
    """Judge one entry of the sample logbook again, where entries of some kinds were taken out before it."""
    entries, series, program = demo()
    build = next(one.build for one in entries if one.seq == seq)
    left = [
        one
        for one in entries
        if one.seq <= seq
        and one.build in (build, PROCEDURES)
        and (one.seq == seq or not isinstance(one.payload, without))
    ]
    return judge_again(REGISTRY, program, left, samples or series.__getitem__, {seq})


def test_what_the_work_itself_judged_is_judged_the_same() -> None:
    entries, series, program = demo()
    verdicts = [one for one in entries if hasattr(one.payload, "verdict")]
    assert {type(one.payload) for one in verdicts} == set(REGISTRY.judged)
    assert judge_again(REGISTRY, program, entries, series.__getitem__) == Again()


@pytest.mark.parametrize(
    ("kind", "without"),
    [
        ("fill closed", CoolantPoured),
        ("fill closed", PumpSupplyChosen),
        ("bleed closed", BleedCycleDone),
        ("machine started", WetWatchEnded),
        ("machine started", CableTested),
        ("wet watch ended", JointLooked),
        ("first power closed", RailsRead),
        ("first power closed", MachineStarted),
        ("headers closed", SweepTaken),
        ("soak closed", SoakRead),
        ("handed over", SoakClosed),
    ],
)
def test_a_pass_whose_ground_was_taken_out_is_refused(kind: str, without: type) -> None:
    seq = next(one.seq for one in demo()[0] if kind == one.payload.KIND)
    assert again(seq) == Again()
    (line,) = again(seq, without).refusals
    assert line.startswith(f"entry {seq}: ")
    assert " stored as pass, " in line


def test_a_hold_that_passed_is_refused_without_its_readings() -> None:
    holds = ((one.seq, one.payload) for one in demo()[0] if isinstance(one.payload, HoldClosed))
    seq = next(seq for seq, hold in holds if hold.verdict.outcome is Outcome.PASS)
    (line,) = again(seq, ReadingTaken, samples=lambda _: NOTHING).refusals
    assert line.startswith(f"entry {seq}: pressure hold stored as pass, what stands before it judges in")
    (line,) = again(seq, SourceIsolated).refusals
    assert "judges inconclusive: How the source was off is not said" in line


# A bundle that was edited and hashed again


def _forged(program: str | None = None) -> str:
    """Return a bundle of the sample logbook up to its first hold, which leaks, edited by somebody who makes digests.

    That hold passes in it, by a program of one's choice.
    """
    out, before, count, series = list[str](), "", 0, ""
    for line in DEMO.read_text(encoding="utf-8").splitlines():
        data = json.loads(line)
        if "body" in data and not series:
            body = data["body"]
            if body["kind"] == "hold closed":
                series = next(name for name, seal in SEALS.items() if seal["digest"] == body["payload"]["digest"])
                assert body["payload"]["verdict"]["outcome"] == "fail"
                body["payload"]["verdict"]["outcome"] = "pass"
                body["payload"]["program"] = program or body["payload"]["program"]
            text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            before, count = hashlib.sha256(f"{before}\n{text}".encode()).hexdigest(), count + 1
            out.append(f'{{"body":{text},"digest":"{before}"}}')
        elif data.get("series") == series or "bundle" in data:
            out.append(line)
    end = {"end": {"entries": count, "digest": before, "series": {series: SEALS[series]}}}
    return "\n".join([*out, json.dumps(end, sort_keys=True, separators=(",", ":"))]) + "\n"


SEALS: dict[str, Any] = json.loads(DEMO.read_text(encoding="utf-8").splitlines()[-1])["end"]["series"]


def test_a_forged_pass_comes_in_neither_by_import_nor_by_merge(tmp_path: Path) -> None:
    bundle, target = tmp_path / "forged.jsonl", tmp_path / "new.logbook"
    bundle.write_text(_forged(), encoding="utf-8")
    said = "entry 33: pressure hold stored as pass, what stands before it judges fail: "
    with pytest.raises(FileError, match=said):
        import_bundle(bundle, target, REGISTRY)
    assert not target.exists()
    assert said in look_at_import(bundle, target, REGISTRY).refusals[0]
    assert called("open", "Other bench", logbook=target).status == 0
    before = target.read_bytes()
    with pytest.raises(FileError, match=said):
        merge_logbook(bundle, target, REGISTRY, "", dry=False)
    assert target.read_bytes() == before


def test_the_word_of_another_program_comes_in_where_somebody_wishes_so_and_is_told(tmp_path: Path) -> None:
    bundle, target = tmp_path / "older.jsonl", tmp_path / "new.logbook"
    bundle.write_text(_forged("0.0.9"), encoding="utf-8")
    refused = called("import", str(bundle), logbook=target)
    assert (refused.status, refused.out, target.exists()) == (2, "", False)
    assert one_line(refused.err).endswith("(--as-stored takes it as it stands)")
    assert called("import", str(bundle), "--dry-run", logbook=target).status == 2
    came = called("import", str(bundle), "--as-stored", logbook=target)
    assert came.status == 0
    assert "pressure hold stored as pass by program 0.0.9, what stands before it judges fail: " in came.out
    shown = called("show", "Window desk", logbook=target).out
    assert "pressure hold: judged by program 0.0.9, not judged again by" in shown


def test_a_voltage_that_was_edited_is_judged_by_what_it_says_now() -> None:
    entries, series, program = demo()
    seq, build = next((one.seq, one.build) for one in entries if isinstance(one.payload, RailsRead))
    left = [_too_high(one) if one.seq == seq else one for one in entries if one.build in (build, PROCEDURES)]
    (line,) = judge_again(REGISTRY, program, left, series.__getitem__, {seq}).refusals
    assert line.startswith(f"entry {seq}: rails read stored as pass, what stands before it judges fail: ")


def test_a_cable_that_was_flipped_to_a_pass_is_refused_with_what_is_wrong_with_it() -> None:
    """1.3 ohm is no sound wire: half a metre of AWG 18 has 0.01 ohm (ASTM B258: 21 mohm/m)."""
    entries, series, program = demo()
    seq, build = next((one.seq, one.build) for one in entries if isinstance(one.payload, CableTested))
    left = [_worn(one) if one.seq == seq else one for one in entries if one.build in (build, PROCEDURES)]
    (line,) = judge_again(REGISTRY, program, left, series.__getitem__, {seq}).refusals
    assert line.startswith(f"entry {seq}: cable tested stored as pass, what stands before it judges fail: ")


def _worn(entry: Logged) -> Logged:
    cable = entry.payload
    assert isinstance(cable, CableTested)
    assert cable.verdict.outcome is Outcome.PASS
    test = cable.test
    ohms = tuple(replace(one, ohm=1.3) for one in test.continuity)
    return replace(entry, payload=replace(cable, test=replace(test, continuity=ohms)))


def _too_high(entry: Logged) -> Logged:
    assert isinstance(entry.payload, RailsRead)
    readings = tuple(replace(one, volt=13.5) if one.rail is Rail.V12 else one for one in entry.payload.readings)
    return replace(entry, payload=replace(entry.payload, readings=readings))
