"""A report as pages: a PDF whose text, tables and pictures are tagged, the same bytes for the same report.

Typst and the font come with the extra ``pdf``. The compiler checks the page by PDF/UA-1 and PDF/A-2a.
"""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from importlib.metadata import version
from importlib.util import find_spec
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from commission.base.errors import FileError
from commission.report.colours import ACCENT, BAND, INK, PAPER, QUIET
from commission.report.model import DRAFT
from commission.report.svg import svg

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.listing import Listing
    from commission.report.model import Report, Section

FONT = "Inter"
"""The font of the page, for its tabular figures and its signs."""
EXTRA = "a PDF wants typst and its font: install commission with its extra pdf, or name a file .html and print that"
"""Said where typst or the font is missing."""
SHORT = 27
"""Most letters of a cell that is not wrapped [1]; our choice: a date with its offset, and a kind of entry."""
_PAGE = Path(__file__).with_name("page.typ")
_SIGN = _PAGE.with_name("sign.typ")
PARTS = ("typst", "fontpkg_inter")
"""Modules of the extra."""
_DIGEST = re.compile(r"\b[0-9a-f]{64}\b")
_LACKING = (
    "Signs that the font of this page lacks stand as their number in Unicode, such as [U+1F9CA]. The report as .html, "
    ".txt and .json has the signs themselves."
)


def refuse_without_extra(name: str) -> None:
    """Refuse a file for a PDF where the extra is not installed.

    Raises
    ------
    FileError
        If typst or its font is missing.
    """
    if any(find_spec(part) is None for part in PARTS):
        raise FileError(f"{name}: {EXTRA}")


def as_pdf(report: Report) -> bytes:
    """Return a report as PDF.

    Raises
    ------
    FileError
        If the compiler refuses it.
    """
    import typst

    told = _DIGEST.sub(_in_groups, json.dumps(_told(report), ensure_ascii=False))
    try:
        return _compiled(_PAGE, told, report.told_ms)
    except typst.TypstError:
        # each sign that is not ASCII costs a page of its own, so they are asked only where something was refused
        readable = _readable(told)
    try:
        return _compiled(_PAGE, readable, report.told_ms)
    except typst.TypstError as error:
        why = " ".join(str(error).split())
        raise FileError(f"the PDF cannot be made ({why}); name a file .html and print that") from error


def _in_groups(digest: re.Match[str]) -> str:
    return " ".join(digest[0][at : at + 8] for at in range(0, len(digest[0]), 8))


def _compiled(page: Path, told: str, at_ms: int) -> bytes:
    import typst

    made: bytes = typst.compile(
        page,
        root=page.parent,
        font_paths=[_fonts()],
        ignore_system_fonts=True,
        sys_inputs={"report": told},
        pdf_standards=["ua-1", "a-2a"],  # readable aloud, and readable for long
        timestamp=_moment(at_ms),
    )
    return made


def _moment(wall_ms: int) -> datetime:
    """Return the moment of an entry; the first of all where a clock showed one that no calendar has."""
    try:
        return datetime.fromtimestamp(wall_ms // 1000, UTC)
    except (OverflowError, OSError, ValueError):
        return datetime.fromtimestamp(0, UTC)


def _fonts() -> Path:
    import fontpkg_inter

    return Path(fontpkg_inter.__file__).with_name("files")


def _readable(told: str) -> str:
    """Return what the template is given with the signs that the font lacks told by their number; the end says so."""
    lacking = [sign for sign in sorted(set(told)) if not sign.isascii() and not _shown(sign)]
    if not lacking:
        return told
    again = json.loads(told.translate({ord(sign): f"[U+{ord(sign):04X}]" for sign in lacking}))
    return json.dumps({**again, "end": [*again["end"], _LACKING]}, ensure_ascii=False)


def _shown(sign: str) -> bool:
    """Return whether the font has a sign: the compiler is asked, on a page of its own."""
    import typst

    try:
        _compiled(_SIGN, json.dumps({"font": FONT, "sign": sign}), 0)
    except typst.TypstError:
        return False
    return True


def _told(report: Report) -> dict[str, object]:
    """Return what the template is given: the report as it is, and the colours."""
    pictures = iter(range(1, 1 + sum(len(section.charts) for section in report.sections)))
    return {
        "title": f"Report {report.number}: {report.build}",
        "kind": "REPORT",
        "build": report.build,
        "head": [f"report {report.number}", *([] if not report.told else [f"told up to {report.told}"])],
        "foot": f"Report {report.number} · {report.build}",
        "draft": DRAFT if report.draft else "",
        "replaces": f"Replaces report {report.replaces}" if report.replaces else "",
        "stands": report.stands,
        "stages": _listing(report.stages),
        "sections": [_section(section, pictures) for section in report.sections],
        "sign": ("Built and tested by: date, place, signature", "Received by: date, place, signature"),
        "end": _end(report),
        "font": FONT,
        "colours": (INK, QUIET, ACCENT, PAPER, BAND),
    }


def _end(report: Report) -> list[str]:
    made = f"typst {version('typst')}, {FONT} {version('fontpkg-inter')}"
    return [f"Last entry and digest: {report.last}. Pages made by {made}. End of report {report.number}."]


def _section(section: Section, pictures: Iterator[int]) -> dict[str, object]:
    return {
        "title": section.title,
        "state": section.state,
        "words": section.words,
        "facts": [
            (name, [fact.text for fact in alike]) for name, alike in groupby(section.facts, key=lambda fact: fact.name)
        ],
        "pictures": [
            {
                "svg": svg(chart, f"picture-{next(pictures)}").text,
                "said": f"{chart.title}. {chart.said}",
            }
            for chart in section.charts
        ],
        "tables": list(map(_listing, section.tables)),
    }


def _listing(table: Listing) -> dict[str, object]:
    """Return a table without the columns that are empty from top to bottom: narrow pages want the room."""
    kept = [place for place in range(len(table.columns)) if any(row[place] for row in table.rows)]
    return {
        "caption": table.caption,
        "columns": [table.columns[place] for place in kept],
        "rows": [[row[place] for place in kept] for row in table.rows],
        "widths": [_share([row[place] for row in table.rows]) for place in kept],
    }


def _share(cells: list[str]) -> int:
    """Return the share of the room that a column gets of what short ones leave; 0 for a short one.

    Between its longest cell and the mean one, so that a single long cell takes no room from a column that is all long.
    """
    lengths = [len(cell) for cell in cells] or [0]
    longest = max(lengths)
    return 0 if longest <= SHORT else min((longest + sum(lengths) // len(lengths)) // 2, 4 * SHORT)
