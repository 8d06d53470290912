"""The dust filters, as bench, screens and commands see them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import ByName, Command, Face, Key, Span
from tests.toy_stage.model import STAGE

if TYPE_CHECKING:
    from commission.record.face import RecordFace


def _record() -> RecordFace:
    from tests.toy_stage.record_face import RECORD

    return RECORD


FACE = Face(
    id=STAGE,
    record=_record,
    flow=ByName("tests.toy_stage.card:FiltersFlow"),
    beside=ByName("tests.toy_stage.plot:FiltersBeside"),
    rows=ByName("tests.toy_stage.rows:filters_lines"),
    spans=(Span(begun=("filter seated",), ended=("filters closed",)),),
    running=ByName("tests.toy_stage.rows:running"),
    key=Key(key="f10", label="Filters", title="Dust filters", told="Gaps at the filters of this build (F10)"),
    under_way="filters, to the end",
    commands={
        "judge filters": Command("tests.toy_stage.shell:judge_filters", "Judge the widest gaps at dust filters."),
        "filter": Command("tests.toy_stage.shell:seat", "Record a dust filter with its widest gap."),
    },
)
