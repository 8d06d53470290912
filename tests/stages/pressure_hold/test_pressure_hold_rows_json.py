"""The JSON of a verdict: its schema stands in a file, is a schema by an outside validator's word, and fits.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import math
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.base.verdict import Outcome
from commission.bench.json_line import json_line
from commission.stages.pressure_hold.model import HoldVerdict, LeakRate
from commission.stages.pressure_hold.rows.hold_json import JudgedFile, judged_file
from tests.json_schema import schema_of
from tests.make_sample_logs import BENCHES, FOLDER
from tests.shell.running import called

FILE = Path(__file__).parents[3] / "schemas" / "verdict.schema.json"
SCHEMA = schema_of(JudgedFile, "What commission judge hold --json prints for each file")
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)

KEYS = [
    "file", "outcome", "reference_k", "leak_rate", "limit", "start_gauge_pa", "drop_pa", "duration_s", "settling_s",
    "readings", "smallest_detectable", "hold_needed_s", "late", "blind_s", "reasons",
]  # fmt: skip


def verdict(**more: Any) -> HoldVerdict:
    figures: dict[str, Any] = {
        "outcome": Outcome.INCONCLUSIVE,
        "leak_rate": None,
        "limit_pa_m3_s": 1e-3,
        "reference_k": 293.15,
        "start_gauge_pa": None,
        "drop_pa": None,
        "duration_s": 0.0,
        "settling_s": 0.0,
        "readings": 0,
        "smallest_detectable": None,
        "hold_needed_s": None,
    }
    return HoldVerdict(**(figures | more))


def test_the_schema_file_is_what_the_types_say() -> None:
    text = json.dumps(SCHEMA, indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        FILE.write_text(text, encoding="utf-8")
    assert FILE.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("file", [bench.file for bench in BENCHES])
def test_what_the_command_prints_fits_the_schema_and_has_the_keys_in_order(file: str) -> None:
    told = called("judge", "hold", "--json", str(FOLDER / f"{file}.csv"))
    (line,) = told.lines
    assert line.isascii()
    found = json.loads(line)
    VALIDATOR.validate(found)
    assert list(found) == KEYS
    if found["leak_rate"] is None:
        assert found["outcome"] == "invalid"
    else:
        assert list(found["leak_rate"]) == ["value", "lower95", "upper95", "level", "lower", "upper"]


@pytest.mark.parametrize(
    "wrong", [{"outcome": "good"}, {"readings": 1.5}, {"limit": None}, {"extra": 1}, {"leak_rate": {"value": 1.0}}]
)
def test_the_schema_refuses_what_is_none(wrong: dict[str, Any]) -> None:
    good = json.loads(json_line(judged_file("x.csv", verdict(), ())))
    VALIDATOR.validate(good)
    with pytest.raises(jsonschema.ValidationError):
        VALIDATOR.validate(good | wrong)


def test_what_is_not_finite_becomes_null() -> None:
    endless = LeakRate(value=0.0, lower95=-math.inf, upper95=math.inf)
    given = verdict(leak_rate=endless, smallest_detectable=math.inf, hold_needed_s=math.nan, drop_pa=-math.inf)
    found = json.loads(json_line(judged_file("x.csv", given, ("why",))))
    assert [found[key] for key in ("leak_rate", "smallest_detectable", "hold_needed_s", "drop_pa")] == [None] * 4


def test_a_hostile_name_stays_one_line_of_ascii() -> None:
    line = json_line(judged_file('x\n"\x1b[2J\u202e.csv', verdict(), ()))
    assert line.isascii()
    assert line.isprintable()
    assert json.loads(line)["file"] == 'x\n"\x1b[2J\u202e.csv'
