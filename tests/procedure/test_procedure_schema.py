"""The schema of a procedure stands in schemas/ and says what the types say; UPDATE_SCHEMAS=1 writes it again."""

import json
import os
import tomllib
from pathlib import Path

import jsonschema

from commission.procedure.load import default_toml
from commission.procedure.model import Procedure
from tests.json_schema import schema_of

FILE = Path(__file__).parents[2] / "schemas" / "procedure.schema.json"


def test_the_schema_file_is_what_the_types_say_and_the_shipped_procedure_fits_it() -> None:
    schema = schema_of(Procedure)
    if os.environ.get("UPDATE_SCHEMAS"):
        FILE.write_text(json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8")
    stored = json.loads(FILE.read_text(encoding="utf-8"))
    assert stored == json.loads(json.dumps(schema))
    jsonschema.validate(tomllib.loads(default_toml()), stored)


def test_a_key_that_no_type_knows_does_not_fit() -> None:
    data = tomllib.loads(default_toml()) | {"colour": "red"}
    validator = jsonschema.Draft202012Validator(json.loads(FILE.read_text(encoding="utf-8")))
    assert not validator.is_valid(data)
