"""A file that is named in a typed line."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from commission.base.errors import FileError, InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.text import as_note, clip, counted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from commission.base.text import FreeLine
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


def with_comments(hand: StageAtHand[Any], deed: Deed, comments: Sequence[FreeLine], name: str) -> Deed:
    """Return what taking a table does, with its free comment lines as a note of the build behind it.

    A line that has a word of a leak without saying that there is one is kept as the others are, and that is told.

    Raises
    ------
    NotAllowed
        If one clearly tells of a leak: the table is not taken, and nothing of it stays.
    """
    from commission.record.entries import NoteAdded
    from commission.record.machine.dryness import clearly_wet, told_wet

    if not comments:
        return deed
    coolant_in = hand.book.build(hand.build_id).coolant_m3 > 0
    for line, text in comments if coolant_in else ():
        if word := clearly_wet(text):
            raise NotAllowed(
                f"line {line} of {clip(name)}, the comment {clip(text)}, says {clip(word)}. If something leaks, type "
                "leak or run commission defect. If nothing does, take that line out or word it otherwise"
            )
    doubts = [f"line {line} says {clip(word)}" for line, text in comments if coolant_in and (word := told_wet(text))]
    doubt = f"; {doubts[0]}: if something leaks, type leak or run commission defect" if doubts else ""
    note = as_note(one.text for one in (comments[0]._replace(text=f"{name}: {comments[0].text}"), *comments[1:]))

    def do() -> str | None:
        done = deed.do()
        hand.book.record(hand.build_id, NoteAdded(text=note))
        return done

    return replace(deed, told=f"{deed.told}; {counted(len(comments), 'comment line')} kept as a note{doubt}", do=do)


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
