"""Reads a procedure from TOML into the typed model, and refuses what does not fit."""

import math
from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, get_args, get_origin

from msgspec import structs

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.base.toml_text import read_toml
from commission.procedure.model import Limit, Procedure

MOST_CHARS = 500_000
"""Longest procedure that is read [characters]; our choice: ten times the one that ships with the program."""


SHIPPED = ("default.toml", "typical_parts.toml", "typical_instruments.toml")
"""Files that are the procedure which ships with the program, in order."""


def default_toml() -> str:
    """Return the text of the procedure that ships with the program.

    It is one text of three files: a logbook keeps it whole, so that a build is offered for ever what was typical of a
    part when it was opened.
    """
    return "\n".join(Path(__file__).with_name(name).read_text(encoding="utf-8") for name in SHIPPED)


@cache
def load_procedure(text: str) -> Procedure:
    """Read a procedure.

    Parameters
    ----------
    text
        TOML with the keys of :class:`Procedure`; ``stages``, ``cautions``, ``steps``, ``limits`` are arrays of tables.

    Returns
    -------
    Procedure
        The typed procedure; the same text gives the same object.

    Raises
    ------
    FileError
        If it is no TOML, a key is missing, unknown or of the wrong type, or a limit is outside its own bounds.
    """
    try:
        data = read_toml(text, most=MOST_CHARS)
    except FileError as error:
        raise FileError(f"the procedure: {error}") from None
    procedure: Procedure = _build(Procedure, data, "procedure")
    for stage in procedure.stages:
        for limit in stage.limits:
            _check(limit, stage.id)
    _refuse_circle(procedure)
    return procedure


def _refuse_circle(procedure: Procedure) -> None:
    before: set[str] = set()
    for stage in procedure.stages:
        later = [one for one in stage.rests_on if one not in before]
        if later:
            raise FileError(f"{stage.id} waits for {clip(later[0])}, which is no stage before it", field="rests_on")
        before.add(stage.id)


def _check(limit: Limit, stage: str) -> None:
    if not limit.low <= limit.value <= limit.high:
        raise FileError(
            f"{stage}: {limit.value:g} is outside {limit.low:g} to {limit.high:g}; limits are in SI units",
            field=limit.id,
        )


def _build(kind: type, data: object, where: str) -> Any:
    """Turn plain TOML data into a value of a type; ``where`` names the place for the message."""
    origin = get_origin(kind)
    if origin is tuple:
        if not isinstance(data, list):
            raise FileError("a list is wanted", field=where)
        item = get_args(kind)[0]
        return tuple(_build(item, value, f"{where}[{number}]") for number, value in enumerate(data, 1))
    if origin is UnionType:  # X | None: TOML knows no null, so whoever means none leaves the key out
        return _build(next(each for each in get_args(kind) if each is not NoneType), data, where)
    if issubclass(kind, Frozen):
        return _build_record(kind, data, where)
    return _build_scalar(kind, data, where)


def _build_record(kind: type, data: object, where: str) -> Any:
    if not isinstance(data, Mapping):
        raise FileError("a table is wanted", field=where)
    hints, required = _plan(kind)
    if unknown := sorted(data.keys() - hints.keys()):
        raise FileError(f"unknown key; known are {', '.join(hints)}", field=f"{where}.{unknown[0]}")
    if missing := sorted(required - data.keys()):
        raise FileError("the key is missing", field=f"{where}.{missing[0]}")
    return kind(**{name: _build(hints[name], value, f"{where}.{name}") for name, value in data.items()})


@cache
def _plan(kind: Any) -> tuple[dict[str, Any], frozenset[str]]:
    """Return the hints of a record's fields, in order, and the names of those without a default."""
    own = structs.fields(kind)
    return {field.name: field.type for field in own}, frozenset(field.name for field in own if field.required)


def _build_scalar(kind: type, data: object, where: str) -> Any:
    if kind is float and isinstance(data, int | float) and not isinstance(data, bool) and math.isfinite(data):
        return float(data)
    if kind is int and isinstance(data, int) and not isinstance(data, bool):
        return data
    if kind is bool and isinstance(data, bool):
        return data
    if isinstance(data, str) and data.strip():
        if issubclass(kind, StrEnum):
            if data in set(kind):
                return kind(data)
            raise FileError(f'"{data}" is none of {", ".join(kind)}', field=where)
        if kind is str:
            return data
    raise FileError(f"{data!r} is no {kind.__name__}", field=where)
