"""A whole build from the shell alone: from an empty logbook to passed fan headers, by the commands of every stage."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.instruments.system_clock import SystemClock
from commission.shell.recording import Stored
from tests.fakes import START_MS, HandClock
from tests.json_schema import schema_of
from tests.shell.running import Ran, called, environment
from tests.shell.scripted_build import BUILD, Step, script, write_files
from tests.surroundings import PATIENCE_S

FILE = Path(__file__).parents[2] / "schemas" / "stored.schema.json"
SCHEMA: dict[str, Any] = schema_of(Stored, "What a command that records prints with --json")
STAGES = ("pressure hold", "fill", "bleed", "first power-on", "fan headers")
ON_A_DAY = """
import os, sys
from commission.__main__ import main
from commission.instruments.system_clock import SystemClock
from tests.fakes import HandClock
clock = HandClock()
clock.run(float(os.environ["RUN_S"]))
SystemClock.now = lambda _self: clock.now()
sys.argv = ["commission", *sys.argv[1:]]
main()
"""
"""The command in a process of its own, so long after the day of a clock that is wound by hand."""


def test_the_schema_file_is_what_the_types_say() -> None:
    text = json.dumps(SCHEMA, indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        FILE.write_text(text, encoding="utf-8")
    assert FILE.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def check(step: Step, done: Ran) -> None:
    assert done.status == step.status, (step.typed, done.err, done.out)
    if step.judged:
        assert any(line in (f"outcome: {step.judged}", f"verdict: {step.judged}") for line in done.lines), done.out


def all_passed(logbook: Path) -> None:
    shown = called("show", BUILD, logbook=logbook)
    for stage in STAGES:
        assert f"{stage}: passed, attempt 1" in shown.lines, shown.out
    sound = called("verify", logbook=logbook)
    assert sound.status == 0, sound.out


def in_a_process(step: Step, logbook: Path, run_s: float) -> Ran:
    done = subprocess.run(
        [sys.executable, "-c", ON_A_DAY, *step.typed],
        input=step.text.encode(),
        env=environment(logbook, {"RUN_S": str(run_s)}),
        capture_output=True,
        timeout=PATIENCE_S,
        check=False,
    )
    return Ran(done.returncode, done.stdout.decode(), done.stderr.decode())


def test_a_whole_build_is_recorded_by_commands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clock, logbook = HandClock(), tmp_path / "bench.logbook"
    monkeypatch.setattr(SystemClock, "now", lambda _self: clock.now())
    write_files(tmp_path)
    for step in script(tmp_path, START_MS):
        clock.run(step.after_s)
        if step.ends_a_stage:  # by a process of its own, which takes up what others stored
            run_s = (clock.wall_ms - START_MS) / 1000
            check(step, in_a_process(step, logbook, run_s))
        else:
            check(step, called(*step.typed, text=step.text, logbook=logbook))
    all_passed(logbook)
    # what the commands stored is what the screens would have: an import takes it, entry by entry
    assert called("export", str(tmp_path / "all.jsonl"), logbook=logbook).status == 0
    again = called("import", str(tmp_path / "all.jsonl"), logbook=tmp_path / "again.logbook")
    assert again.status == 0, again.err
    all_passed(tmp_path / "again.logbook")
