"""Entries of the record in one line each."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import assert_never

from commission.domain.entries import (
    BuildOpened,
    CautionAcknowledged,
    CautionsPrinted,
    Entry,
    FindingCured,
    FindingRaised,
    HoldClosed,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    InstrumentAdded,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    PartAdded,
    PartRemoved,
    ProcedureAdopted,
    ReadingTaken,
    SessionOpened,
    StageOverridden,
    StepDone,
    VolumeMeasured,
    Withdrawn,
)
from commission.domain.quantity import Measured
from commission.domain.state import BuildState
from commission.domain.text import clip
from commission.domain.verdict import Outcome
from commission.tui.flows.figures import duration, half_width, instrument_line, pressure, rate


def told(entry: Entry, state: BuildState | None = None) -> str:
    """Return what an entry says, in one line."""
    match entry:
        case CautionAcknowledged() | CautionsPrinted() | StepDone() | ReadingTaken() | HoldClosed() | HoldExtended():
            return _of_hold(entry)
        case HoldPlanned(plan=plan) | HoldStarted(plan=plan):
            at = pressure(plan.target_gauge_pa, plan.gauge.unit)
            limit = rate(plan.limit_pa_m3_s)
            return f"attempt {entry.attempt}: {duration(plan.hold_s)} at {at}, limit {limit}, gauge {plan.gauge.name}"
        case FindingRaised(where=where, note=note):
            return f"{where}: {note}"
        case FindingCured(cure=cure):
            return cure
        case PartAdded(part=part):
            assumed = f" · assumed: {', '.join(part.assumed)}" if part.assumed else ""
            return f"{part.name}: {half_width(part.volume_m3, part.u_volume_m3)}{assumed}"
        case PartRemoved(part_id=part_id, reason=reason):
            names = {part.part_id: part.name for part in state.parts} if state else {}
            return f"{names.get(part_id, 'a part')}: {reason}"
        case VolumeMeasured(method=method, volume_m3=volume, u_volume_m3=u):
            return f"{half_width(volume, u)}, by {method}"
        case _:
            return _shared(entry)


def _shared(entry: Entry) -> str:  # noqa: PLR0911 - one arm a kind of entry
    match entry:
        case SessionOpened(program=program, system=system):
            return f"version {program} on {system}"
        case OperatorNamed(name=name) | BuildOpened(name=name):
            return name
        case InstrumentAdded(instrument=instrument):
            return f"{instrument.kind} {clip(instrument.name)}: {instrument_line(instrument)}"
        case InstrumentRetired(reason=reason):
            return reason
        case ProcedureAdopted(digest=digest):
            return f"digest {digest[:16]}"
        case StageOverridden(stage=stage, reason=reason):
            return f"{stage.replace('_', ' ')}: {reason}"
        case NoteAdded(text=text):
            return text
        case Withdrawn(target=target, reason=reason):
            return f"entry {target}: {reason}"
        case _:
            return " · ".join(_words(entry))


def _words(value: object) -> Iterator[str]:
    """Yield what a person typed or chose in an entry of any kind, and the word of its verdict."""
    if isinstance(value, Measured):
        yield value.typed.strip()
    elif isinstance(value, Outcome):
        yield value.upper()
    elif isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _words(item)
    elif is_dataclass(value):
        for field in fields(value):
            if not field.name.endswith("_id") and field.name not in ("program", "digest", "stage"):
                yield from filter(None, _words(getattr(value, field.name)))


def _of_hold(
    entry: CautionAcknowledged | CautionsPrinted | StepDone | ReadingTaken | HoldClosed | HoldExtended,
) -> str:
    match entry:
        case CautionAcknowledged(text=text):
            return text
        case CautionsPrinted(cautions=cautions):
            return f"{len(cautions)} cautions, on a command line"
        case StepDone(step=step, note=note):
            return step.replace("_", " ") + (f": {note}" if note else "")
        case ReadingTaken(pressure=gauge, air=air, barometer=barometer, note=note):
            typed = [f"{what} {value.typed}" for what, value in _named(gauge, air, barometer) if value is not None]
            return " · ".join([*typed, note] if note else typed)
        case HoldClosed(ending=ending, verdict=verdict):
            leak = f", {rate(verdict.leak_rate.value)}" if verdict.leak_rate else ""
            return f"attempt {entry.attempt}: {verdict.outcome.upper()}{leak}, {ending}"
        case HoldExtended(hold_s=hold_s):
            return f"attempt {entry.attempt}: {duration(hold_s)} in all"
        case _ as unreachable:
            assert_never(unreachable)


def _named(
    gauge: Measured | None, air: Measured | None, barometer: Measured | None
) -> tuple[tuple[str, Measured | None], ...]:
    return ("gauge", gauge), ("air", air), ("barometer", barometer)
