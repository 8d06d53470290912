"""Entries about the loop, in one line each."""

from typing import assert_never

from commission.base.quantity import Quantity
from commission.record.machine.parts import in_words
from commission.record.value_text import shown, volume_text
from commission.stages.build_sheet.entries import (
    PartAdded,
    PartCorrected,
    PartLeftOut,
    PartRated,
    PartRemoved,
    SheetEntry,
    VolumeMeasured,
)


def sheet_text(payload: SheetEntry) -> str:
    """Return what an entry says beside its kind.

    Examples
    --------
    >>> sheet_text(PartLeftOut(part_id="p1", reason="sits behind a closed valve"))
    'sits behind a closed valve'
    """
    match payload:
        case PartAdded(part=part) | PartCorrected(part=part):
            rated = "no rating"
            if part.max_gauge_pa is not None:
                rated = shown(part.max_gauge_pa, Quantity.GAUGE_PRESSURE)
            return f"{in_words(part.kind)} {part.name}, {volume_text(part.volume_m3, part.u_volume_m3)}, {rated}"
        case PartRemoved(reason=reason) | PartLeftOut(reason=reason):
            return reason
        case VolumeMeasured(method=method, volume_m3=volume, u_volume_m3=u):
            return f"{volume_text(volume, u)}, by {method}"
        case PartRated(rating=rating):
            return f"at most {rating.typed}"
        case _ as unreachable:
            assert_never(unreachable)
