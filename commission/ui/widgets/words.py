"""Text on its way into a widget: cleaned, never markup, and plain ASCII where the terminal asks for that."""

from functools import lru_cache

from rich.cells import cell_len, chop_cells, set_cell_size
from textual.content import Content
from textual.widget import Widget

from commission.base.text import clean, fold
from commission.ui.theme import ASCII_CLASS

LONGEST = 2000
"""Characters of one text that a widget shows at most."""


@lru_cache(maxsize=512)
def safe(text: str, ascii_only: bool = False) -> str:
    """Return the text on one line, safe for any terminal, cut to a length that no screen needs."""
    if len(text) > LONGEST:
        text = f"{text[:LONGEST]}…"
    cleaned = clean(text)
    return fold(cleaned) if ascii_only else cleaned


_SIZES = ("%", "mL", "L", "mm", "cm", "m", "g", "kg", "s", "min", "h")
_READ = ("mbar", "bar", "kPa", "psi", "Pa", "°C", "degC", "°F", "degF", "K", "V", "mV", "A", "mA", "rpm", "ohm", "J")
_UNITS = frozenset((*_SIZES, *_READ))
"""Units that are not parted from their number; our choice: those of figures that stand in sentences."""
_BEGINS = 2
"""Signs of a word that is not left alone at the end of a line, where it begins an item; our choice."""


def ascii_only(widget: Widget) -> bool:
    """Return whether the app was asked to draw with ASCII only."""
    return widget.app.has_class(ASCII_CLASS)


def said(widget: Widget, text: str) -> Content:
    """Return the text as content for the widget, without any markup."""
    return Content(safe(text, ascii_only(widget)))


def fit(text: str, width: int, *, right: bool = False, plain: bool = False) -> str:
    """Return a safe text in exactly `width` cells, padded, or cut with an ellipsis (a tilde in ASCII).

    It is cut between two words, and not before the unit of a number, unless that leaves out more than half of it.

    Examples
    --------
    >>> fit("radiator", 5, plain=True)
    'radi~'
    >>> fit("21 °C at the bench", 12)
    '21 °C at …  '
    >>> fit("at most 30 min at least", 15)
    'at most …      '
    >>> fit("30 min at least", 6)
    '30 mi…'
    >>> fit("7", 3, right=True)
    '  7'
    """
    if width <= 0:
        return ""
    long = cell_len(text) - width
    if long > 0:
        text = _cut(text, width - 1) + ("~" if plain else "…")
        long = cell_len(text) - width
    return f"{' ' * -long}{text}" if right else f"{text}{' ' * -long}"


def _cut(text: str, width: int) -> str:
    """Return the beginning of a text in at most `width` cells, with the blank behind its last word."""
    words = _with_units(text.split(" "))
    whole = ""
    for word in words:
        if cell_len(whole + word) + 1 > width:
            break
        whole += f"{word} "
    return whole if cell_len(whole) > width // 2 else set_cell_size(text, width)


def wrap(text: str, width: int) -> list[str]:
    """Return a safe text in lines of at most `width` cells, broken at spaces where it can be.

    Examples
    --------
    >>> wrap("let the pressure down first", 12)
    ['let the', 'pressure', 'down first']
    >>> wrap("it rose by 63 %", 14)
    ['it rose by', '63 %']
    >>> wrap("undo · note · 5 other · ? more", 14)
    ['undo · note ·', '5 other ·', '? more']
    """
    lines: list[str] = []
    line = ""
    for word in _with_units(text.split(" ")):
        joined = f"{line} {word}" if line else word
        if cell_len(joined) <= width:
            line = joined
            continue
        if line:
            lines.append(line)
        *whole, line = chop_cells(word, max(1, width)) or [""]
        lines.extend(whole)
    return [*lines, line]


def _with_units(words: list[str]) -> list[str]:
    """Return words that no line parts: a number with its unit and its sign, a dot with what stands before it.

    What begins a list's next item with a sign or two, as a number of it or a question mark, keeps the word behind it.
    """
    joined: list[str] = []
    for word in words:
        unit = word.rstrip(".,;:)") in _UNITS and joined and joined[-1][-1:].isdigit()
        begun = len(joined) > 1 and joined[-2][-1:] == "·" and len(joined[-1]) <= _BEGINS
        if unit or (joined and (joined[-1] == "±" or word == "·" or begun)):
            joined[-1] += f" {word}"
        else:
            joined.append(word)
    return joined


def cut(lines: list[str], width: int, rows: int, *, plain: bool = False) -> str:
    """Return at most `rows` of the lines as one text, with an ellipsis at the end where some were left out.

    Examples
    --------
    >>> cut(["the loop holds", "at 0.5 bar"], 14, 1)
    'the loop …'
    """
    if len(lines) <= rows:
        return "\n".join(lines)
    if rows <= 0:
        return ""
    return "\n".join([*lines[: rows - 1], fit(f"{lines[rows - 1]} {lines[rows]}", width, plain=plain).rstrip()])
