"""JSON in one canonical form out, and strictly in: no NaN, no repeated keys, no lone surrogates, bounded sizes."""

import json
from typing import NoReturn

from commission.base.errors import FileError, InputError

JSON_MAX_CHARS = 8 * 1024 * 1024
"""Longest text that is parsed."""

JSON_MOST_MARKS = 200_000
"""Most brackets, braces or colons of a kind in a text that is parsed; our choice: a hundred times the largest line that
this program writes. Each may become an object a hundred times its own size."""

_ENCODER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), allow_nan=False, ensure_ascii=False)


def canonical(value: object) -> str:
    """Return the canonical JSON text of plain data: keys sorted, no spaces, UTF-8 as it is.

    Raises InputError for NaN, infinity, what is no plain data, and text that is not valid Unicode.
    """
    try:
        text = _ENCODER.encode(value)
    except ValueError as error:
        raise InputError("a number is NaN or infinite; nothing was stored") from error
    except TypeError as error:
        raise InputError(f"a value cannot be written as text ({error})") from error
    require_unicode(text)
    return text


def require_unicode(text: str) -> None:
    """Raise InputError if a text holds half a character (a lone surrogate) and so cannot be stored."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise InputError("a text holds half a character (a lone surrogate); type it again") from error


def parse_json(text: str) -> object:
    """Return the plain data of a JSON text; raises FileError where it is not strictly JSON."""
    return parse_at(text, None)[0]


def parse_at(text: str, start: int | None) -> tuple[object, int]:
    """Return the plain data that starts at a place in a text, and where it ends; None: the text is nothing else.

    Raises FileError where it is not strictly JSON.
    """
    if not isinstance(text, str):
        raise FileError("not a text")
    if len(text) > JSON_MAX_CHARS:
        raise FileError(f"longer than {JSON_MAX_CHARS} characters")
    if any(text.count(mark) > JSON_MOST_MARKS for mark in "[{:"):
        raise FileError(f"more than {JSON_MOST_MARKS} brackets, braces or colons")
    try:
        return (_DECODER.decode(text), len(text)) if start is None else _DECODER.raw_decode(text, start)
    except json.JSONDecodeError as error:
        raise FileError(f"not JSON: {error.msg.lower()} at character {error.pos + 1}") from error
    except RecursionError as error:
        raise FileError("not readable: brackets are nested too deeply") from error
    except ValueError as error:
        # int() refuses numbers of more than 4,300 digits
        raise FileError("not readable: a number has too many digits") from error


def _refuse_constant(word: str) -> NoReturn:
    raise FileError(f"{word} is not a number")


def _unique_keys(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        twice = next(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]
        raise FileError(f'the key "{twice}" stands there twice')
    return found


_DECODER = json.JSONDecoder(object_pairs_hook=_unique_keys, parse_constant=_refuse_constant)
