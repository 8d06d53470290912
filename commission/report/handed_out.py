"""Hands a report out: makes it, records that, and only then writes it to a file."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.text import counted
from commission.record.issue import Issue, issue_at, last_told, next_issue, record_issue, reports_of
from commission.report.made import report_of
from commission.report.written import checked_ending, digest_of, written
from commission.units.chosen import Chosen, in_house_units, units_now

if TYPE_CHECKING:
    from pathlib import Path

    from commission.bench.face import Face
    from commission.record.logbook import Logbook
    from commission.record.logged import Logged
    from commission.report.model import Report


class HandedOut(Frozen):
    """A report that was written to a file."""

    report: Report
    """The report."""
    digest: str
    """SHA-256 of it as JSON, in hexadecimal."""
    entry: Logged | None
    """The entry that says so; None where it stood there already, or it is a draft."""
    remark: str
    """What else to know, in one sentence; empty where there is nothing."""


def hand_out(book: Logbook, faces: tuple[Face, ...], build_id: str, path: Path, why: str) -> HandedOut:
    """Make the report of a build as it stands, record it and write it; a draft where nothing can be recorded.

    Raises
    ------
    CommissionError
        If it cannot be made, recorded or written.
    """
    ending = checked_file(path)
    if book.read_only_because:
        issue = Issue(head=last_told(book, build_id))
        told = f"this is a draft, not recorded: {book.read_only_because}"
        return _write(book, faces, build_id, path, ending, issue, told)
    issue = next_issue(book, build_id, why)
    report, content = _made(book, faces, build_id, issue, ending)
    digest = digest_of(report)
    entry = record_issue(book, build_id, issue, digest)
    _put(path, content)
    return HandedOut(report=report, digest=digest, entry=entry, remark=_other(book, build_id, issue, digest))


def hand_out_again(book: Logbook, faces: tuple[Face, ...], build_id: str, path: Path, seq: int) -> HandedOut:
    """Make the report up to an entry once more and write it; nothing is recorded. Raises as `hand_out`."""
    issue = issue_at(book, build_id, seq)
    told = [] if issue.recorded else [f"this is a draft, not recorded: no report up to entry {seq} was handed out"]
    last = last_told(book, build_id)
    if last > seq:
        found = book.build(build_id).open_findings
        open_ = f", and {counted(len(found), 'defect')} {'is' if len(found) == 1 else 'are'} open" if found else ""
        told.append(f"the log of this build has gone on to entry {last}{open_}; this report tells nothing behind {seq}")
    return _write(book, faces, build_id, path, checked_file(path), issue, "; ".join(told))


def checked_file(path: Path) -> str:
    """Return the ending of a file that can be written; raises FileError where it is there already or is no report."""
    ending = checked_ending(path)
    if os.path.lexists(path):
        raise FileError(f"{path} is there already; name another file")
    if not path.parent.is_dir():
        raise FileError(f"there is no folder {path.parent}; make it, or name another")
    return ending


def _write(
    book: Logbook, faces: tuple[Face, ...], build_id: str, path: Path, ending: str, issue: Issue, told: str
) -> HandedOut:
    report, text = _made(book, faces, build_id, issue, ending)
    digest = digest_of(report)
    _put(path, text)
    return HandedOut(report=report, digest=digest, entry=None, remark=told or _other(book, build_id, issue, digest))


def _made(book: Logbook, faces: tuple[Face, ...], build_id: str, issue: Issue, ending: str) -> tuple[Report, bytes]:
    """Return the report, which is worded in the program's own units so that its digest is one, and the file's text.

    A file that people read has the units of whoever hands it out; the JSON is the same for all.
    """
    with in_house_units():
        report = report_of(book, faces, build_id, issue)
    if ending == ".json" or units_now() == Chosen():
        return report, written(report, ending)
    return report, written(report_of(book, faces, build_id, issue), ending)


def _other(book: Logbook, build_id: str, issue: Issue, digest: str) -> str:
    """Return what to know where a report that was handed out would be another one today."""
    found = next((one for one in reports_of(book, build_id) if one.head == issue.head), None)
    if found is None or found.digest == digest:
        return ""
    return (
        f"the report up to entry {issue.head} was handed out with digest {found.digest[:16]}; another version of this "
        "program made it, and words or figures differ"
    )


def _put(path: Path, content: bytes) -> None:
    from commission.bootstrap import write_file

    write_file(path, content)
