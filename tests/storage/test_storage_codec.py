"""Entries to canonical text and back.

Sources: RFC 8259 (JSON), RFC 7493 (I-JSON: no repeated names, no lone surrogates, integers within 2**53 - 1).
"""

import json
import math
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.base.errors import FileError, InputError
from commission.base.frozen import Frozen, replace
from commission.record.entries import NoteAdded, Withdrawn
from commission.record.logged import Seal
from commission.record.machine.parts import Material, Part, PartKind
from commission.record.payload import Payload
from commission.stages.build_sheet.entries import PartAdded
from commission.stages.pressure_hold.entries import HoldClosed, ReadingTaken
from commission.storage.canonical import canonical, parse_json
from commission.storage.chain import body_of
from commission.storage.codec import decode, encode
from tests.registered import KINDS, read_body
from tests.storage.making import MARKS, PAYLOADS, TEXT, closed, draft, reading, strategy_of


def plain(value: Any) -> Any:
    """Return the JSON data of a value, field by field: written out, so that it owes nothing to the codec."""
    if isinstance(value, Frozen):
        return {name: plain(getattr(value, name)) for name in value.__struct_fields__}
    if isinstance(value, tuple):
        return [plain(item) for item in value]
    return value.value if isinstance(value, StrEnum) else value


READING = {
    "attempt": 1,
    "pressure": {"quantity": "gauge pressure", "si": 50000.0, "typed": "0,5 bar"},
    "air": None,
    "barometer": None,
    "note": "",
}


@given(PAYLOADS)
def test_every_entry_reads_back_as_it_was_written(payload: Payload) -> None:
    text = canonical(encode(payload))
    assert decode(cast("type[Any]", type(payload)), parse_json(text)) == payload


@given(PAYLOADS, MARKS, TEXT, st.none() | st.integers(-(2**50), 2**50))
def test_the_text_of_an_entry_holds_everything_its_draft_held(
    payload: Payload, mark: Any, name: str, seen: Any
) -> None:
    made = replace(draft(payload), mark=mark, operator=name, build=name, observed_ms=seen)
    body, text = body_of(made, 7)
    again, found = read_body(text)
    assert again == body
    assert found == payload
    assert (body.operator, body.build, body.wall_ms, body.observed_ms) == (name, name, mark.wall_ms, seen)


@given(PAYLOADS)
def test_the_text_is_ordinary_json_for_any_other_reader(payload: Payload) -> None:
    assert json.loads(canonical(encode(payload))) == plain(payload)


@given(PAYLOADS)
def test_the_text_is_that_of_its_fields_one_by_one(payload: Payload) -> None:
    text = json.dumps(plain(payload), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert canonical(encode(payload)) == text


def test_the_text_has_sorted_keys_no_spaces_and_letters_as_they_are() -> None:
    assert canonical({"b": [1.0, None, True], "a": "µ\u2028"}) == '{"a":"µ\u2028","b":[1.0,null,true]}'


def test_every_kind_has_a_word_of_its_own_and_the_codec_knows_its_fields() -> None:
    assert len({cls.KIND for cls in KINDS.values()}) == len(KINDS)
    for cls in KINDS.values():
        strategy_of(cast(Any, cls))


def _closed() -> HoldClosed:
    return closed(Seal(count=0, digest=""))


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_refused_on_the_way_in(bad: float) -> None:
    with pytest.raises(InputError, match=r'"pressure.si": a finite number was expected'):
        encode(reading(si=bad))


@pytest.mark.parametrize("bad", ["\ud800", "a\udfffb"])
def test_half_a_character_is_refused_on_the_way_in(bad: str) -> None:
    with pytest.raises(InputError, match="lone surrogate"):
        canonical(encode(NoteAdded(text=bad)))


@pytest.mark.parametrize(
    ("payload", "message"),
    [
        (NoteAdded(text=cast(str, 5)), "a text was expected, not 5"),
        (NoteAdded(text=cast(str, b"x")), "a text was expected, not b'x'"),
        (ReadingTaken(attempt=cast(int, True), pressure=None, air=None, barometer=None), "a whole number was expected"),
        (ReadingTaken(attempt=2**53, pressure=None, air=None, barometer=None), "too large"),
        (
            PartAdded(part=Part(part_id="", kind=PartKind.TUBE, name="", volume_m3=cast(float, "1"), u_volume_m3=0.0)),
            "a number was expected, not '1'",
        ),
        (PartAdded(part=cast(Part, None)), "an object was expected, not None"),
        (
            PartAdded(
                part=Part(
                    part_id="",
                    kind=PartKind.TUBE,
                    name="",
                    volume_m3=1.0,
                    u_volume_m3=0.0,
                    materials=cast(Any, ["pvc"]),
                )
            ),
            "is not of the type of its field",
        ),
        (
            PartAdded(
                part=Part(
                    part_id="",
                    kind=PartKind.TUBE,
                    name="",
                    volume_m3=1.0,
                    u_volume_m3=0.0,
                    materials=(Material.PVC, cast(Material, "lead")),
                )
            ),
            r'"part.materials.1": .lead. is none of',
        ),
    ],
)
def test_a_value_of_the_wrong_type_is_refused_on_the_way_in(payload: Payload, message: str) -> None:
    with pytest.raises(InputError, match=message):
        encode(payload)


def _with(**changes: object) -> dict[str, object]:
    return READING | changes


@pytest.mark.parametrize(
    ("data", "field", "message"),
    [
        ([], None, "an object was expected"),
        (None, None, "an object was expected"),
        (_with(colour="red"), "colour", "this key is not known"),
        ({key: value for key, value in READING.items() if key != "air"}, "air", "this key is missing"),
        (_with(attempt=1.5), "attempt", "a whole number was expected"),
        (_with(attempt=True), "attempt", "a whole number was expected"),
        (_with(attempt="1"), "attempt", "a whole number was expected"),
        (_with(attempt=2**53), "attempt", "too large"),
        (_with(note=None), "note", "a text was expected"),
        (_with(pressure={"quantity": "volume", "si": math.inf, "typed": ""}), "pressure.si", "a finite number"),
        (_with(pressure={"quantity": "volume", "si": math.nan, "typed": ""}), "pressure.si", "a finite number"),
        (_with(pressure={"quantity": "volume", "si": "5", "typed": ""}), "pressure.si", "a number was expected"),
        (_with(pressure={"quantity": "volume", "si": True, "typed": ""}), "pressure.si", "a number was expected"),
        (_with(pressure={"quantity": "volume", "si": 10**400, "typed": ""}), "pressure.si", "too large"),
        (_with(pressure={"quantity": "colour", "si": 5, "typed": ""}), "pressure.quantity", "is none of"),
        (_with(pressure={"quantity": 7, "si": 5, "typed": ""}), "pressure.quantity", "a text was expected"),
        (_with(pressure={"quantity": "volume", "si": 5}), "pressure.typed", "this key is missing"),
        (_with(pressure={"quantity": "volume", "si": 5, "typed": "", "x": 1}), "pressure.x", "this key is not known"),
    ],
)
def test_data_that_does_not_fit_is_refused_and_its_field_is_named(
    data: object, field: str | None, message: str
) -> None:
    with pytest.raises(FileError, match=message) as caught:
        decode(ReadingTaken, data)
    assert caught.value.field == field
    assert "\n" not in str(caught.value)


def test_a_key_may_be_missing_only_where_its_field_has_a_default() -> None:
    assert decode(ReadingTaken, {key: value for key, value in READING.items() if key != "note"}) == reading()


def test_a_whole_number_is_taken_where_a_number_is_due() -> None:
    found = decode(ReadingTaken, _with(pressure={"quantity": "gauge pressure", "si": 50000, "typed": "0,5 bar"}))
    assert found == reading()
    assert found.pressure is not None
    assert type(found.pressure.si) is float


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not JSON"),
        ("{", "not JSON"),
        ('{"a":1} x', "extra data"),
        ('{"a":1,"a":2}', 'the key "a" stands there twice'),
        ('{"a":{"b":1,"c":2,"b":1}}', 'the key "b" stands there twice'),
        ("NaN", "NaN is not a number"),
        ("[Infinity]", "Infinity is not a number"),
        ("[-Infinity]", "-Infinity is not a number"),
        ("9" * 5000, "too many digits"),
        ("[" * 100_000, "too deeply"),
        ('"' + "x" * (8 * 1024 * 1024) + '"', "longer than"),
        ("\ufeff{}", "not JSON"),
        ("'a'", "not JSON"),
    ],
)
def test_text_that_is_not_strictly_json_is_refused(text: str, message: str) -> None:
    with pytest.raises(FileError, match=message):
        parse_json(text)


def test_a_number_too_large_for_a_float_is_refused() -> None:
    text = json.dumps(READING).replace("50000.0", "1e999")
    with pytest.raises(FileError, match="a finite number was expected"):
        decode(ReadingTaken, parse_json(text))


@given(st.text(max_size=80))
def test_no_text_makes_the_reader_do_anything_but_refuse(text: str) -> None:
    for prefix in ("", '{"payload":', '{"kind":"note added","payload":'):
        with suppress(FileError):
            read_body(prefix + text)


JUNK: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(), max_size=12),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(st.characters(), max_size=12), inner, max_size=3)
    ),
    max_leaves=8,
)


@given(st.sampled_from([*KINDS.values()]), st.data())
def test_whatever_stands_in_the_fields_is_taken_or_refused_in_one_line(kind: Any, data: st.DataObject) -> None:
    body = plain(data.draw(strategy_of(kind)))
    where = body
    while inner := [key for key in where if isinstance(where[key], dict)]:
        if data.draw(st.booleans()):
            break
        where = where[data.draw(st.sampled_from(inner))]
    key = data.draw(st.sampled_from([*where]) | st.text(st.characters(), max_size=20)) if where else "x"
    where[key] = data.draw(JUNK)
    try:
        found = decode(kind, body)
    except FileError as error:
        refused = str(error)
    else:
        refused = ""
        assert plain(found) == body
    assert len(refused.splitlines()) <= 1


@pytest.mark.parametrize("key", ["`", "x` - at `$.note", "a - at `$.attempt[3]", "\ud800", "x\ny", "$[0]"])
def test_a_key_that_looks_like_a_message_is_refused_as_a_key(key: str) -> None:
    with pytest.raises(FileError, match=r"this key is not known|half a character"):
        decode(ReadingTaken, _with(**{key: 1}))


@pytest.mark.parametrize("word", ["x' - at `$.note", "a - at `$.attempt[3]`", "\ud800"])
def test_a_word_that_looks_like_a_message_is_refused_as_a_word(word: str) -> None:
    with pytest.raises(FileError, match=r"is none of|half a character"):
        decode(ReadingTaken, _with(pressure={"quantity": word, "si": 5.0, "typed": ""}))


def test_what_is_no_frozen_value_is_not_read_or_written() -> None:
    @dataclass(frozen=True)
    class Lax:
        when: int

    with pytest.raises(TypeError, match="Lax is no frozen value"):
        decode(Lax, {"when": 1, "unknown": 2})
    with pytest.raises(TypeError, match="Lax is no frozen value"):
        encode(Lax(1))


def test_a_number_of_a_library_is_written_as_a_plain_one() -> None:
    import numpy as np

    found = encode(reading(si=np.float64(0.1)))["pressure"]["si"]
    assert (type(found), found) == (float, 0.1)
    with pytest.raises(InputError, match="cannot be written"):
        encode(Withdrawn(target=cast(int, np.int64(3)), reason=""))
