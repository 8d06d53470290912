"""A report as plain text: a fact a line, a row a line, so that a screen reader and ``cut`` take it as it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.bench.chart import Chart
from commission.report.model import DRAFT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.listing import Listing
    from commission.report.model import Report, Section


def as_text(report: Report) -> str:
    """Return a report as lines."""
    return "".join(f"{line}\n" for line in _lines(report))


def _lines(report: Report) -> Iterator[str]:
    yield f"report {report.number}: {report.build}"
    if report.draft:
        yield DRAFT
    yield report.stands
    if report.replaces:
        yield f"replaces: {report.replaces}"
    yield ""
    yield from _table(report.stages)
    for section in report.sections:
        yield from _section(section)
    yield ""
    yield f"last digest: {report.last}"
    yield f"end of report {report.number}"


def _section(section: Section) -> Iterator[str]:
    yield ""
    yield section.title.upper()
    yield from section.words
    for fact in section.facts:
        yield f"{fact.name}: {fact.text}"
    for chart in section.charts:
        yield from _chart(chart)
    for table in section.tables:
        yield ""
        yield from _table(table)


def _chart(chart: Chart) -> Iterator[str]:
    yield f"picture: {chart.title}. {chart.said}"


def _table(table: Listing) -> Iterator[str]:
    yield f"{table.caption}:"
    yield " | ".join(table.columns)
    for row in table.rows:
        yield " | ".join(cell or "-" for cell in row)
