"""TOML from files that anybody may have written: bounded before it is parsed, with one clear line for what is wrong.

A parser of TOML takes memory by the number of parts in dotted keys times their depth: some kilobytes of dots can take
the whole machine. So the text is looked through first, with nothing kept of it.
"""

import re
import tomllib
from typing import Any

from commission.base.errors import FileError
from commission.base.text import clean, clip

MOST_PARTS = 4
"""Most parts of a dotted key; our choice: no file of this program needs more than two."""

LONGEST_TOKEN = 120
"""Longest key or number [characters]; our choice: names are shorter, and so is every number that means something."""

LONGEST_TEXT = 10_000
"""Longest text in quotes [characters]; our choice: the longest caution has some hundred."""

DEEPEST = 8
"""Most brackets that may stand open at once; our choice: no file of this program needs more than three."""

_TEXT = re.compile(
    r'"""[^"\\]*(?:(?:\\.|"(?!""))[^"\\]*)*"{3,5}|' + r"'''[^']*(?:'(?!'')[^']*)*'{3,5}|"
    r'"[^"\\\n]*(?:\\.[^"\\\n]*)*"|' + r"'[^'\n]*'",
    re.DOTALL,
)
"""A text in quotes. Not written with possessive repeats of groups: Python before 3.11.5 matches those wrongly."""
_COMMENT = re.compile(r"#[^\n]*+")
_MARK = re.compile(r"""[.,={}\[\]\n"'#]""")
_BLANK = str.maketrans("", "", " \t\r")


def read_toml(text: str, *, most: int) -> dict[str, Any]:
    r"""Return the data of a TOML text that is small and shallow enough to be parsed.

    Parameters
    ----------
    text
        The text.
    most
        Most characters.

    Raises
    ------
    FileError
        If it is too large, a key, number or text in it too long, or nested too deeply, or it is no TOML.

    Examples
    --------
    >>> read_toml('a.b = 1.5  # x.y.z.u.v\nc = "d.e.f.g.h.i"', most=100)
    {'a': {'b': 1.5}, 'c': 'd.e.f.g.h.i'}
    >>> read_toml("a.a.a.a.a = 1", most=100)
    Traceback (most recent call last):
    commission.base.errors.FileError: line 1: "a.a.a.a.a" has 5 parts; a key has 4 at most
    """
    if len(text) > most:
        raise FileError(f"it is longer than {most} characters; is it the right file?")
    _refuse_wild(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileError(f"it is no TOML: {clean(str(error))}; correct the file") from None
    except (ValueError, RecursionError) as error:  # a number beyond all bounds, nesting that slipped through
        raise FileError(f"it is no TOML that can be read: {clean(str(error))}; correct the file") from None


def _refuse_wild(text: str) -> None:
    line, depth, dots, at, start = 1, 0, 0, 0, 0
    while (mark := _MARK.search(text, at)) is not None:
        letter, at = mark[0], mark.end()
        if letter == ".":
            dots += 1
        elif letter in "\"'":
            found = _TEXT.match(text, mark.start(), mark.start() + LONGEST_TEXT + 1)
            at = found.end() if found else len(text)
            if at - mark.start() > LONGEST_TEXT:
                raise FileError(f"a text in quotes is longer than {LONGEST_TEXT} characters; shorten it", line=line)
            line += text.count("\n", mark.start(), at)
        elif letter == "#":
            at = end if (end := text.find("\n", at)) >= 0 else len(text)
        else:
            _refuse_token(text[start : mark.start()], dots, line)
            start, dots = at, 0
            line += letter == "\n"
            depth += (letter in "[{") - (letter in "]}")
            if depth > DEEPEST:
                raise FileError(f"brackets are nested more than {DEEPEST} deep; write it flatter", line=line)
    _refuse_token(text[start:], dots, line)


def _refuse_token(text: str, dots: int, line: int) -> None:
    """Refuse what stands between two delimiters, with so many dots outside of quotes."""
    if dots >= MOST_PARTS:
        raise FileError(f"{clip(text.strip())} has {dots + 1} parts; a key has {MOST_PARTS} at most", line=line)
    if len(text) <= LONGEST_TOKEN:
        return
    bare = _TEXT.sub("", _COMMENT.sub("", text)) if "#" in text or '"' in text or "'" in text else text
    if len(bare.translate(_BLANK)) > LONGEST_TOKEN:
        raise FileError(
            f"{clip(bare.strip())} is longer than {LONGEST_TOKEN} characters; shorten the key or number", line=line
        )
