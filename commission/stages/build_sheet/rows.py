"""The build sheet of a build as plain lines: its parts, their volume, warnings; and what it needs for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.shell.console import ascii_only
from commission.shell.shown import shown
from commission.stages.build_sheet.work import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.parts import Part


def sheet_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts of a build's sheet."""
    from commission.units.show import say

    for part in state.parts:
        out = state.left_out.get(part.part_id)
        yield f"part: {_part(part)}{f'; left out of the test: {out}' if out else ''}"
    volume = state.volume
    if volume is None:
        yield "volume: not known"
    else:
        value, u = (shown(si, Quantity.VOLUME) for si in (volume.volume_m3, volume.u_volume_m3))
        yield f"volume: {value}, standard uncertainty {u}, from: {volume.basis}"
    for warning in book.work(Sheet).warnings(state):
        yield f"warning: {say(warning, ascii_only=ascii_only())}"


def _part(part: Part) -> str:
    volume, u = (shown(si, Quantity.VOLUME) for si in (part.volume_m3, part.u_volume_m3))
    rated = "rating not known"
    if part.max_gauge_pa is not None:
        rated = f"up to {shown(part.max_gauge_pa, Quantity.GAUGE_PRESSURE)}"
    facts = [f"{part.name} ({part.kind})", f"{volume}, standard uncertainty {u}", rated]
    if part.materials:
        facts.append(", ".join(part.materials))
    if part.assumed:
        facts.append(f"assumed (common practice): {', '.join(part.assumed)}")
    return "; ".join(facts)
