"""Frozen values to plain JSON data and back, by msgspec; what it takes lightly is looked at here.

Reading is strict: a key that is not known, a missing one, a wrong type, NaN, infinity and whole numbers of more digits
than others read are refused. A key may be missing only where its field has a default: so files stay readable after a
field with a default has been added. Writing is as strict, since nothing is checked when a value is made: what goes out
is the copy that was read back, and it must equal what was given.
"""

import math
import re
from typing import Any, NoReturn, TypeVar

import msgspec

from commission.base.errors import FileError, InputError
from commission.base.frozen import Frozen

T = TypeVar("T")

LARGEST_INT = 2**53 - 1
"""Beyond this, other JSON readers lose digits (RFC 7493, section 2.2)."""

_WANTED = {
    "array": "a list",
    "bool": "true or false",
    "float": "a number",
    "int": "a whole number",
    "object": "an object",
    "str": "a text",
}
_KEY = re.compile(r"Object (contains unknown|missing required) field `(.*?)`(?: - at `\$(.*)`)?$", re.DOTALL)
_STEP = re.compile(r"[^.\[\]]+")


class _Misfit(Exception):
    """A value that does not fit, with the keys that lead to it, joined by dots."""

    def __init__(self, message: str, path: str) -> None:
        super().__init__(message)
        self.message = message
        self.path = path


def encode(value: object) -> Any:
    """Return the plain data of a frozen value; raises InputError where a part does not fit its hint."""
    try:
        plain = msgspec.to_builtins(value, builtin_types=(bytes, bytearray), enc_hook=_plainer)
    except TypeError as error:
        raise InputError(f"{error}; nothing was stored") from error
    try:
        made = _fitted(type(value), plain)
    except _Misfit as misfit:
        raise InputError(f'"{misfit.path}": {misfit.message}; nothing was stored') from misfit
    if made != value:
        raise InputError(f"a part of {_shown(value)} is not of the type of its field; nothing was stored")
    return msgspec.to_builtins(made)


def decode(cls: type[T], data: object) -> T:
    """Return the frozen value of plain data; raises FileError that names the field where it does not fit."""
    try:
        return _fitted(cls, data)
    except _Misfit as misfit:
        raise FileError(misfit.message, field=misfit.path or None) from misfit


def _plainer(value: object) -> Any:
    """Return a text or number of a class of its own as the plain one, such as numpy's float."""
    for plain in (str, float, int):
        if isinstance(value, plain):
            return plain(value)
    raise TypeError(f"{_shown(value)} cannot be written")


def _fitted(cls: type[T], data: object) -> T:
    if not issubclass(cls, Frozen):
        raise TypeError(f"{cls.__name__} is no frozen value: msgspec reads others without looking at their keys")
    try:
        made = msgspec.convert(data, cls)
    except msgspec.ValidationError as error:
        _refuse(data, str(error))
    except UnicodeEncodeError as error:
        raise _Misfit("a key or a word holds half a character (a lone surrogate)", "") from error
    if not _numbers_fit(data):
        _look_at_numbers(data, "")
    return made


def _numbers_fit(data: object) -> bool:
    """Whether all are numbers for others; after the types fit, so that data nested without end does not come here."""
    kind = type(data)
    if kind is str or data is None:
        return True
    if kind is float:
        return math.isfinite(data)  # type: ignore[arg-type]
    if kind is int:
        return abs(data) <= LARGEST_INT  # type: ignore[arg-type]
    if kind is dict:
        return all(map(_numbers_fit, data.values()))  # type: ignore[attr-defined]
    return all(map(_numbers_fit, data)) if kind is list or kind is tuple else True  # type: ignore[call-overload]


def _look_at_numbers(data: object, path: str) -> None:
    """Refuse what is no number for others, and say where it stands."""
    kind = type(data)
    if kind is float:
        if not math.isfinite(data):  # type: ignore[arg-type]
            raise _Misfit(f"a finite number was expected, not {data}", path[1:])
    elif kind is int:
        if abs(data) > LARGEST_INT:  # type: ignore[arg-type]
            raise _Misfit("the whole number is too large", path[1:])
    elif kind is dict:
        for key, value in data.items():  # type: ignore[attr-defined]
            _look_at_numbers(value, f"{path}.{key}")
    elif kind is list or kind is tuple:
        for place, value in enumerate(data):  # type: ignore[arg-type]
            _look_at_numbers(value, f"{path}.{place}")


def _refuse(data: Any, said: str) -> NoReturn:
    """Say in our words what the library refused, and where."""
    if key := _KEY.match(said):
        message = "this key is not known" if key[1] == "contains unknown" else "this key is missing"
        raise _Misfit(message, ".".join([*_STEP.findall(key[3] or ""), _shown(key[2]).strip("'")]))
    what, place = said.rsplit(" - at `$", 1) if " - at `$" in said else (said, "")
    path = _STEP.findall(place.removesuffix("`"))
    for step in path:
        data = data[int(step) if isinstance(data, list | tuple) else step]
    if what.startswith("Invalid enum value"):
        message = f"{_shown(data)} is none of the words that are known here"
    elif wanted := re.match(r"Expected `(\w+)", what):
        message = f"{_WANTED.get(wanted[1], wanted[1])} was expected, not {_shown(data)}"
    else:
        message = "the number is too large"
    raise _Misfit(message, ".".join(path))


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
