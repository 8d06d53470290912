"""Entries about what comes before pressure, in one line each."""

from typing import assert_never

from commission.stages.build_sheet.entries import PartLeftOut, PartRated
from commission.stages.pressure_hold.entries import BenchEntry, SourceIsolated


def bench_text(payload: BenchEntry) -> str:
    """Return what an entry says beside its kind.

    Examples
    --------
    >>> from commission.stages.pressure_hold.entries import SourceOff
    >>> bench_text(SourceIsolated(attempt=2, how=SourceOff.HOSE_OFF))
    'attempt 2: hose off'
    """
    match payload:
        case SourceIsolated(attempt=attempt, how=how):
            return f"attempt {attempt}: {how}"
        case PartRated(rating=rating):
            return f"at most {rating.typed}"
        case PartLeftOut(reason=reason):
            return reason
        case _ as unreachable:
            assert_never(unreachable)
