"""Lines of text from bytes that anybody may have written: UTF-8, bounded, with clear words for everything else."""

import csv
import io
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from commission.base.errors import FileError
from commission.base.text import clip

LONGEST_LINE = 65_536
"""Longest line that is read [bytes]."""

_MARKS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)
_SAVE = "save it as UTF-8"

Source = Path | str | bytes | Iterable[str | bytes]
"""A path, the bytes of a file, or its lines one by one."""


def standard_input() -> BinaryIO:
    """Return standard input; raises FileError where it is closed."""
    if sys.stdin is None:
        raise FileError("standard input is closed; pipe the readings in or name a file")
    return sys.stdin.buffer


def numbered_lines(source: Source) -> Iterator[tuple[int, str]]:
    """Yield each line with its number from 1, without its end; never more than one line is held.

    The path ``-`` is standard input.

    Raises
    ------
    FileError
        If the file cannot be read or a line is not UTF-8 text; the message names line and cause.
    """
    match source:
        case bytes():
            yield from _numbered(_bounded(io.BytesIO(source)))
        case Path() if str(source) == "-":
            yield from _numbered(standard_input())
        case str() | Path():
            try:
                with Path(source).open("rb") as file:
                    yield from _numbered(_bounded(file))
            except (OSError, ValueError) as error:
                why = getattr(error, "strerror", None) or "its name is not a path"
                raise FileError(f"the file cannot be read: {why}; check its path and permissions") from error
        case _:
            yield from _numbered(source)


def _bounded(file: io.BufferedIOBase | io.BufferedReader) -> Iterator[bytes]:
    while line := file.readline(LONGEST_LINE + 2):
        yield line


def _numbered(lines: Iterable[str | bytes]) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(lines, 1):
        yield number, decoded(line, number)


def decoded(line: str | bytes, number: int) -> str:
    """Return one line as text without its end and without a byte order mark.

    Parameters
    ----------
    line
        As it came, with or without its end.
    number
        Its number from 1, for the message.

    Raises
    ------
    FileError
        If it is too long, not UTF-8, holds NUL bytes or a carriage return inside.
    """
    if len(line) > LONGEST_LINE:
        raise FileError(f"it is longer than {LONGEST_LINE} bytes; is this a table of readings?", line=number)
    text = _decoded(line, number) if isinstance(line, bytes) else _checked(line, number)
    if number == 1:
        text = text.removeprefix("\ufeff")
    text = text.removesuffix("\n").removesuffix("\r")
    if text.isprintable():
        return text
    if "\r" in text or "\n" in text:
        raise FileError(
            "it holds a carriage return without a line feed; save the file with line ends LF or CRLF", line=number
        )
    if "\x00" in text:
        raise FileError("it holds NUL characters; this is no plain text, or the disk lost a part of it", line=number)
    return text


def _decoded(line: bytes, number: int) -> str:
    if number == 1:
        for mark, encoding in _MARKS:
            if line.startswith(mark):
                raise FileError(f"the file is {encoding}, not UTF-8; {_SAVE}", line=1)
    if b"\x00" in line and line.count(b"\x00") * 3 > len(line):
        raise FileError(f"the text looks like UTF-16, not UTF-8; {_SAVE}", line=number)
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError as error:
        before = line[max(0, error.start - 12) : error.start].decode("utf-8", "replace")
        after = f" after {clip(before)}" if before else ""
        raise FileError(
            f"byte 0x{line[error.start]:02X}{after} is not UTF-8 (Windows-1252 or Latin-1?); {_SAVE}", line=number
        ) from error


def _checked(line: str, number: int) -> str:
    try:
        line.encode("utf-8")
    except UnicodeEncodeError as error:
        raise FileError(f"character {error.start + 1} is not UTF-8; {_SAVE}", line=number) from error
    return line


def split_cells(text: str, separator: str, line: int) -> list[str]:
    """Return the cells of a row without outer blanks.

    Quoting is that of RFC 4180, section 2, without line ends inside cells: one line is one row.

    Raises
    ------
    FileError
        If a quote is not closed or text follows one.
    """
    if '"' not in text:
        return [cell.strip() for cell in text.split(separator)]
    try:
        rows = list(csv.reader([text], delimiter=separator, strict=True, skipinitialspace=True))
    except csv.Error as error:
        raise FileError(
            'a quoted cell is not closed on its line, or text follows it; write " inside a cell as ""', line=line
        ) from error
    return [cell.strip() for cell in rows[0]]
