"""Hands out a report from the screen: why it replaces the one before, where there is one, and where it goes."""

from __future__ import annotations

import os
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.bench.ask import Flow, Question, asked_once, asked_text, some_text
from commission.bench.build_facts import rung_text
from commission.bench.deed import Deed
from commission.bench.named_file import typed_path
from commission.record.issue import last_told, reports_of
from commission.report.handed_out import checked_file, hand_out
from commission.report.made import report_number, stands_of
from commission.report.written import ENDINGS

if TYPE_CHECKING:
    from commission.bench.face import Face
    from commission.procedure.model import Help
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook

PROPOSED = (".html", ".txt", ".json")
"""Endings of the file that Enter takes, the first whose file is not there yet; a PDF wants an extra, so it is typed."""


class ReportFlow(Flow):
    """Asks for a file, and before that why a report is replaced.

    Parameters
    ----------
    book, faces, build_id
        The logbook, the stages, and the build.
    """

    def __init__(self, book: Logbook, faces: tuple[Face, ...], build_id: str) -> None:
        super().__init__()
        self.book = book
        self.faces = faces
        self.build_id = build_id
        self.why = ""
        """Why the report before is replaced, as typed; empty until it was."""
        self.refresh()

    def refresh(self) -> None:
        """Read the record again."""
        super().refresh()
        self.state = self.book.build(self.build_id)
        before = reports_of(self.book, self.build_id)
        self.head = last_told(self.book, self.build_id)
        self.replaces = 0 if not before or any(one.head == self.head for one in before) else before[-1].head
        if not self.replaces or self.book.read_only_because:
            self.replaces, self.why = 0, ""

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return f"{self.state.name} · report"

    @property
    def number(self) -> str:
        """Number of the report as the record stands."""
        return report_number(self.build_id, self.head)

    def lines(self) -> tuple[str, ...]:
        """Return what the report will begin with, and which were handed out."""
        return (f"report {self.number}", self.stands[1], *map(rung_text, self.rungs), self.handed_out())

    @property
    def rungs(self) -> tuple[StageState, ...]:
        """The stages of the build, with where each stands."""
        return self.book.ladder(self.state)

    @property
    def stands(self) -> tuple[bool, str]:
        """Whether nothing holds the build up, and where it stands in a sentence."""
        return stands_of(self.book, self.faces, self.state)

    def handed_out(self) -> str:
        """Return which reports of the build were handed out."""
        gone = [report_number(self.build_id, one.head) for one in reports_of(self.book, self.build_id)]
        return f"handed out so far: {', '.join(gone)}" if gone else "No report of this build was handed out yet."

    def help(self) -> Help:
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose="A report of this build to hand over or keep. It tells where every stage stands, what was measured "
            "and how, all attempts, defects, cautions and every entry.",
            good="Its number names the last entry that it tells of. Handing it out is recorded with its digest.",
            bad="A stage that is open is told first. To put a mistake right, withdraw or add entries and hand out a "
            "new one: it says which it replaces, and why.",
        )

    def question(self) -> Question:
        """Return what is asked now."""
        return self._why() if self.replaces and not self.why else self._where()

    def back(self) -> bool:
        """Go back to the question why; return whether it was answered."""
        had, self.why = bool(self.why), ""
        return had

    def _why(self) -> Question:
        def do(why: str) -> None:
            self.why = why

        number = report_number(self.build_id, self.replaces)
        ask = f"Why does a new report replace {number}?"
        return asked_text(some_text("why it is replaced"), do, key="why", ask=ask, hint="The new one says so.")

    def _where(self) -> Question:
        return asked_once(
            self._deed,
            key="file",
            ask="Type the file for the report: .html to read and print, .pdf, .txt or .json.",
            hint="The ending alone is enough. A file that is there is left as it is. Handing out is recorded.",
            proposal=self._free(*PROPOSED),
        )

    def _free(self, *endings: str) -> str:
        """Return a name with one of some endings that no file has yet, numbered where all of them are there."""
        kept = "".join(sign if sign.isalnum() else "-" for sign in self.state.name)
        stem = f"{kept}-{self.number}"
        names = (f"{stem}{ending}" if n == 1 else f"{stem}-{n}{ending}" for n in count(1) for ending in endings)
        return next(name for name in names if not os.path.lexists(name))

    def _deed(self, text: str) -> Deed:
        ending = f".{text.strip().casefold().lstrip('.')}"
        if ending in ENDINGS:
            text = self._free(ending)
        if not text.strip().strip("\"'"):
            raise InputError("type the file for the report")
        path = typed_path(text).absolute()
        checked_file(path)
        return Deed(told=f"report {self.number} to {path}", do=lambda: self._hand_out(path))

    def _hand_out(self, path: Path) -> str:
        done = hand_out(self.book, self.faces, self.build_id, path, self.why)
        self.why = ""
        stored = "" if done.entry is None else f"entry {done.entry.seq} · "
        remark = f"; {done.remark}" if done.remark else ""
        return f"{stored}report {done.report.number} stands in {path}{remark}"
