"""A hold on paper: plan, cautions, an empty table of readings by the clock, room for the verdict; one page of text."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from commission.stages.pressure_hold.entries import HoldPlan

WIDTH = 80
"""Columns of the page; text is wrapped two before, for a sign such as ± takes two where a printer has ASCII alone."""
LINES = 66
"""Lines of the page; our choice: what a printer puts on A4 or letter at six lines an inch."""
LEAST_ROWS = 6
"""Rows of the table that are printed however long the rest is; our choice."""


def sheet_lines(
    title: str, told: str, plan: HoldPlan, planned: Sequence[tuple[str, str]], cautions: Iterable[str]
) -> Iterator[str]:
    """Yield the page.

    Parameters
    ----------
    title
        What is held, such as the build and the attempt.
    told
        Up to which entry the log was read, and when: by that an old sheet is known as old.
    planned
        The plan as words and values.
    cautions
        What is to be read before, a sentence or two each, with this loop's figures in them.
    """
    top = [*_wrapped(f"PRESSURE HOLD of {title}"), *_wrapped(f"{told}. Paper is not the record: type it in."), ""]
    top += _wrapped("plan: " + ", ".join(f"{word} {value}" for word, value in planned))
    top += ["", "READ BEFORE YOU PUMP"]
    for caution in cautions:
        top += textwrap.wrap(f"[ ] {caution}", WIDTH - 2, subsequent_indent="    ")
    top += ["", "pumped up at ___:___  to ________"]
    top += [
        "source is off: [ ] hose off  [ ] valve shut, line vented  [ ] valve only",
        "               [ ] hand pump left on",
        "",
    ]
    bottom = [
        "",
        "ended at ___:___   gauge ________   vented to 0: [ ]   by ____________________",
        "verdict after it was typed in:  PASS   FAIL   INCONCLUSIVE   INVALID",
        "defect found, where: ________________________________________________________",
    ]
    wanted = 1 + math.ceil(((plan.settle_s or 0.0) + plan.hold_s) / plan.every_s)
    room = max(LEAST_ROWS, LINES - len(top) - len(bottom) - 3)
    yield from top
    yield from _table(plan, min(wanted, room))
    if wanted > room:
        yield f"{wanted - room} more readings are planned: go on overleaf."
    yield from bottom


def _table(plan: HoldPlan, rows: int) -> Iterator[str]:
    heads = ["clock", "elapsed", f"gauge [{plan.gauge.unit}]"]
    heads += [f"air [{plan.thermometer.unit}]"] if plan.thermometer is not None else []
    heads += [f"barometer [{plan.barometer.unit}]"] if plan.barometer is not None else []
    widths = [max(7, len(head)) for head in heads]
    yield " | ".join([*(head.ljust(width) for head, width in zip(heads, widths, strict=True)), "seen, heard"])
    for number in range(rows):
        due = _elapsed(number * plan.every_s)
        cells = ["   :", due, *("" for _ in heads[2:])]
        blanks = [cell.ljust(width, " " if cell else "_") for cell, width in zip(cells, widths, strict=True)]
        yield " | ".join([*blanks, ""]).rstrip()


def _elapsed(seconds: float) -> str:
    """Return when a reading is due after the first one.

    >>> _elapsed(0), _elapsed(300), _elapsed(5400)
    ('0:00', '0:05', '1:30')
    """
    minutes = round(seconds / 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH - 2, subsequent_indent="  ")
