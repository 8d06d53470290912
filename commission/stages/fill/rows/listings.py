"""What went into the loop and out of it, one amount a row, for the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.figures import millilitres, millilitres_good_to
from commission.bench.listing import Listing
from commission.bench.moment import moment
from commission.record.done_at import done_ms
from commission.stages.fill.model.fill import REFERENCE_K, Pour
from commission.stages.fill.state import FillState
from commission.stages.fill.text import moved_how
from commission.stages.fill.work.fills import Fills
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook

_COLUMNS = ("entry", "when", "what", "amount (95 %)", "at", "measured", "lot", "then in the loop")


def fill_listings(book: Logbook, state: BuildState) -> Iterator[Listing]:
    """Yield every amount since the loop was last held on air; nothing where there is none."""
    moves = state.of(FillState).moves
    if not moves:
        return
    marks = {entry.seq: entry for entry in book.entries(state.build_id)}
    picture = book.work(Fills).verdict(state).picture
    totals = () if picture is None else picture.total_m3
    rows = []
    for number, moved in enumerate(moves):
        entry, dose = marks[moved.seq], moved.movement.dose
        seen_ms = done_ms(entry)
        amount, good_to = millilitres_good_to(dose.volume_m3, dose.u_volume_m3)
        typed = ", ".join(measured.typed for measured in dose.inputs)
        rows.append(
            (
                str(moved.seq),
                moment(seen_ms, entry.mark.offset_min),
                moved_how(moved.movement),
                f"{amount} {good_to}",
                show(dose.at_k, Quantity.TEMPERATURE),
                f"{dose.way}{f' ({typed})' if typed else ''}",
                moved.movement.bottle.lot if isinstance(moved.movement, Pour) else "",
                millilitres(totals[number]) if number < len(totals) else "",
            )
        )
    at = show(REFERENCE_K, Quantity.TEMPERATURE)
    caption = f"Coolant: every amount, in order; what is then in the loop is at {at}"
    yield Listing(caption=caption, columns=_COLUMNS, rows=tuple(rows))
