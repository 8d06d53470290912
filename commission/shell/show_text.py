"""A build as plain lines, one fact a line: ``key: value``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.record.build_state import HOLD
from commission.record.entries import Withdrawn
from commission.shell.console import ascii_only
from commission.shell.list_builds import rung_text
from commission.shell.moment import moment
from commission.shell.shown import shown
from commission.shell.verify import last_text
from commission.stages.bleed.rows.show import bleed_lines
from commission.stages.fan_headers.rows.show_headers import headers_lines
from commission.stages.fill.rows.show import fill_lines
from commission.stages.first_power.rows.show_power import first_power_lines
from commission.stages.pressure_hold.rows.verdict_text import reasons_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.fold import BuildState, Finding
    from commission.record.logbook import Logbook
    from commission.record.machine.parts import Part
    from commission.stages.pressure_hold.model import HoldVerdict
    from commission.stages.pressure_hold.state.attempt import HoldAttempt


def show_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield the facts of a build."""
    from commission.units.show import say

    entries = book.entries(state.build_id)
    yield f"build: {state.name}"
    if entries:
        yield f"opened: {moment(entries[0].mark.wall_ms, entries[0].mark.offset_min)}"
    for rung in book.ladder(state):
        yield rung_text(rung)
    for part in state.parts:
        out = state.left_out.get(part.part_id)
        yield f"part: {_part(part)}{f'; left out of the test: {out}' if out else ''}"
    volume = state.volume
    if volume is None:
        yield "volume: not known"
    else:
        value, u = (shown(si, Quantity.VOLUME) for si in (volume.volume_m3, volume.u_volume_m3))
        yield f"volume: {value}, standard uncertainty {u}, from: {volume.basis}"
    for warning in book.sheet.warnings(state):
        yield f"warning: {say(warning, ascii_only=ascii_only())}"
    for hold in state.holds:
        yield from _hold(book, state, hold)
    yield from fill_lines(book, state)
    yield from bleed_lines(book, state)
    yield from first_power_lines(book, state)
    yield from headers_lines(book, state)
    for finding in state.findings:
        yield f"finding: {_finding(finding)}"
    for note in state.notes:
        yield f"note: {note}"
    for problem in state.problems:
        yield f"problem: entry {problem.seq}: {problem.message}"
    head = book.head()
    yield f"entries: {len(entries)}"
    yield f"last digest: {last_text(head)}"


def entry_lines(book: Logbook, state: BuildState) -> Iterator[str]:
    """Yield every entry of a build on a line of its own, in order; withdrawn ones say so."""
    entries = book.entries(state.build_id)
    gone = {entry.payload.target: entry.seq for entry in entries if isinstance(entry.payload, Withdrawn)}
    names = book.names(entries)
    for entry in entries:
        word = f"WITHDRAWN by entry {gone[entry.seq]}, " if entry.seq in gone else ""
        who = f" by {entry.operator}" if entry.operator else ""
        when = moment(entry.mark.wall_ms, entry.mark.offset_min)
        if entry.observed_ms is not None:
            when += f", seen {moment(entry.observed_ms, entry.mark.offset_min)}"
        text = book.entry_text(entry.payload, names=names, ascii_only=ascii_only())
        yield f"entry {entry.seq}: {word}{when}{who}: {entry.payload.KIND}: {text}"


def _part(part: Part) -> str:
    volume, u = (shown(si, Quantity.VOLUME) for si in (part.volume_m3, part.u_volume_m3))
    rated = "rating not known"
    if part.max_gauge_pa is not None:
        rated = f"up to {shown(part.max_gauge_pa, Quantity.GAUGE_PRESSURE)}"
    facts = [f"{part.name} ({part.kind})", f"{volume}, standard uncertainty {u}", rated]
    if part.materials:
        facts.append(", ".join(part.materials))
    if part.assumed:
        facts.append(f"assumed (common practice): {', '.join(part.assumed)}")
    return "; ".join(facts)


def _hold(book: Logbook, state: BuildState, hold: HoldAttempt) -> Iterator[str]:
    if hold.started is not None:
        yield f"hold {hold.attempt} plan: {book.entry_text(hold.started.payload, ascii_only=ascii_only())}"
        yield f"hold {hold.attempt} source: {hold.source or 'not said'}"
    if hold.started is not None and hold.began_ms is not None:
        began = moment(hold.began_ms, hold.started.mark.offset_min)
        yield f"hold {hold.attempt} began: {began}"
        yield f"hold {hold.attempt} readings: taken over from a file; this program did not see them arrive"
    closed = hold.verdict_entry
    if closed is not None and hold.closed is not None:
        stale = f"; STALE since entry {hold.stale_by}" if hold.stale_by is not None else ""
        when = moment(hold.closed.mark.wall_ms, hold.closed.mark.offset_min)
        yield f"hold {hold.attempt}: {closed.verdict.outcome}, {closed.ending}, closed {when}{stale}"
        yield from _verdict(f"hold {hold.attempt}", closed.verdict)
        return
    if hold.started is None:
        yield f"hold {hold.attempt}: in preparation"
        return
    samples = len(book.log.samples(hold.series).elapsed_s)
    since = shown(book.hold.elapsed_s(state), Quantity.DURATION)
    planned = shown(hold.end_s, Quantity.DURATION)
    yield f"hold {hold.attempt}: running for {since} of the planned {planned}"
    yield f"hold {hold.attempt} readings: {len(hold.readings)} typed, {samples} fed"
    last = book.log.last_sample(hold.series)
    if last is not None:
        yield f"hold {hold.attempt} last fed: {last.typed}"
    verdict = book.hold.verdict(state)
    if verdict is not None:
        yield f"hold {hold.attempt} verdict so far: {verdict.outcome}"
        yield from _verdict(f"hold {hold.attempt}", verdict)


def _verdict(name: str, verdict: HoldVerdict) -> Iterator[str]:
    if verdict.leak_rate is not None:
        rate = verdict.leak_rate
        value, low, high = (shown(si, Quantity.LEAK_RATE) for si in (rate.value, rate.at_least, rate.at_most))
        mean = " mean over the hold" if verdict.late is not None else ""
        yield f"{name} leak rate: {value}{mean}, at least {low}, at most {high}"
    yield f"{name} limit: {shown(verdict.limit_pa_m3_s, Quantity.LEAK_RATE)}"
    for reason in reasons_of(verdict):
        yield f"{name} reason: {reason}"


def _finding(finding: Finding) -> str:
    raised = finding.raised
    what = "hold" if raised.stage == HOLD else raised.stage.replace("_", " ")
    text = f"{what} {raised.attempt}, {raised.where}: {raised.note}"
    text += f"; cure: {finding.cure}" if finding.cure else "; no cure yet"
    return f"{text}; proved by {what} {finding.proved_by}" if finding.proved_by is not None else text
