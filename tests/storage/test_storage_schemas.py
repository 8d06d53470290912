"""The schema of entries stands in a file, agrees with the codec, and is a schema by an outside validator's word.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import os
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.record.payload import Payload
from commission.stages.pressure_hold import model as pressure_hold
from commission.stages.pressure_hold.entries import ReadingTaken
from commission.stages.pressure_hold.model import HoldVerdict
from commission.storage.canonical import canonical
from commission.storage.chain import body_of
from commission.storage.codec import encode
from tests.json_schema import entry_schema, schema_of
from tests.registered import KINDS, read_body
from tests.storage.making import PAYLOADS, draft, reading, strategy_of

FILE = Path(__file__).parents[2] / "schemas" / "entry.schema.json"


def test_the_schema_file_is_what_the_types_say() -> None:
    text = json.dumps(entry_schema(), indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        FILE.write_text(text, encoding="utf-8")
    assert FILE.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"


def test_the_schema_is_a_schema_and_names_every_kind() -> None:
    jsonschema.Draft202012Validator.check_schema(entry_schema())
    assert [shape["properties"]["kind"]["const"] for shape in entry_schema()["oneOf"]] == list(KINDS)


@cache
def _validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(entry_schema())


@cache
def _validator_of(kind: str) -> jsonschema.Draft202012Validator:
    """Only the shape of one kind: no other takes it, since each names its own, and to try them all takes long."""
    schema = entry_schema()
    (shape,) = (shape for shape in schema["oneOf"] if shape["properties"]["kind"]["const"] == kind)
    assert "kind" in shape["required"]
    return jsonschema.Draft202012Validator(shape | {"$defs": schema["$defs"]})


def _is_valid(body: dict[str, Any]) -> bool:
    kind = body.get("kind")
    return bool((_validator_of(kind) if isinstance(kind, str) and kind in KINDS else _validator()).is_valid(body))


@settings(max_examples=60, deadline=None)
@given(PAYLOADS)
def test_every_entry_that_is_written_fits_the_schema(payload: Payload) -> None:
    _, text = body_of(draft(payload), 1)
    body = json.loads(text)
    _validator_of(body["kind"]).validate(body)


def _body() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(body_of(draft(reading()), 3)[1])
    return found


JUNK: st.SearchStrategy[Any] = st.sampled_from([None, True, "x", [], {}, -0.5, "volume"])


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_schema_and_codec_refuse_the_same_entries(data: st.DataObject) -> None:
    body = _body()
    target = data.draw(st.sampled_from([body, body["payload"], body["payload"]["pressure"]]))
    key = data.draw(st.sampled_from([*target, "unknown"]))
    if data.draw(st.booleans()):
        target.pop(key, None)
    else:
        target[key] = data.draw(JUNK)
    try:
        read_body(canonical(body))
    except FileError:
        assert not _is_valid(body)
    else:
        assert _is_valid(body)


@pytest.mark.parametrize("change", [{"kind": "coffee drunk"}, {"payload": {}}, {"seq": "1"}, {"extra": 1}])
def test_the_schema_refuses_what_is_no_entry(change: dict[str, Any]) -> None:
    _validator().validate(_body())
    with pytest.raises(jsonschema.ValidationError):
        _validator().validate(_body() | change)


@settings(max_examples=20, deadline=None)
@given(strategy_of(HoldVerdict))
def test_the_generator_serves_other_types_as_well(verdict: HoldVerdict) -> None:
    schema = schema_of(HoldVerdict, "Verdict of a hold")
    assert schema["title"] == "Verdict of a hold"
    jsonschema.Draft202012Validator(schema).validate(json.loads(canonical(encode(verdict))))


def test_the_words_under_each_field_stand_in_the_schema() -> None:
    properties = schema_of(ReadingTaken)["properties"]
    assert properties["pressure"]["description"] == "What the gauge showed."
    assert all("description" in each for each in properties.values())


def test_a_type_without_a_schema_is_refused() -> None:
    class Odd(Frozen):
        when: complex

    with pytest.raises(TypeError, match="no schema for"):
        schema_of(Odd)


def test_two_values_of_one_name_are_refused_since_the_schema_of_one_would_stand_for_both() -> None:
    class HoldVerdict(Frozen):
        rate: float

    class Both(Frozen):
        one: HoldVerdict
        other: pressure_hold.HoldVerdict

    with pytest.raises(TypeError, match="rename one of them"):
        schema_of(Both)
