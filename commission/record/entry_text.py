"""What an entry says, in one plain line for lists and reports."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never, cast

from commission.base.quantity import Quantity
from commission.record.entries import (
    BuildBroughtBack,
    BuildOpened,
    BuildPutAway,
    CautionAcknowledged,
    CautionsPrinted,
    EntriesTakenOver,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    InstrumentMissing,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    ProcedureAdopted,
    ReportIssued,
    SessionOpened,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.mishap import WentWrong
from commission.record.part_changed import PartChanged
from commission.record.series_entries import SeriesEntry, SeriesHeaded, SeriesSealed
from commission.record.unknown import Unknown
from commission.record.value_text import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.record.entries import SharedEntry
    from commission.record.face import Registry
    from commission.record.payload import Payload


def entry_text(registry: Registry, payload: Payload, *, names: Mapping[str, str] | None = None) -> str:
    """Return what an entry says beside its kind; texts from people are as they were typed, not cleaned.

    Parameters
    ----------
    names
        Names of what entries hold only by its id.
    """
    if isinstance(payload, Unknown):
        return payload.word
    face = registry.of(payload)
    if face is not None:
        return face.text(payload, names or {})
    return shared_text(cast("SharedEntry", payload))


def shared_text(payload: SharedEntry) -> str:
    """Return what an entry that belongs to no stage says beside its kind.

    Examples
    --------
    >>> shared_text(NoteAdded(text="new seal on the second port"))
    'new seal on the second port'
    """
    match payload:
        case SessionOpened() | OperatorNamed() | ProcedureAdopted():
            return _shop_text(payload)
        case InstrumentAdded() | InstrumentRetired() | InstrumentMissing():
            return _shop_text(payload)
        case CautionAcknowledged() | CautionsPrinted() | StepDone():
            return _progress_text(payload)
        case (
            BuildOpened()
            | FindingRaised()
            | FindingCured()
            | StageOverridden()
            | NoteAdded()
            | PartChanged()
            | Withdrawn()
        ):
            return _words(payload)
        case BuildPutAway():
            return "no longer in the list of builds; nothing is removed"
        case BuildBroughtBack():
            return "in the list of builds again"
        case WentWrong():
            return payload.told
        case SeriesHeaded() | SeriesSealed() | ReportIssued() | EntriesTakenOver():
            return _sealed_text(payload)
        case _ as unreachable:
            assert_never(unreachable)


def _words(
    payload: BuildOpened | FindingRaised | FindingCured | StageOverridden | NoteAdded | Withdrawn | PartChanged,
) -> str:
    match payload:
        case BuildOpened(name=text) | NoteAdded(text=text) | FindingCured(cure=text):
            return text
        case FindingRaised(where=where, note=note):
            return f"{where}: {note}"
        case PartChanged(of=of, name=name, why=why):
            return f"{name} ({of}): {why}"
        case StageOverridden(stage=stage, reason=reason):
            return f"{stage.replace('_', ' ')}: {reason}"
        case Withdrawn(target=target, reason=reason):
            return f"entry {target}: {reason}"


def _shop_text(
    payload: SessionOpened | OperatorNamed | InstrumentAdded | InstrumentRetired | InstrumentMissing | ProcedureAdopted,
) -> str:
    match payload:
        case SessionOpened(program=program, sqlite=sqlite, python=python, system=system):
            return f"version {program}, Python {python}, SQLite {sqlite}, {system}"
        case OperatorNamed(name=name):
            return name
        case InstrumentAdded(instrument=one):
            # not in the unit on its face: an entry of long ago may name one that is not known here
            step = shown(one.resolution, _DIFFERENCE[one.quantity])
            return f"{one.kind} {one.name}, step {step}"
        case InstrumentRetired(reason=reason):
            return reason
        case InstrumentMissing(kind=kind):
            return f"no {kind} in the workshop"
        case ProcedureAdopted(digest=digest):
            return f"digest {digest[:16]}"


def _progress_text(payload: CautionAcknowledged | CautionsPrinted | StepDone) -> str:
    match payload:
        case CautionAcknowledged(attempt=attempt, text=text):
            return f"attempt {attempt}: {text}"
        case CautionsPrinted(attempt=attempt, cautions=cautions):
            return f"attempt {attempt}: {', '.join(cautions).replace('_', ' ')}"
        case StepDone(attempt=attempt, step=step, note=note):
            return f"attempt {attempt}: {step.replace('_', ' ')}{note and f' ({note})'}"


def _sealed_text(payload: SeriesEntry | ReportIssued | EntriesTakenOver) -> str:
    match payload:
        case EntriesTakenOver(head=head, digest=digest, runs=runs):
            count = sum(run.count for run in runs)
            return f"{count} of a logbook whose last entry was {head}, digest {digest[:16]}"
        case ReportIssued(head=head, digest=digest, replaces=replaces, why=why):
            again = f"; replaces the one up to entry {replaces}: {why}" if replaces else ""
            return f"up to entry {head}, digest {digest[:16]}{again}"
        case SeriesHeaded(first=first, header=header):
            return f"from reading {first} on: {header}"
        case SeriesSealed(first=first, last=last, digest=digest):
            return f"readings {first} to {last}, digest {digest[:16]}"


_DIFFERENCE = {
    Quantity.GAUGE_PRESSURE: Quantity.PRESSURE_DIFFERENCE,
    Quantity.ABSOLUTE_PRESSURE: Quantity.PRESSURE_DIFFERENCE,
    Quantity.TEMPERATURE: Quantity.TEMPERATURE_DIFFERENCE,
}
