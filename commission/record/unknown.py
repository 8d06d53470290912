"""Entries of kinds that no stage of this program knows: they are kept and shown, and close their build to work."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from commission.base.errors import NotAllowed
from commission.base.frozen import Frozen
from commission.base.text import clip

if TYPE_CHECKING:
    from commission.record.build_state import BuildState
    from commission.record.logged import Logged


class Unknown(Frozen):
    """Something was recorded that this program does not know; it stands in the log as another one wrote it."""

    KIND: ClassVar[str] = "unknown kind"
    """Stands in no log: the word that does is in ``word``."""
    word: str
    """The word in the log for its kind."""
    text: str
    """What it holds, as canonical JSON."""


def unknown_text(entry: Logged) -> str:
    """Return which entry it is and what stands in the log for its kind."""
    word = entry.payload.word if isinstance(entry.payload, Unknown) else entry.payload.KIND
    return f"entry {entry.seq}, {clip(word)}"


def refuse_unknown(state: BuildState) -> None:
    """Refuse work at a build of which this program does not know all: what was judged or changed there is not seen.

    Raises
    ------
    NotAllowed
        If it has an entry of an unknown kind, withdrawn or not.
    """
    if state.unknown:
        raise NotAllowed(
            f'"{state.name}" holds what this program does not know '
            f"({unknown_text(state.unknown[0])}). It takes notes and no work. Go on with the "
            "program that wrote it, or a newer one"
        )
