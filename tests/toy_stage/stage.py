"""The dust filters, as bench, screens and commands see them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.face import Command, Face, Key, Span
from tests.toy_stage.model import STAGE

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.bench.ask import Flow
    from commission.bench.card import Fact
    from commission.bench.face import Running
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook


def _record() -> RecordFace:
    from tests.toy_stage.record_face import RECORD

    return RECORD


def _beside(flow: Flow) -> object:
    from tests.toy_stage.plot import FiltersBeside

    return FiltersBeside(flow)


def _flow(book: Logbook, build_id: str) -> Flow:
    from tests.toy_stage.card import FiltersFlow

    return FiltersFlow(book, build_id)


def _rows(book: Logbook, state: BuildState) -> Iterable[Fact]:
    from tests.toy_stage.rows import filters_lines

    return filters_lines(book, state)


def _running(book: Logbook, state: BuildState) -> Iterable[Running]:
    from tests.toy_stage.rows import running

    return running(book, state)


FACE = Face(
    id=STAGE,
    record=_record,
    flow=_flow,
    beside=_beside,
    rows=_rows,
    spans=(Span(begun=("filter seated",), ended=("filters closed",)),),
    running=_running,
    key=Key(key="f10", label="Filters", title="Dust filters", told="Gaps at the filters of this build (F10)"),
    under_way="filters, to the end",
    commands={
        "judge filters": Command("tests.toy_stage.shell:judge_filters", "Judge the widest gaps at dust filters."),
        "filter": Command("tests.toy_stage.shell:seat", "Record a dust filter with its widest gap."),
    },
)
