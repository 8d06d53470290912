"""Text from people and files, made safe to show anywhere."""

import re
import unicodedata
from collections.abc import Iterable
from typing import NamedTuple

_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
LONGEST_NOTE = 1_000
"""Longest note of a row of a table, or of its comment lines [characters]; our choice: a screen of 80 by 24 shows it."""


def clean(text: str) -> str:
    r"""Return the text with every control, format, surrogate, private or unassigned character spelled out.

    Parameters
    ----------
    text
        Anything that a person typed or a file held.

    Returns
    -------
    str
        The same text on one line, with each such character as ``\uXXXX``; cleaning it again changes nothing.

    Examples
    --------
    >>> clean("loop 1\x1b[2J")
    'loop 1\\u001b[2J'
    >>> clean("20 °C · 1.2 L")
    '20 °C · 1.2 L'
    """
    if text.isprintable():
        return text
    return "".join(_spelled(c) if unicodedata.category(c) in _HIDDEN else c for c in text)


def _spelled(character: str) -> str:
    code = ord(character)
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


class FreeLine(NamedTuple):
    """A comment line of a table that sets nothing."""

    line: int
    """Its number in the file, from 1."""
    text: str
    """What stands after the #."""


def as_note(comments: Iterable[str]) -> str:
    """Return free comment lines of a table as one note, no longer than a note may be.

    >>> as_note(["pumped up again", "see the bench book"])
    'pumped up again; see the bench book'
    """
    return "; ".join(comments)[:LONGEST_NOTE]


def as_notes(comments: Iterable[str]) -> list[str]:
    """Return free comment lines of a table as as many notes as they need.

    >>> as_notes(["pumped up again", "see the bench book"]), as_notes([]), len(as_notes(["x" * LONGEST_NOTE] * 3))
    (['pumped up again; see the bench book'], [], 3)
    """
    notes = [""]
    for line in comments:
        for at in range(0, len(line), LONGEST_NOTE):
            part = line[at : at + LONGEST_NOTE]
            joined = f"{notes[-1]}; {part}" if notes[-1] else part
            if len(joined) <= LONGEST_NOTE:
                notes[-1] = joined
            else:
                notes.append(part)
    return [note for note in notes if note]


def clip(text: str, longest: int = 40) -> str:
    """Return the cleaned text in quotes, cut to at most `longest` characters, for use in a message."""
    cleaned = clean(text[: longest * 2])
    return f'"{cleaned[:longest]}…"' if len(cleaned) > longest else f'"{cleaned}"'


def braced(text: str) -> str:
    """Return the text for a phrase: braces that a person typed are not read as places for amounts.

    >>> braced("loop {1}")
    'loop {{1}}'
    """
    return text.replace("{", "{{").replace("}", "}}")


def shortens(short: str, name: str) -> bool:
    """Return whether several words begin words of a name, in its order.

    >>> shortens("cpu in", "cpu block in"), shortens("in cpu", "cpu block in"), shortens("cpu", "cpu block in")
    (True, False, False)
    """
    rest = iter(name.split())
    return len(short.split()) > 1 and all(any(word.startswith(one) for word in rest) for one in short.split())


def counted(number: int, what: str) -> str:
    """Return a number of things, the word of which takes an s for several.

    >>> counted(1, "reading"), counted(3, "reading")
    ('1 reading', '3 readings')
    """
    return f"{number} {what}{'' if number == 1 else 's'}"


_FOLD = str.maketrans(
    {
        "°": "deg",
        "±": "+-",
        "×": "x",
        "·": "*",
        "−": "-",
        "–": "-",
        "—": "-",
        "…": "...",
        "≤": "<=",
        "≥": ">=",
        "≈": "~",
        "²": "2",
        "³": "3",
        "µ": "u",
        "μ": "u",
        "→": "->",
        "←": "<-",
        "“": '"',
        "”": '"',
        "„": '"',
        "’": "'",
        "‘": "'",
        "\u00a0": " ",
        "\u202f": " ",
        "\u2009": " ",
        "│": "|",
        "┃": "|",
        "─": "-",
        "●": "o",
    }
)


_SUPERSCRIPTS = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_FOLD |= {ord(sign): str(digit) for digit, sign in enumerate(_SUPERSCRIPTS)} | {ord("⁻"): "-"}
_POWER = re.compile(f"10([⁻{_SUPERSCRIPTS}]+)")


def fold(text: str) -> str:
    r"""Return the text in ASCII: our own signs by their usual substitutes, anything else as ``\uXXXX``.

    Examples
    --------
    >>> fold("21.3 °C ± 0.1 · 0.01 mbar·L/s")
    '21.3 degC +- 0.1; 0.01 mbar*L/s'
    >>> fold("4.1×10⁻³ Pa·m³/s")
    '4.1x10^-3 Pa*m3/s'
    >>> fold("Zoë")
    'Zo\\xeb'
    """
    if text.isascii():
        return text
    text = _POWER.sub(lambda found: f"10^{found[1]}", text.replace(" · ", "; "))
    return text.translate(_FOLD).encode("ascii", "backslashreplace").decode("ascii")
