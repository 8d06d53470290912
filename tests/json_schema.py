"""JSON Schemas (draft 2020-12) read off the same type hints as the codec, so that they cannot drift apart."""

import ast
import inspect
import textwrap
from enum import StrEnum
from functools import cache
from typing import Any, get_args, get_origin

from commission.base.frozen import Frozen
from commission.storage.chain import Body
from commission.storage.codec import LARGEST_INT
from tests.hints import fields_of, item_of, optional_of
from tests.registered import KINDS

DRAFT = "https://json-schema.org/draft/2020-12/schema"

_PLAIN: dict[object, dict[str, Any]] = {
    str: {"type": "string"},
    int: {"type": "integer", "minimum": -LARGEST_INT, "maximum": LARGEST_INT},
    float: {"type": "number"},
    bool: {"type": "boolean"},
}


class _Definitions(dict[str, Any]):
    """The schemas that one schema stands on, by the names of their classes, and those classes."""

    def __init__(self) -> None:
        super().__init__()
        self.classes: dict[str, type] = {}


def schema_of(cls: type, title: str = "") -> dict[str, Any]:
    """Return the schema of a frozen value, complete with those of the values inside it."""
    definitions = _Definitions()
    top = _frozen(cls, definitions)
    return {"$schema": DRAFT, "title": title or cls.__name__, **top, "$defs": dict(sorted(definitions.items()))}


def entry_schema() -> dict[str, Any]:
    """Return the schema of an entry's text: one shape for each kind."""
    definitions = _Definitions()
    shapes = []
    for kind, cls in KINDS.items():
        shape = _frozen(Body, definitions)
        shape["description"] = _first_line(cls)
        shape["properties"] |= {"kind": {"const": kind}, "payload": _of(cls, definitions)}
        shape["required"] = sorted([*shape["required"], "payload"])
        shapes.append(shape)
    return {
        "$schema": DRAFT,
        "title": "Entry of a commissioning logbook",
        "description": "The text of an entry that its digest covers. Numbers are in SI units.",
        "oneOf": shapes,
        "$defs": dict(sorted(definitions.items())),
    }


def _of(hint: Any, definitions: _Definitions) -> dict[str, Any]:
    if hint in _PLAIN:
        return dict(_PLAIN[hint])
    if (inner := optional_of(hint)) is not None:
        return {"anyOf": [_of(inner, definitions), {"type": "null"}]}
    if (item := item_of(hint)) is not None:
        return {"type": "array", "items": _of(item, definitions)}
    if get_origin(hint) is dict:
        return {"type": "object", "additionalProperties": _of(get_args(hint)[1], definitions)}
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        definitions.setdefault(hint.__name__, {"description": _first_line(hint), "enum": [each.value for each in hint]})
        return {"$ref": f"#/$defs/{hint.__name__}"}
    if isinstance(hint, type) and issubclass(hint, Frozen):
        other = definitions.classes.setdefault(hint.__name__, hint)
        if other is not hint:
            raise TypeError(f"{hint.__name__} of {hint.__module__} and of {other.__module__}: rename one of them")
        if hint.__name__ not in definitions:
            definitions[hint.__name__] = {}  # stands in while its own fields are looked at
            definitions[hint.__name__] = _frozen(hint, definitions)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    raise TypeError(f"no schema for {hint}")


def _frozen(cls: type, definitions: _Definitions) -> dict[str, Any]:
    docs = _field_docs(cls)
    properties = {}
    for name, hint, _ in fields_of(cls):
        properties[name] = _of(hint, definitions)
        if name in docs:
            properties[name]["description"] = docs[name]
    return {
        "type": "object",
        "description": _first_line(cls),
        "properties": properties,
        "required": sorted(name for name, _, optional in fields_of(cls) if not optional),
        "additionalProperties": False,
    }


def _first_line(cls: type) -> str:
    return (inspect.getdoc(cls) or "").partition("\n")[0]


@cache
def _field_docs(cls: type) -> dict[str, str]:
    """Return the text that stands under each field of a class. (Once: finding a class in its file is slow.)"""
    (definition,) = ast.parse(textwrap.dedent(inspect.getsource(cls))).body
    assert isinstance(definition, ast.ClassDef)
    docs = {}
    for field, text in zip(definition.body, definition.body[1:], strict=False):
        match field, text:
            case ast.AnnAssign(target=ast.Name(id=name)), ast.Expr(value=ast.Constant(value=str(words))):
                docs[name] = words
    return docs
