"""``commission search``: a leak is searched for from the shell, by the same lines as on the card."""

import json
from pathlib import Path

import pytest

from commission.instruments.system_clock import SystemClock
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock
from tests.holds import PLAN, ready_build, start_hold, type_hold
from tests.registered import open_logbook
from tests.shell.running import called

BUILD = "Blue Heron"


def test_a_leak_is_searched_for_from_the_shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clock, path = HandClock(), tmp_path / "bench.logbook"
    monkeypatch.setattr(SystemClock, "now", lambda _self: clock.now())
    book = open_logbook(path, clock=clock).book
    build = ready_build(book, BUILD)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=40.0)
    book.work(Holds).close(build)
    book.close()

    early = called("search", BUILD, "radiator in, radiator out", logbook=path)
    assert (early.status, "under pressure: vent it first" in early.err) == (2, True)
    assert called("vented", BUILD, "0 mbar", logbook=path).status == 0
    begun = called("search", BUILD, "radiator in, radiator out", logbook=path)
    assert begun.status == 0
    assert "suspects left: test rig, radiator in, radiator out" in begun.lines
    assert begun.lines[-1].startswith("next: Gauge at 0: clamp or plug behind test rig.")
    assert called("search", BUILD, "500", logbook=path).status == 0
    clock.run(1800)
    assert "this try" not in called("search", BUILD, "500 maybe", logbook=path).out
    tried = json.loads(called("search", BUILD, "500", "--json", logbook=path).out)
    assert tried["entries"][0]["kind"] == "leak search try"
    assert tried["entries"][0]["text"].endswith("500 mbar to 500 mbar in 30 min: tight")
    assert tried["remarks"][-1] == "next: vent, and type what the gauge shows"
    shown = called("show", BUILD, logbook=path)
    assert "hold 1 search suspects left: radiator in, radiator out" in shown.lines

    for line in ("0 mbar", "500"):
        assert called("search", BUILD, line, logbook=path).status == 0
    clock.run(1800)
    assert "suspects left: radiator in" in called("search", BUILD, "460 leaks", logbook=path).lines
    at_its_end = called("search", BUILD, "0 mbar", logbook=path).lines[-1]
    assert at_its_end == 'next: left: radiator in. "commission hold-defect" writes it down'
    # what the search narrowed it to is a place, as in "commission defect": a suspect, the rig, a part
    for place, stored in (
        ("radiator in", "unknown: radiator in: loose"),
        ("test rig", "rig: loose"),
        ("Top Radiator", "part: loose"),
        ("unknown", "unknown: loose"),
    ):
        written = called("hold-defect", BUILD, "loose", "--where", place, logbook=path)
        assert (written.status, written.err) == (0, "")
        assert any(f"hold 1, {stored};" in line for line in called("show", BUILD, logbook=path).lines)


def test_a_plan_asked_without_a_line_is_stored_once_and_shown_from_then_on(tmp_path: Path) -> None:
    path = tmp_path / "bench.logbook"
    book = open_logbook(path, clock=HandClock()).book
    book.work(Holds).plan(ready_build(book, BUILD), PLAN)
    book.close()
    # planned with a gauge of which nobody said if it has digits or a needle, as in older logbooks: shown all the same
    old = called("plan", BUILD, logbook=path)
    assert (old.status, old.lines[0][:16], "stored: entry" in old.out) == (0, "plan as stored: ", False)
    asked = called("plan", BUILD, "settle 12 min", logbook=path)
    assert (asked.status, 'then plan with the line "gauge ' in asked.err) == (2, True)
    gauge = ("instrument", "digital gauge", "--face", "digital", "--step", "0.1 mbar")
    assert called(*gauge, logbook=path).status == 0
    assert "stored: entry" in called("plan", BUILD, "gauge digital gauge", logbook=path).out
    shown = called("plan", BUILD, logbook=path)
    assert (shown.status, "stored: entry" in shown.out) == (0, False)
    assert shown.lines[0].startswith("plan as stored: ")
    assert "stored: entry" in called("plan", BUILD, "settle 12 min", logbook=path).out
