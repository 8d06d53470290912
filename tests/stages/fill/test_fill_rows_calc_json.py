"""The JSON of the calculators: schemas in files, schemas by an outside validator's word, and they fit.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.stages.bleed.rows.calc_json import BleedAnswer
from commission.stages.fill.rows.calc_json import (
    CoolantAnswer,
    HeadspaceAnswer,
    HeadspaceError,
    MixAnswer,
    VolumeAnswer,
)
from tests.json_schema import DRAFT, schema_of
from tests.shell.running import called

FOLDER = Path(__file__).parents[3] / "schemas"


def schema_for(name: str) -> dict[str, Any]:
    title = f"What commission calc {name} --json prints"
    one: dict[str, type] = {
        "coolant": CoolantAnswer,
        "mix": MixAnswer,
        "bleed": BleedAnswer,
        "volume": VolumeAnswer,
    }
    if name in one:
        return schema_of(one[name], title)
    shapes = [schema_of(cls) for cls in (HeadspaceAnswer, HeadspaceError)]
    for shape in shapes:
        assert shape.pop("$defs") == {}
        del shape["$schema"]
    return {"$schema": DRAFT, "title": title, "oneOf": shapes}


SCHEMAS = {name: schema_for(name) for name in ("coolant", "mix", "headspace", "bleed", "volume")}
WATER = ("headspace", "--volume", "1 L", "--base", "water", "--from", "20 degC", "--to", "60 degC", "--json")
CALLS = [
    ("coolant", "--base", "water", "--temp", "22 degC", "--json"),
    ("coolant", "--base", "water", "--temp", "22 degC", "--weight", "653.4 g", "--json"),
    ("mix", "--base", "ethylene-glycol", "--target", "30 %", "--by", "volume", "--total", "2 L", "--json"),
    (*WATER, "--liquid", "950 mL"),
    (*WATER, "--liquid", "950 mL", "--rating", "50 kPa"),
    (*WATER, "--liquid", "990 mL"),
    ("bleed", "120 mL", "42 mL", "15 mL", "--error", "2 mL", "--json"),
    ("bleed", "120 mL", "--error", "2 mL", "--json"),
    ("volume", "--stroke", "60 mL", "--strokes", "5", "--rise", "250 mbar", "--barometer", "1 bar", "--json"),
]


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_file_of_a_calculator_is_what_the_types_say(name: str) -> None:
    file = FOLDER / f"calc-{name}.schema.json"
    text = json.dumps(SCHEMAS[name], indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        file.write_text(text, encoding="utf-8")
    assert file.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])


@pytest.mark.parametrize("call", CALLS, ids=" ".join)
def test_what_a_calculator_prints_fits_its_schema_and_no_other(call: tuple[str, ...]) -> None:
    told = called("calc", *call)
    (line,) = told.lines
    assert line.isascii()
    fitting = [
        name for name, schema in SCHEMAS.items() if jsonschema.Draft202012Validator(schema).is_valid(json.loads(line))
    ]
    assert fitting == [call[0]]


@pytest.mark.parametrize("wrong", [{"extra": 1}, {"gauge_pa": "high"}, {"gauge_pa": None}, {"error": "full"}])
def test_a_pressure_stands_never_beside_an_error(wrong: dict[str, Any]) -> None:
    validator = jsonschema.Draft202012Validator(SCHEMAS["headspace"])
    good: dict[str, Any] = {"gauge_pa": 1.0, "headspace_needed_m3": None, "reasons": []}
    validator.validate(good)
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(good | wrong)
