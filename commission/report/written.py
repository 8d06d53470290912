"""A report as bytes of a file: JSON, plain text, HTML or PDF, by the ending of its name."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

import msgspec

from commission.base.errors import FileError

if TYPE_CHECKING:
    from pathlib import Path

    from commission.report.model import Report

ENDINGS = (".html", ".pdf", ".json", ".txt")
"""Endings that are known."""


def checked_ending(path: Path) -> str:
    """Return the ending of a file's name.

    Raises
    ------
    FileError
        If it is none that a report can be written as, or the extra for a PDF is missing.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise FileError(f"{path.name}: a report is written as {', '.join(ENDINGS)}; end the name with one of these")
    if ending == ".pdf":
        from commission.report.as_pdf import refuse_without_extra

        refuse_without_extra(path.name)
    return ending


def as_json(report: Report) -> str:
    """Return a report as JSON, the same for the same report."""
    # laid out by msgspec: the encoder of the standard library is ten times slower where it does that itself
    line = json.dumps(msgspec.to_builtins(report), ensure_ascii=True, allow_nan=False)
    return msgspec.json.format(line, indent=1) + "\n"


def digest_of(report: Report) -> str:
    """Return SHA-256 of a report as JSON, in hexadecimal: that of the file, as any program computes it."""
    return hashlib.sha256(as_json(report).encode("ascii")).hexdigest()


def written(report: Report, ending: str) -> bytes:
    """Return a report as the bytes of a file with an ending that is known.

    Raises
    ------
    FileError
        If the pages of a PDF cannot be made.
    """
    if ending == ".pdf":
        from commission.report.as_pdf import as_pdf

        return as_pdf(report)
    return _text(report, ending).encode()


def _text(report: Report, ending: str) -> str:
    if ending == ".json":
        return as_json(report)
    if ending == ".txt":
        from commission.report.as_text import as_text

        return as_text(report)
    from commission.report.as_html import as_html

    return as_html(report)
