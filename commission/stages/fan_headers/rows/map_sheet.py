"""The header map as a sheet to tape into the case: plain text, 80 columns."""

from __future__ import annotations

import textwrap
from datetime import datetime, timedelta, timezone
from itertools import zip_longest
from typing import TYPE_CHECKING

from commission.stages.fan_headers.rows.board import current_text
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.units.show import say

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.record.machine.seats import Chain, Header

WIDTH = 80
"""Columns of the sheet."""
_CELLS = (13, 24, 17, 9, 13)
"""Columns of its cells; one blank lies between two, so that 80 are filled."""
_HEADS = ("header", "what sits there", "mA: steady/start", "duty", "since, entry")
CAUTIONS = (
    "Move a plug only with the machine shut down and its mains plug out.",
    "Never load a header above its rating. A pump stays where nothing can stop it.",
)
"""What a person with a hand in the case must read; our choice of two from the cautions before plugging."""


def map_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the sheet of a build as it stands now.

    Parameters
    ----------
    book
        The logbook.
    state
        The build.
    """
    head, now = book.head(), book.clock.now()
    yield from _wrapped(f"FAN HEADERS of {state.name}")
    yield f"as logged up to entry {head.seq}, printed {_day(now.wall_ms, now.offset_min)}"
    yield ""
    yield from CAUTIONS
    yield ""
    yield _row(_HEADS)
    yield "-" * WIDTH
    for header in state.plugged.headers:
        yield from _header(book, state, header)
    seated = state.plugged.seats()
    for chain in state.plugged.chains:
        if chain.chain_id not in seated:
            yield from _cells(("on no header", _chain(chain), "", _duty(state, chain), ""))
    if not state.plugged.headers and not state.plugged.chains:
        yield "nothing is written down yet"
    yield "-" * WIDTH
    verdict = book.work(FanHeaders).verdict(state)
    for line in (f"verdict: {verdict.outcome.upper()}", *map(say, verdict.reasons)):
        yield from _wrapped(line)


def _header(book: Logbook, state: BuildState, header: Header) -> Iterator[str]:
    chains = state.plugged.on(header.header_id)
    lock = " full speed" if header.full_speed_lock else ""
    label = f"{header.name} {header.pins}-pin{lock}"
    if not chains:
        empty = current_text(None, header.rating_ma, assumed=header.rating_assumed)
        yield from _cells((label, "empty", empty, "", ""))
        return
    check = book.work(FanHeaders).seats.check(state, chains[-1].chain_id, header.header_id)
    load = current_text((check.steady_ma, check.start_ma), header.rating_ma, assumed=header.rating_assumed)
    for number, chain in enumerate(chains):
        first = number == 0
        since = _since(book, state, chain)
        yield from _cells((label if first else "", _chain(chain), load if first else "", _duty(state, chain), since))
    for phrase in check.blocked:
        yield from _wrapped(f"  WRONG: {say(phrase)}")


def _chain(chain: Chain) -> str:
    from commission.record.machine.seats import Feed

    what = "pump" if chain.pump else f"{len(chain.devices)} x fan"
    fed = "" if chain.feed is Feed.HEADER else f", fed {chain.feed}"
    return f"{chain.name}: {what}, {chain.drive}{fed}"


def _duty(state: BuildState, chain: Chain) -> str:
    left = dict(state.of(FanHeadersState).duties).get(chain.chain_id)
    if left is None:
        return "not said"
    return f"{left.duty_pct:g} %" + (f" {left.rpm:g} rpm" if left.rpm is not None else "")


def _since(book: Logbook, state: BuildState, chain: Chain) -> str:
    moves = [move for move in state.plugged.moves if move.chain_id == chain.chain_id and move.header_id is not None]
    if not moves:
        return ""
    last = max(moves, key=lambda move: (move.at_ms, move.seq))
    return f"{_day(last.at_ms, book.clock.now().offset_min)} #{last.seq}"


def _day(at_ms: int, offset_min: int) -> str:
    try:
        return datetime.fromtimestamp(at_ms // 1000, timezone(timedelta(minutes=offset_min))).date().isoformat()
    except (OverflowError, OSError, ValueError):
        return "?"


def _row(cells: Sequence[str]) -> str:
    return " ".join(cell.ljust(width) for cell, width in zip(cells, _CELLS, strict=True)).rstrip()


def _cells(cells: Sequence[str]) -> Iterator[str]:
    """Yield the lines of one row, each cell wrapped in its column."""
    wrapped = [textwrap.wrap(cell, width) or [""] for cell, width in zip(cells, _CELLS, strict=True)]
    for lines in zip_longest(*wrapped, fillvalue=""):
        yield _row(lines)


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ")
