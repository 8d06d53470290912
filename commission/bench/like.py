"""A build that is made like another: its parts list and its plan, each an entry of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import counted
from commission.bench.ask import one_of
from commission.bench.deed import Deed

if TYPE_CHECKING:
    from commission.record.logbook import Logbook


def other_build(book: Logbook, build_id: str, text: str) -> str:
    """Return the id of the build that is meant, which is another one.

    Raises
    ------
    InputError
        If there is none, or several fit.
    """
    names = {row.build_id: row.name for row in book.builds() if row.build_id != build_id}
    if not names:
        raise InputError("there is no other build to copy")
    return one_of(text, names, "other build")


def like_deed(book: Logbook, build_id: str, other_id: str) -> Deed:
    """Return what copying another build into this one does."""
    other = book.build(other_id)
    told = f"copy {other.name}: {counted(len(other.parts), 'part')}, and its plan of the hold where it has one"

    def do() -> str:
        stored = book.make_like(build_id, other_id)
        parts = len(book.build(build_id).parts)
        plan = " and the plan of its hold" if len(stored) > parts else ""
        return f"like {other.name}: {counted(parts, 'part')}{plan}"

    return Deed(told=told, do=do)
