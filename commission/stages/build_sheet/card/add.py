"""Parts that are added whole: by one command, by the rows of a file, or as another build has them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import InputError, on_line
from commission.base.text import counted
from commission.bench.ask import one_of
from commission.bench.deed import Deed
from commission.stages.build_sheet.typed import PartDraft, changed, draft_from, draft_of
from commission.stages.build_sheet.work import Sheet
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.parts import Part


def add_deed(book: Logbook, build_id: str, what: str, changes: Sequence[str]) -> Deed:
    """Return what adding a part does, with some figures different from the usual ones.

    Parameters
    ----------
    book, build_id
        The logbook and the build.
    what
        The part as typed, such as ``radiator 360``.
    changes
        What is different, each a typed line such as ``volume 320 mL``.

    Raises
    ------
    InputError
        If one of them cannot be understood, or the volume is not known.
    """
    draft = draft_from(what, book.procedure(book.build(build_id)).typical_parts)
    for change in changes:
        draft = changed(draft, change)
    if draft.volume_m3 is None:
        raise InputError(worded(f"how large is {draft.name}? say its size, such as 10 mm x 1.2 m, or its volume"))
    assumed = f" (assumed: {', '.join(sorted(draft.assumed))})" if draft.assumed else ""
    return Deed(told=f"{draft.told()}{assumed}", do=lambda: store_draft(book, build_id, draft))


def correct_deed(book: Logbook, build_id: str, name: str, changes: Sequence[str]) -> Deed:
    """Return what describing a part again does, with some figures different from before.

    Raises
    ------
    InputError
        If there is no such part, or a change cannot be understood.
    """
    draft = draft_of(part_named(book.build(build_id), name))
    for change in changes:
        draft = changed(draft, change)
    return Deed(told=draft.told(), do=lambda: store_draft(book, build_id, draft))


def store_draft(book: Logbook, build_id: str, draft: PartDraft) -> str:
    """Store the parts of a draft under free names, or the part that it corrects, and return them in one line."""
    if draft.corrects:
        book.work(Sheet).correct_part(build_id, draft.corrected(), draft.typed)
        return f"corrected: {draft.told()}"
    for number in range(1, draft.count + 1):
        taken = frozenset(part.name for part in book.build(build_id).parts)
        book.work(Sheet).add_part(build_id, draft.parts(book.new_id(), taken, number), draft.typed)
    return draft.told()


def parts_deeds(book: Logbook, build_id: str, path: Path) -> tuple[Deed, ...]:
    """Return what the rows of a parts list do, each by itself.

    Raises
    ------
    FileError
        If the file cannot be read, or a row is not understood: then nothing is done.
    """
    from commission.stages.build_sheet.files.parts_csv import read_parts

    deeds = []
    for row in read_parts(path):
        with on_line(row.line):
            deeds.append(add_deed(book, build_id, row.part, row.changes))
    return tuple(deeds)


def file_deed(book: Logbook, build_id: str, path: Path) -> Deed:
    """Return what taking a whole parts list does; raises as `parts_deeds`."""
    deeds = parts_deeds(book, build_id, path)
    told = f"{counted(len(deeds), 'row')} of {path.name}: {'; '.join(deed.told for deed in deeds)}"

    def do() -> str:
        for deed in deeds:
            deed.do()
        return f"{counted(len(deeds), 'row')} of {path.name} stored"

    return Deed(told=told, do=do)


def part_named(state: BuildState, name: str) -> Part:
    """Return the part that is meant.

    Raises
    ------
    InputError
        If there is none, or several fit.
    """
    if not state.parts:
        raise InputError("there is no part on the list yet")
    parts = {part.part_id: part for part in state.parts}
    return parts[one_of(name, {key: part.name for key, part in parts.items()}, "part of this loop")]
