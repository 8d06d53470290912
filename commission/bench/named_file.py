"""A file that is named in a typed line."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from commission.base.errors import FileError, InputError
from commission.base.frozen import replace
from commission.base.text import as_note, clip, counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from commission.bench.at_hand import StageAtHand
    from commission.bench.deed import Deed
    from commission.record.machine.instrument import Instrument

MOST_BYTES = 8_000_000
"""Size from which a file is none that a person wrote; our choice: the most characters of a table."""


def typed_path(text: str) -> Path:
    """Return the path that was typed; blanks and quotes around it do not count, and ``~`` is a home.

    Raises
    ------
    InputError
        If it names a home that nobody has, or no file can be called so.
    """
    typed = text.strip().strip("\"'")
    try:
        path = Path(typed).expanduser()
    except RuntimeError as error:
        raise InputError(f"{clip(typed)} begins with no home that is known here; type the path without ~") from error
    try:
        unknown = b"\0" in os.fsencode(path)
    except UnicodeEncodeError:
        unknown = True
    if unknown:
        raise InputError(f"{clip(typed)} has a sign that no file name may hold; type another path")
    return path


def named_file(text: str, what: str) -> Path:
    """Return the path of a file that is there; blanks and quotes around it do not count.

    Parameters
    ----------
    text
        The path as typed.
    what
        What is in it, for the message, such as ``a table of voltages``.

    Raises
    ------
    InputError
        If nothing is typed, there is no such file, or it is too large.
    """
    typed = text.strip().strip("\"'")
    if not typed:
        raise InputError(f"type file and the path of {what}")
    path = typed_path(typed)
    try:
        size = path.stat().st_size if path.is_file() else None
    except OSError:
        size = None
    if size is None:
        raise InputError(f"there is no file {clip(typed)}; type the path of {what}")
    if size > MOST_BYTES:
        raise InputError(f"{clip(path.name)} is too large for {what}: {size} bytes, {MOST_BYTES} are the most")
    return path


def with_comments(hand: StageAtHand[Any], deed: Deed, comments: Sequence[str], name: str) -> Deed:
    """Return what taking a table does, with its free comment lines as a note of the build behind it.

    Raises
    ------
    NotAllowed
        If one tells of a leak: the table is not taken, and nothing of it stays.
    """
    from commission.record.entries import NoteAdded
    from commission.record.logbook import refuse_wet_note

    if not comments:
        return deed
    refuse_wet_note(hand.book.build(hand.build_id), "; ".join(comments), goes_on=True)

    def do() -> str | None:
        done = deed.do()
        hand.book.record(hand.build_id, NoteAdded(text=as_note([f"{name}: {comments[0]}", *comments[1:]])))
        return done

    return replace(deed, told=f"{deed.told}; {counted(len(comments), 'comment line')} kept as a note", do=do)


T = TypeVar("T")


def read_as_kept(instruments: Iterable[Instrument], read: Callable[[str], T]) -> T:
    """Return what a table holds, under our headings or those of a logger that an instrument of the workshop keeps.

    Parameters
    ----------
    read
        Reads it, given which column is which; empty where it has our headings.

    Raises
    ------
    FileError
        If it can be read in no way; that says what is wrong under our headings.
    """
    try:
        return read("")
    except FileError:
        for columns in dict.fromkeys(one.columns for one in instruments if one.columns):
            with suppress(FileError):
                return read(columns)
        raise
