"""The parts list of a build as rows: its parts, what the loop holds and withstands, instruments; and ``show`` of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.card import Fact, Figure, raw, raw_within, with_remark
from commission.bench.figures import basis, half_width, instrument_line, millilitres_good_to, pressure
from commission.record.machine.loop import weakest_part
from commission.record.machine.parts import in_words
from commission.stages.build_sheet.work import Sheet
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.instrument import Instrument
    from commission.record.machine.parts import Part
    from commission.stages.build_sheet.typed import PartDraft


def sheet_lines(book: Logbook, state: BuildState) -> Iterator[Fact]:
    """Yield the facts of a build's parts list."""
    for part in state.parts:
        out = state.left_out.get(part.part_id)
        yield with_remark(part_row(part), f"left out of the test: {out}" if out else "").of("part")
    yield from total_rows(state)
    if state.volume is None:
        yield "loop volume: not known"
    for warning in book.work(Sheet).warnings(state):
        yield f"warning: {say(warning)}"


def part_row(part: Part) -> Figure:
    """Return a part: what it holds, what it withstands, what of it touches the coolant, and what was assumed of it."""
    assumed = f"assumed: {', '.join(part.assumed)}" if part.assumed else ""
    return Figure(
        label=part.name,
        value=half_width(part.volume_m3, part.u_volume_m3),
        bounds=rating_text(part),
        remark=" · ".join(
            one for one in (in_words(part.kind), ", ".join(map(in_words, part.materials)), assumed) if one
        ),
        raw=raw_within("m3", part.volume_m3, part.u_volume_m3),
    )


def rating_text(part: Part) -> str:
    """Return what a part withstands."""
    return "rating not known" if part.max_gauge_pa is None else f"max {pressure(part.max_gauge_pa)}"


def total_rows(state: BuildState) -> tuple[Figure, ...]:
    """Return what the loop holds and what its weakest part withstands; nothing of what nobody knows."""
    loop = state.volume
    if loop is None:
        return ()
    value, good_to = millilitres_good_to(loop.volume_m3, loop.u_volume_m3)
    rows = (
        Figure(
            label="loop volume",
            value=value,
            bounds=f"{good_to} (95 %)",
            remark=basis(loop.basis),
            raw=raw_within("m3", loop.volume_m3, loop.u_volume_m3),
        ),
    )
    weakest = weakest_part(state.tested_parts)
    if weakest is None or weakest.max_gauge_pa is None:
        return rows
    withstands = weakest.max_gauge_pa
    return (
        *rows,
        Figure(label="weakest part", value=pressure(withstands), remark=weakest.name, raw=raw("Pa", withstands)),
    )


def draft_rows(draft: PartDraft) -> tuple[Figure, ...]:
    """Return what is known of a part while it is described."""

    def remark(figure: str) -> str:
        return "assumed, common practice" if figure in draft.assumed else ""

    volume = (
        Figure(label="volume", value="not known yet", remark="inner diameter x length is asked for")
        if draft.volume_m3 is None
        else Figure(
            label="volume each" if draft.count > 1 else "volume",
            value=half_width(draft.volume_m3, draft.u_volume_m3),
            remark=remark("volume"),
        )
    )
    unrated = draft.max_gauge_pa is None
    return (
        Figure(label="name", value=f"{draft.count} × {draft.name}" if draft.count > 1 else draft.name),
        volume,
        Figure(
            label="max",
            value="not known" if draft.max_gauge_pa is None else pressure(draft.max_gauge_pa),
            remark=remark("rating") or ("look for its maker's word" if unrated else ""),
        ),
        Figure(label="wetted", value=", ".join(map(in_words, draft.materials)), remark=remark("wetted")),
    )


def instrument_rows(instruments: tuple[Instrument, ...]) -> tuple[Figure, ...]:
    """Return each instrument with its resolution, accuracy and range."""
    return tuple(Figure(label=one.kind, value=one.name, remark=instrument_line(one)) for one in instruments)
