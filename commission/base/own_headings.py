"""Headings of a logger's own, as a person names them: which of them is which of ours, in which unit."""

import csv
import re

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip

LONGEST = 1_000
"""Longest text that names columns [characters]; our choice: some thirty headings."""

_EXAMPLE = "time=Zeit, gauge=Druck [mbar]"
_NAME = re.compile(r'(.*?)\s*(?:\[\s*([^\[\],;"]{0,40}?)\s*\])?')


class OwnHeading(Frozen, kw_only=False):
    """One column of a file."""

    ours: str
    """Our name of it, in small letters."""
    whole: str
    """The heading as typed."""
    bare: str
    """The heading without a unit."""
    unit: str
    """Its unit as typed; empty where none was."""

    def fits(self, cell: str) -> bool:
        """Whether this heading of the file is meant, with or without its unit."""
        return same(cell) in {same(self.whole), same(self.bare)} or same(split_heading(cell)[0]) == same(self.bare)


def read_own_headings(text: str) -> tuple[OwnHeading, ...]:
    """Return which column of a file is which of ours, from such as ``time=Zeit, gauge=Druck [mbar]``.

    Raises
    ------
    InputError
        If a pair is none, or one of ours stands twice.

    Examples
    --------
    >>> [one.unit for one in read_own_headings("elapsed=t [min], gauge=P1 [bar]")]
    ['min', 'bar']
    """
    if len(text) > LONGEST:
        raise InputError(f"the columns are {len(text)} characters long; {LONGEST} are the most")
    try:
        rows = list(csv.reader([text], strict=True, skipinitialspace=True))
    except csv.Error as error:
        raise InputError(f"{clip(text)}: a quote is not closed; write such as {_EXAMPLE}") from error
    headings = tuple(_heading(part) for row in rows for part in row if part.strip())
    names = [one.ours for one in headings]
    if not headings:
        raise InputError(f"no column is named; write such as {_EXAMPLE}")
    for name in names:
        if names.count(name) > 1:
            raise InputError(f"{clip(name)} stands twice; keep one")
    return headings


def _heading(part: str) -> OwnHeading:
    ours, equals, theirs = (side.strip() for side in part.partition("="))
    bare, unit = split_heading(theirs)
    if not equals or not bare or not re.fullmatch(r"[^\[\],;=\"#]+", ours):
        raise InputError(f"{clip(part)} is no column; write our name, = and the file's, such as {_EXAMPLE}")
    return OwnHeading(same(ours.lower()), theirs, bare, unit)


def split_heading(heading: str) -> tuple[str, str]:
    """Return a heading without its unit, and the unit; empty where it has none."""
    found = _NAME.fullmatch(heading)
    return (found[1].strip(), found[2] or "") if found else (heading, "")


def same(heading: str) -> str:
    """Return a heading with one blank between words; t and T are two, since loggers head time and temperature so."""
    return " ".join(heading.split())
