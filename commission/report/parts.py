"""Parts of the report that belong to no stage: overrides, withdrawals, instruments, cautions, the whole record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.text import clean
from commission.bench.figures import step_text
from commission.bench.listing import Listing
from commission.bench.moment import moment
from commission.procedure.model import When
from commission.record.entries import ReportIssued, StageOverridden, Withdrawn
from commission.record.payload import kind_shown
from commission.record.record import SHOP
from commission.report.model import Section
from commission.units.show import show
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from commission.procedure.model import Caution, Procedure
    from commission.record.build_state import BuildState
    from commission.record.logbook import Logbook
    from commission.record.logged import Logged
    from commission.record.machine.instrument import Instrument

_STANDS_FOR = {
    "energy": "as the plan of the hold tells",
    "rating": "as the parts list tells",
    "pressure": "the test pressure",
    "seconds": "the seconds given",
}
"""What a caution says where there is no figure of an attempt; the record has it as it was read then."""

_OWNERS = (When.FOR_THE_OWNER, When.HANDING_OVER)
"""The moments of the cautions that whoever gets the machine is told."""
_CAUTION = ("stage", "caution", "source")
_ENTRY = ("entry", "when", "seen", "by", "kind", "what", "counts")


def entries_table(book: Logbook, state: BuildState) -> Section:
    """Return every entry of the build and of the workshop, withdrawn ones too."""
    shop = book.entries(SHOP)
    entries = sorted((*book.entries(state.build_id), *shop), key=lambda entry: entry.seq)
    table = Listing(caption="Every entry, in order", columns=_ENTRY, rows=_rows(book, state, entries))
    words = (
        "Nothing is ever changed: what was wrong is withdrawn, stays here and no longer counts.",
        "Readings that a logger fed stand in the export of the logbook; the entry that ended their hold seals them.",
    )
    return Section(title="The record", words=words, tables=(table,))


def other_entries(book: Logbook, state: BuildState) -> Iterator[Section]:
    """Yield what was overridden, withdrawn, and typed later than it was seen; each says so where there is none."""
    entries = book.entries(state.build_id)
    over = [entry for entry in entries if isinstance(entry.payload, StageOverridden)]
    targets = {entry.payload.target for entry in entries if isinstance(entry.payload, Withdrawn)}
    gone = [entry for entry in entries if isinstance(entry.payload, Withdrawn) or entry.seq in targets]
    late = [entry for entry in entries if entry.observed_ms is not None]
    for title, which, none in (
        ("Overrides", over, "No lock of a stage was overridden."),
        ("Withdrawn entries", gone, "No entry was withdrawn."),
        ("Entries typed later than seen", late, "Every entry was typed when it was seen."),
    ):
        table = Listing(caption=title, columns=_ENTRY, rows=_rows(book, state, which))
        yield Section(title=title, words=() if which else (none,), tables=(table,) if which else ())


def _rows(book: Logbook, state: BuildState, entries: Iterable[Logged]) -> tuple[tuple[str, ...], ...]:
    own = book.entries(state.build_id)
    by = {entry.payload.target: entry.seq for entry in own if isinstance(entry.payload, Withdrawn)}
    names = book.names(own)
    return tuple(
        (
            str(entry.seq),
            moment(entry.mark.wall_ms, entry.mark.offset_min),
            "" if entry.observed_ms is None else moment(entry.observed_ms, entry.mark.offset_min),
            clean(entry.operator),
            clean(kind_shown(entry.payload)),
            clean(book.entry_text(entry.payload, names=names)),
            f"WITHDRAWN by entry {by[entry.seq]}" if entry.seq in by else "yes",
        )
        for entry in entries
    )


def instruments(book: Logbook) -> Section:
    """Return the instruments of the workshop as they were described; what was not stated is said."""
    table = Listing(
        caption="Instruments in use",
        columns=("instrument", "kind", "range", "step", "largest error stated", "calibrated on"),
        rows=tuple(_instrument(one) for one in book.shop().instruments),
    )
    words = (
        "Each hold names the instruments that it was read with, as they were described then.",
        "Amounts of coolant say how they were measured. Voltages name the error of the meter, a soak that of sensors.",
    )
    none = ("No instrument was described.",)
    return Section(title="Instruments", words=words if table.rows else none, tables=(table,) if table.rows else ())


def _instrument(one: Instrument) -> tuple[str, ...]:
    low, high = (show(value, one.quantity, unit=one.unit) for value in (one.low, one.high))
    cells = (
        one.name,
        str(one.kind),
        f"{low} to {high}",
        f"{step_text(one, one.resolution)}{', GUESSED' if one.step_guessed else ''}",
        f"± {step_text(one, one.accuracy)}" if one.accuracy else "not stated",
        one.calibrated_on or "not stated",
    )
    return tuple(map(clean, cells))


def owners_cautions(procedure: Procedure) -> Iterator[Section]:
    """Yield what the owner must know; nothing where the procedure has none for the owner."""
    told = _cautions(procedure, lambda caution: caution.when in _OWNERS)
    if told:
        rows = tuple(row[1:] for row in told)
        table = Listing(caption="To live with it safely", columns=_CAUTION[1:], rows=rows)
        words = ("Local codes and licensed practice come first.",)
        yield Section(title="Cautions for the owner", words=words, tables=(table,))


def cautions(procedure: Procedure) -> Section:
    """Return the cautions of the procedure for those who work on it; local codes and licensed practice come first."""
    rows = _cautions(procedure, lambda caution: caution.when not in _OWNERS)
    table = Listing(caption="Cautions of every stage", columns=_CAUTION, rows=rows)
    words = (
        "They hold for whoever works on the loop or the power again. Local codes and licensed practice come first.",
    )
    return Section(title="Cautions", words=words, tables=(table,) if rows else ())


def _cautions(procedure: Procedure, which: Callable[[Caution], bool]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        tuple(map(clean, (stage.title, worded(caution.text).format(**_STANDS_FOR), caution.source)))
        for stage in procedure.stages
        for caution in stage.cautions
        if which(caution)
    )


def reports_before(book: Logbook, state: BuildState) -> Iterator[Section]:
    """Yield the reports that were handed out before, where there are any."""
    rows = tuple(
        (str(entry.seq), moment(entry.mark.wall_ms, entry.mark.offset_min), clean(book.entry_text(entry.payload)))
        for entry in book.entries(state.build_id)
        if isinstance(entry.payload, ReportIssued)
    )
    if rows:
        table = Listing(caption="Reports handed out before", columns=("entry", "when", "what"), rows=rows)
        yield Section(title="Earlier reports", tables=(table,))
