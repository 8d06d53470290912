"""The sheet of headers and chains from a file: the screen and the command take the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import CommissionError, FileError, on_line
from commission.base.text import counted
from commission.bench.deed import Deed
from commission.stages.fan_headers.typed.chain import read_chain
from commission.stages.fan_headers.typed.header import read_header
from commission.stages.fan_headers.typed.sheet import chain_deed, header_deed

if TYPE_CHECKING:
    from pathlib import Path

    from commission.stages.fan_headers.at_hand import HeadersAtHand
    from commission.stages.fan_headers.files.sheet_text import SheetLine


def sheet_file_deed(hand: HeadersAtHand, path: Path) -> Deed:
    """Return what the lines of a sheet do: each is written down in its order.

    All lines are understood before the first is stored; one that contradicts what stands there by then is refused with
    its number, and those before it are stored.

    Raises
    ------
    FileError
        If a line cannot be understood.
    """
    from commission.stages.fan_headers.files.sheet_text import read_sheet

    lines = read_sheet(path)
    for line in lines:
        with on_line(line.line):
            _ = read_header(line.rest) if line.word == "header" else read_chain(_typed(line))
    headers = sum(line.word == "header" for line in lines)
    told = f"{counted(headers, 'header')} and {counted(len(lines) - headers, 'chain')} of {path.name}"

    def do() -> str:
        for line in lines:
            hand.refresh()
            try:
                deed = header_deed(hand, line.rest) if line.word == "header" else chain_deed(hand, _typed(line))
            except CommissionError as error:
                raise FileError(f"{error}; the lines before it are stored", line=line.line) from None
            deed.do()
        return told

    return Deed(told=told, do=do)


def _typed(line: SheetLine) -> str:
    """Return a chain's line; one that begins with the word pump is of a pump, as it is when it is typed."""
    return line.rest if line.word == "chain" else f"pump {line.rest}"
