"""The places at the bench: the builds, a stage, a list of the workshop, the log, the report, and what went wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import replace
from commission.bench.defect import defect_notices
from commission.bench.mishap.cards import HURT
from commission.shell.plain.told import Told, caution_texts, mishap_told, told_of

if TYPE_CHECKING:
    from commission.bench.ask import Flow
    from commission.bench.home import HomeFlow
    from commission.bench.mishap.flow import MishapFlow
    from commission.bench.record import RecordFlow
    from commission.record.logbook import Logbook
    from commission.report.flow import ReportFlow

LAST_ENTRIES = 8
"""Entries of the log that are told by themselves; our choice: `details` tells them all."""


class Place:
    """Where lines are answered."""

    name = ""
    """By which it is gone to; drafts are kept under it."""
    flow: Flow
    """What is asked here."""

    def title(self) -> str:
        """Return the build and where in it this is."""
        return self.flow.title()

    def told(self) -> Told:
        """Return what is known here."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Read the record again."""
        self.flow.refresh()
        self.flow.look()


class FlowPlace(Place):
    """A stage of a build, or a list of the workshop, where no build is given."""

    def __init__(self, book: Logbook, name: str, flow: Flow, build_id: str) -> None:
        self.name = name
        self.flow = flow
        self._book = book
        self._build_id = build_id

    def told(self) -> Told:
        """Return the card."""
        card = self.flow.content()
        if self._build_id:
            defects = defect_notices(self._book.build(self._build_id), self.name)
            card = replace(card, notices=(*defects, *card.notices))
        told = told_of(card)
        return replace(told, more=(*told.more, *caution_texts(card.cautions)))


class HomePlace(Place):
    """The builds."""

    name = "home"

    def __init__(self, flow: HomeFlow) -> None:
        self.flow: HomeFlow = flow

    def title(self) -> str:
        """Return who works."""
        return f"builds{f', {self.flow.operator} works' if self.flow.operator else ''}"

    def told(self) -> Told:
        """Return what runs, and each build with what it needs."""
        runs = tuple(f"running now: {line}" for line in self.flow.running())
        return Told(lines=(*runs, *(self._row(row.build_id, row.name) for row in self.flow.builds)))

    def _row(self, build_id: str, name: str) -> str:
        need = self.flow.look_at(build_id)
        known = [need.word, f"next: {need.next}" if need.next else "", f"last entry {need.last}" if need.last else ""]
        return f"build {name}: {', '.join(part for part in known if part)}"

    def refresh(self) -> None:
        """Read the builds again, and propose the one that is next."""
        self.flow.refresh()
        self.flow.running()
        first = self.flow.first()
        rows = self.flow.builds
        self.flow.highlighted = next((row for row in rows if row.build_id == first), rows[0] if rows else None)


class RecordPlace(Place):
    """The log of a build."""

    name = "record"

    def __init__(self, flow: RecordFlow) -> None:
        self.flow: RecordFlow = flow

    def told(self) -> Told:
        """Return the last entries, and by details every one."""
        count = self.flow.count()
        rows = [
            f"entry {row.seq}: {'WITHDRAWN, ' if row.withdrawn else ''}{row.when}, {row.who or 'nobody named'}, "
            f"{row.kind}: {row.what}"
            for row in self.flow.fetch(0, count)
        ]
        return Told(lines=(*rows[-LAST_ENTRIES:], self.flow.head()), more=tuple(rows[:-LAST_ENTRIES]))


class ReportPlace(Place):
    """The report of a build."""

    name = "report"

    def __init__(self, flow: ReportFlow) -> None:
        self.flow: ReportFlow = flow

    def told(self) -> Told:
        """Return what the report will begin with."""
        return Told(lines=self.flow.lines())


class MishapPlace(Place):
    """It went wrong: what to do first, then what happened is written down."""

    name = "went_wrong"

    def __init__(self, flow: MishapFlow) -> None:
        self.flow: MishapFlow = flow

    def told(self) -> Told:
        """Return the card."""
        return mishap_told(self.flow.aid, dict(self.flow.cases), HURT)
