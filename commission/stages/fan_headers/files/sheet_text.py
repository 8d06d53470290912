"""Headers and chains from a text file: a line each, as it is typed on the bench."""

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.text import clean, clip
from commission.instruments.text_lines import Source, numbered_lines

WORDS = ("header", "chain", "pump")
"""Words with which a line begins."""
MOST_LINES = 200
"""Most lines of a sheet; our choice: no board has more headers, nor a case more chains."""


class SheetLine(Frozen):
    """One line of a sheet."""

    line: int
    """Its number in the file, from 1."""
    word: str
    """What it begins with: header, chain or pump."""
    rest: str
    """What follows."""


def read_sheet(source: Source) -> tuple[SheetLine, ...]:
    r"""Return the lines of a sheet; empty ones and those that begin with # do not count.

    Parameters
    ----------
    source
        Its path, ``-`` for standard input, its bytes, or its lines one by one.

    Raises
    ------
    FileError
        If a line begins otherwise, or there is none; one line that says which and what to do.

    Examples
    --------
    >>> [one.word for one in read_sheet(b"# board\nheader H1 4-pin 1 A pwm\nchain front 2 fans 4-wire 0.1 A\n")]
    ['header', 'chain']
    """
    found = []
    for number, text in numbered_lines(source):
        line = clean(text).strip()
        if not line or line.startswith("#"):
            continue
        word, _, rest = line.partition(" ")
        if word.casefold().rstrip(":") not in WORDS or not rest.strip():
            raise FileError(f"{clip(line)} begins with none of {', '.join(WORDS)}", line=number)
        found.append(SheetLine(line=number, word=word.casefold().rstrip(":"), rest=rest.strip()))
        if len(found) > MOST_LINES:
            raise FileError(f"more than {MOST_LINES} lines are no sheet of one board", line=number)
    if not found:
        raise FileError("there is no line in it; write such as: header H1 4-pin 1 A pwm")
    return tuple(found)
