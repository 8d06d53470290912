"""The header map as a sheet to tape into the case, and as flags for its cables."""

from __future__ import annotations

import textwrap
from datetime import datetime, timedelta, timezone
from itertools import zip_longest
from typing import TYPE_CHECKING

from commission.base.verdict import Outcome
from commission.report.card_page import Card, CardRow, Flag
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


def map_card(book: Logbook, state: BuildState) -> Card:
    """Return the sheet of a build as it stands now."""
    head, now = book.head(), book.clock.now()
    verdict = book.work(FanHeaders).verdict(state)
    proven = {each.chain for each in verdict.chains if each.outcome is Outcome.PASS}
    rows = [row for header in state.plugged.headers for row in _header(book, state, header, proven)]
    seated = state.plugged.seats()
    rows += (
        CardRow(cells=("on no header", _chain(chain), "", _duty(state, chain), ""), proven=chain.name in proven)
        for chain in state.plugged.chains
        if chain.chain_id not in seated
    )
    return Card(
        title=f"FAN HEADERS of {state.name}",
        told=f"as logged up to entry {head.seq}, printed {_day(now.wall_ms, now.offset_min)}",
        cautions=CAUTIONS,
        heads=_HEADS,
        rows=tuple(rows) or (CardRow(cells=("nothing is written down yet", *("" for _ in _HEADS[1:]))),),
        after=(f"verdict: {verdict.outcome.upper()}", *map(say, verdict.reasons)),
        flags=tuple(_flags(state, proven)),
    )


def map_lines(card: Card) -> Iterator[str]:
    """Yield it as lines of 80 columns."""
    yield from _wrapped(card.title)
    yield card.told
    yield ""
    yield from card.cautions
    yield ""
    yield _row(card.heads)
    yield "-" * WIDTH
    for row in card.rows:
        yield from _cells(row.cells) if row.cells[1] else [row.cells[0]]
        for words in row.against:
            yield from _wrapped(f"  WRONG: {words}")
    yield "-" * WIDTH
    for line in card.after:
        yield from _wrapped(line)
    if card.flags:
        yield ""
        yield "FLAGS for the cables, one for either end:"
    for flag in card.flags:
        yield from _wrapped(" | ".join(word for word in (flag.plug, flag.what, flag.note) if word))


def _header(book: Logbook, state: BuildState, header: Header, proven: set[str]) -> Iterator[CardRow]:
    chains = state.plugged.on(header.header_id)
    lock = " full speed" if header.full_speed_lock else ""
    label = f"{header.name} {header.pins}-pin{lock}"
    if not chains:
        empty = current_text(None, header.rating_ma, assumed=header.rating_assumed)
        yield CardRow(cells=(label, "empty", empty, "", ""))
        return
    check = book.work(FanHeaders).seats.check(state, chains[-1].chain_id, header.header_id)
    load = current_text((check.steady_ma, check.start_ma), header.rating_ma, assumed=header.rating_assumed)
    for number, chain in enumerate(chains):
        since = _since(book, state, chain)
        shared = ("", "") if number else (label, load)
        yield CardRow(
            cells=(shared[0], _chain(chain), shared[1], _duty(state, chain), since),
            against=tuple(map(say, check.blocked)) if chain is chains[-1] else (),
            proven=chain.name in proven,
        )


def _flags(state: BuildState, proven: set[str]) -> Iterator[Flag]:
    """Yield a flag for each cable that goes to a header."""
    duties = dict(state.of(FanHeadersState).duties)
    for header in state.plugged.headers:
        for chain in state.plugged.on(header.header_id):
            notes = ["nothing may stop it"] if chain.pump else []
            notes += [f"left at {left.duty_pct:g} %"] if (left := duties.get(chain.chain_id)) is not None else []
            notes += [] if chain.name in proven else ["NOT SWEPT HERE"]
            yield Flag(plug=header.name, what=_chain(chain), note=", ".join(notes))


def _chain(chain: Chain) -> str:
    from commission.record.machine.seats import Feed

    what = "pump" if chain.pump else f"{len(chain.devices)} x fan"
    fed = "" if chain.feed is Feed.HEADER else f", fed {chain.feed}"
    return f"{chain.name}: {what}, {chain.drive}{fed}"


def _duty(state: BuildState, chain: Chain) -> str:
    left = dict(state.of(FanHeadersState).duties).get(chain.chain_id)
    if left is None:
        return "not said"
    return f"{left.duty_pct:g} %" + (f", {left.rpm:g} rpm" if left.rpm is not None else "")


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
