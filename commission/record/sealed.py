"""Whether the readings of attempts that are ended are still those that their verdicts were given on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import Damaged

if TYPE_CHECKING:
    from commission.record.fold import BuildState
    from commission.record.record import Record


def require_sealed(book: Record, state: BuildState) -> None:
    """Refuse to go on with a stored verdict whose readings were changed after it.

    Raises
    ------
    Damaged
        If a reading of an attempt that is ended was changed, taken away or added; the message names it.
    """
    for stage, run in ((stage, run) for stage, runs in state.runs.items() for run in runs):
        if run.started is None or run.closed is None:
            continue
        called = book.registry.called(stage)
        for kinds in book.registry.series:
            begun, closed = run.started.payload, run.closed.payload
            if isinstance(begun, kinds.begun) and isinstance(closed, kinds.closed):
                _require(book, f"{called} {closed.attempt}", begun.series, (closed.samples, closed.digest))


def _require(book: Record, which: str, series: str, sealed: tuple[int, str]) -> None:
    try:
        seal = book.log.seal(series)
    except Damaged as error:
        raise Damaged(f"the verdict of {which} no longer stands: {error}") from error
    if (seal.count, seal.digest) != sealed:
        raise Damaged(
            f"the verdict of {which} no longer stands: its readings were changed after it; run commission verify and "
            "restore a backup"
        )
