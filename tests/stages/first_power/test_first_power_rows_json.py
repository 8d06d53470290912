"""The JSON of sweeps, voltages and layouts: schemas in files, schemas by an outside validator's word, and they fit.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.stages.fan_headers.rows.layout_json import LayoutTold
from commission.stages.fan_headers.rows.sweep_json import JudgedSweep
from commission.stages.first_power.rows.rails_json import JudgedRails
from tests.json_schema import schema_of
from tests.make_sweep_logs import BENCHES, RAILS
from tests.shell.running import SAMPLES, called

FOLDER = Path(__file__).parents[3] / "schemas"
SCHEMAS: dict[str, dict[str, Any]] = {
    "verdict-sweep": schema_of(JudgedSweep, "What commission judge sweep --json prints for each file"),
    "verdict-rails": schema_of(JudgedRails, "What commission judge rails --json prints for each file"),
    "calc-layout": schema_of(LayoutTold, "What commission calc layout --json prints"),
}
SWEEPS = [("judge", "sweep", f"sweeps/{bench.file}.csv") for bench in BENCHES]
VOLTAGES = [("judge", "rails", f"rails/{name}.csv") for name in RAILS]
LAYOUTS = [("calc", "layout", f"layouts/{name}.toml") for name in ("overloaded", "split")]
NAMES = {"sweep": "verdict-sweep", "rails": "verdict-rails", "layout": "calc-layout"}


def printed(group: str, command: str, file: str) -> dict[str, Any]:
    (line,) = called(group, command, "--json", str(SAMPLES / file)).lines
    assert line.isascii()
    found: dict[str, Any] = json.loads(line)
    return found


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_file_is_what_the_types_say(name: str) -> None:
    file = FOLDER / f"{name}.schema.json"
    text = json.dumps(SCHEMAS[name], indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        file.write_text(text, encoding="utf-8")
    assert file.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])


@pytest.mark.parametrize("call", [*SWEEPS, *VOLTAGES, *LAYOUTS], ids=lambda call: str(call[2]))
def test_what_a_command_prints_fits_its_schema_and_no_other(call: tuple[str, str, str]) -> None:
    found = printed(*call)
    fitting = [name for name, schema in SCHEMAS.items() if jsonschema.Draft202012Validator(schema).is_valid(found)]
    assert fitting == [NAMES[call[1]]]
    assert list(found) == list(SCHEMAS[fitting[0]]["properties"])


@pytest.mark.parametrize(
    ("call", "wrong"),
    [
        (SWEEPS[0], {"word": "good"}),
        (SWEEPS[0], {"outcome": "controlled"}),
        (SWEEPS[0], {"trend_p": "small"}),
        (SWEEPS[0], {"extra": 1}),
        (VOLTAGES[0], {"outcome": "controlled"}),
        (VOLTAGES[0], {"readings": [{}]}),
        (VOLTAGES[0], {"revision": "ATX4"}),
        (LAYOUTS[1], {"status": "good"}),
        (LAYOUTS[1], {"cost": 98.5}),
        (LAYOUTS[1], {"assignment": {"pump": 1}}),
        (LAYOUTS[1], {"loads": {"PUMP": 1500}}),
        (LAYOUTS[1], {"loads": {"PUMP": {"chains": [], "steady_ma": 1.5, "start_ma": 0, "rating_ma": 0}}}),
    ],
)
def test_a_schema_refuses_what_is_none(call: tuple[str, str, str], wrong: dict[str, Any]) -> None:
    validator = jsonschema.Draft202012Validator(SCHEMAS[NAMES[call[1]]])
    good = printed(*call)
    validator.validate(good)
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(good | wrong)


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_key_is_always_there_and_says_what_it_is(name: str) -> None:
    for shape in (SCHEMAS[name], *(each for each in SCHEMAS[name]["$defs"].values() if "properties" in each)):
        assert shape["required"] == sorted(shape["properties"])
        assert all(each["description"].endswith(".") for each in shape["properties"].values())
