"""The handover, as bench, screens and commands see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Span
from commission.procedure.stage_ids import HANDOVER

if TYPE_CHECKING:
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook

_AT = "commission.stages.handover"
_SHELL = f"{_AT}.shell"
_DECIDES = (
    "It is handed over once every stage it rests on has a pass that counts, no defect is open, and the owner's "
    "cautions were read. A reason that opened a lock is no proof. A usual top-up takes no proof."
)


def _record() -> RecordFace:
    from commission.stages.handover.record_face import RECORD

    return RECORD


def _needs(book: Logbook, state: BuildState, turn: StageState | None) -> str:
    if turn is None or turn.stage.id != HANDOVER:
        return ""
    from commission.stages.handover.rows.needs import needs

    return needs(book, state, turn)


FACE = Face(
    id=HANDOVER,
    record=_record,
    flow=ByName(f"{_AT}.card.handover:HandoverFlow"),
    rows=ByName(f"{_AT}.rows.show:handover_lines"),
    charts=ByName(f"{_AT}.rows.charts:handover_charts"),
    decides=_DECIDES,
    shows=("handover to", "to"),
    needs=_needs,
    spans=(Span(begun=("visit begun",), ended=("handed over",)),),
    running=ByName(f"{_AT}.rows.needs:running"),
    under_way="the end of its visit",
    commands={
        "handover": Command(f"{_SHELL}.handover:handover", "Record that a machine is handed over."),
        "visit": Command(f"{_SHELL}.visit:visit", "Record a service visit: begin, what was done, end."),
        "visit begin": Command(f"{_SHELL}.visit:begin", "Record that a service visit begins, and why."),
        "visit top-up": Command(f"{_SHELL}.visit:top_up", "Record a top-up to the mark."),
        "visit looked": Command(f"{_SHELL}.visit:looked", "Record a look at level and joints."),
        "visit cleaned": Command(f"{_SHELL}.visit:cleaned", "Record that filters and radiators were cleaned."),
        "visit changed": Command(f"{_SHELL}.visit:changed", "Record that a part was changed, and why."),
        "visit drained": Command(f"{_SHELL}.visit:drained", "Record that coolant was let out."),
        "visit end": Command(f"{_SHELL}.visit:end", "Record that the machine goes back."),
        "due": Command(f"{_SHELL}.due:due", "List what is due in the years after handover."),
    },
)
"""What the rest of the house sees of it."""
