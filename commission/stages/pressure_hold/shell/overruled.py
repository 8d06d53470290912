"""Where the command line says other than the comment lines of a file: told, and of the source refused."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.errors import FileError
from commission.base.text import clip

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.stages.pressure_hold.entries import SourceOff


def one_source(asked: SourceOff | None, stated: SourceOff | None) -> SourceOff | None:
    """Return how the source was off, as command line or file say; None where neither does.

    Raises
    ------
    FileError
        If they contradict each other: it was one thing at the bench, and a valve alone must not become a pass.
    """
    if asked is not None and stated is not None and asked is not stated:
        raise FileError(
            f'it says "# source: {stated}", and --source says "{asked}"; leave out the one that was not so at the bench'
        )
    return asked or stated


def overruled(lines: Iterable[tuple[str, object, object]]) -> tuple[str, ...]:
    """Return the comment lines of a file that do not count, for the command line says something else.

    Parameters
    ----------
    lines
        Of each: its key, what the command line says [SI], and what the line says; None where either says nothing.
    """
    return tuple(_line(key, stated) for key, said, stated in lines if _differ(said, stated))


def _differ(said: object, stated: object) -> bool:
    """Return whether both are there and differ by more than the last digit of a converted unit."""
    if said is None or stated is None:
        return False
    si = getattr(stated, "si", stated)
    if isinstance(said, float) and isinstance(si, float):
        return not math.isclose(said, si, rel_tol=1e-6)
    return said != si


def _line(key: str, stated: object) -> str:
    """Return the comment line as a sentence that says it does not count."""
    words = {True: "yes", False: "no"}[stated] if isinstance(stated, bool) else getattr(stated, "typed", stated)
    return f"{key} of the file, {clip(str(words))}, does not count: the command line says otherwise."
