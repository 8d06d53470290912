"""Frozen dataclasses to plain JSON data and back, read off their type hints.

Known hints: ``str``, ``int``, ``float``, ``bool``, ``X | None``, ``StrEnum`` classes, ``tuple[X, ...]`` and dataclasses
of these. Reading is strict: a key that is not known, a missing one, a wrong type, NaN or infinity is refused. A key may
be missing only where its field has a default: so files stay readable after a field with a default has been added.
"""

import math
import types
from collections.abc import Callable, Hashable, Sequence
from dataclasses import MISSING, fields, is_dataclass
from enum import StrEnum
from functools import cache
from typing import Any, TypeVar, cast, get_args, get_origin, get_type_hints

from commission.base.errors import FileError, InputError

T = TypeVar("T")
Convert = Callable[[Any], Any]

LARGEST_INT = 2**53 - 1
"""Beyond this, other JSON readers lose digits (RFC 7493, section 2.2)."""


class _Misfit(Exception):
    """A value that does not fit, with the keys that lead to it."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message
        self.path: list[str] = []

    def below(self, key: str) -> "_Misfit":
        self.path.insert(0, key)
        return self


def encode(value: object) -> Any:
    """Return the plain data of a dataclass; raises InputError where a value does not fit its hint."""
    try:
        return _writer(cast(Hashable, type(value)))(value)
    except _Misfit as misfit:
        raise InputError(f'"{".".join(misfit.path)}": {misfit.message}; nothing was stored') from misfit


def decode(cls: type[T], data: object) -> T:
    """Return the dataclass of plain data; raises FileError that names the field where it does not fit."""
    try:
        result: T = _reader(cast(Hashable, cls))(data)
    except _Misfit as misfit:
        raise FileError(misfit.message, field=".".join(misfit.path) or None) from misfit
    return result


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


# What is plain in both directions


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise _Misfit(f"a text was expected, not {_shown(value)}")
    return str(value)


def _integer(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _Misfit(f"a whole number was expected, not {_shown(value)}")
    if abs(value) > LARGEST_INT:
        raise _Misfit("the whole number is too large")
    return int(value)


def _number(value: object) -> float:
    if isinstance(value, int) and not isinstance(value, bool):
        return float(_integer(value))
    if not isinstance(value, float):
        raise _Misfit(f"a number was expected, not {_shown(value)}")
    if not math.isfinite(value):
        raise _Misfit(f"a finite number was expected, not {value}")
    return float(value)


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise _Misfit(f"true or false was expected, not {_shown(value)}")
    return value


_PLAIN: dict[object, Convert] = {str: _text, int: _integer, float: _number, bool: _flag}


def optional_of(hint: object) -> object | None:
    """Return X where a hint is ``X | None``, else None."""
    if not isinstance(hint, types.UnionType):
        return None
    others = [arg for arg in get_args(hint) if arg is not type(None)]
    if len(others) != 1 or len(get_args(hint)) != 2:
        raise TypeError(f"no codec for {hint}")
    return others[0]  # type: ignore[no-any-return]


def item_of(hint: object) -> object | None:
    """Return X where a hint is ``tuple[X, ...]``, else None."""
    if get_origin(hint) is not tuple:
        return None
    args = get_args(hint)
    if len(args) != 2 or args[1] is not Ellipsis:
        raise TypeError(f"no codec for {hint}")
    return args[0]  # type: ignore[no-any-return]


def fields_of(cls: type) -> list[tuple[str, Any, bool]]:
    """Return name, hint and whether it has a default, of each field of a dataclass."""
    hints = get_type_hints(cls)
    return [
        (field.name, hints[field.name], field.default is not MISSING or field.default_factory is not MISSING)
        for field in fields(cls)
    ]


# Out


@cache
def _writer(hint: Any) -> Convert:
    if hint in _PLAIN:
        return _PLAIN[hint]
    if (inner := optional_of(hint)) is not None:
        write = _writer(inner)
        return lambda value: None if value is None else write(value)
    if (item := item_of(hint)) is not None:
        return _tuple_writer(_writer(item))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return lambda value: _choice(hint, value).value
    if isinstance(hint, type) and is_dataclass(hint):
        return _dataclass_writer(hint)
    raise TypeError(f"no codec for {hint}")


def _tuple_writer(write: Convert) -> Convert:
    def convert(value: object) -> list[Any]:
        if not isinstance(value, tuple):
            raise _Misfit(f"a tuple was expected, not {_shown(value)}")
        return _each(write, value)

    return convert


def _dataclass_writer(cls: type) -> Convert:
    plan = [(name, _writer(hint)) for name, hint, _ in fields_of(cls)]

    def convert(value: object) -> dict[str, Any]:
        if type(value) is not cls:
            raise _Misfit(f"a {cls.__name__} was expected, not {_shown(value)}")
        written, name = {}, ""
        try:
            for name, write in plan:
                written[name] = write(getattr(value, name))
        except _Misfit as misfit:
            raise misfit.below(name) from None
        return written

    return convert


# In


@cache
def _reader(hint: Any) -> Convert:
    if hint in _PLAIN:
        return _PLAIN[hint]
    if (inner := optional_of(hint)) is not None:
        read = _reader(inner)
        return lambda value: None if value is None else read(value)
    if (item := item_of(hint)) is not None:
        return _tuple_reader(_reader(item))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return lambda value: _choice(hint, value)
    if isinstance(hint, type) and is_dataclass(hint):
        return _dataclass_reader(hint)
    raise TypeError(f"no codec for {hint}")


def _choice(enum: type[StrEnum], value: object) -> StrEnum:
    try:
        return enum(_text(value))
    except ValueError:
        raise _Misfit(f"{_shown(value)} is none of {', '.join(repr(str(each)) for each in enum)}") from None


def _tuple_reader(read: Convert) -> Convert:
    def convert(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise _Misfit(f"a list was expected, not {_shown(value)}")
        return tuple(_each(read, value))

    return convert


def _dataclass_reader(cls: type) -> Convert:
    plan = [(name, _reader(hint)) for name, hint, _ in fields_of(cls)]
    known = {name for name, _, _ in fields_of(cls)}
    required = {name for name, _, optional in fields_of(cls) if not optional}

    def convert(value: object) -> Any:
        if not isinstance(value, dict):
            raise _Misfit(f"an object was expected, not {_shown(value)}")
        if unknown := value.keys() - known:
            raise _Misfit("this key is not known").below(_shown(min(unknown, key=str)).strip("'"))
        if missing := required - value.keys():
            raise _Misfit("this key is missing").below(min(missing))
        found, name = {}, ""
        try:
            for name, read in plan:
                if name in value:
                    found[name] = read(value[name])
        except _Misfit as misfit:
            raise misfit.below(name) from None
        return cls(**found)

    return convert


def _each(convert: Convert, values: Sequence[object]) -> list[Any]:
    done: list[Any] = []
    try:
        for value in values:
            done.append(convert(value))
    except _Misfit as misfit:
        raise misfit.below(str(len(done))) from None
    return done
