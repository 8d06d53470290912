"""Whether the readings of a build's closed holds are still those that their verdicts were given on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import Damaged

if TYPE_CHECKING:
    from commission.record.fold import BuildState
    from commission.record.record import Record


def require_sealed(book: Record, state: BuildState) -> None:
    """Refuse to go on with a stored verdict whose readings were changed after it.

    Parameters
    ----------
    book
        The record beneath.
    state
        The build.

    Raises
    ------
    Damaged
        If a reading of a closed hold was changed, taken away or added; the message names the hold.
    """
    for hold in state.holds:
        closed = hold.verdict_entry
        if closed is None:
            continue
        try:
            seal = book.log.seal(hold.series)
        except Damaged as error:
            raise Damaged(f"the verdict of hold {hold.attempt} no longer stands: {error}") from error
        if (seal.count, seal.digest) != (closed.samples, closed.digest):
            raise Damaged(
                f"the verdict of hold {hold.attempt} no longer stands: its readings were changed after it; run "
                "commission verify and restore a backup"
            )
