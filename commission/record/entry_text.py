"""What an entry says, in one plain line for lists and reports."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from commission.base.quantity import Quantity
from commission.record.entries import (
    BuildOpened,
    CautionAcknowledged,
    CautionsPrinted,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    ProcedureAdopted,
    SessionOpened,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.series_entries import SeriesEntry, SeriesHeaded, SeriesSealed
from commission.record.value_text import shown, volume_text
from commission.stages.bleed.entries import AirSqueezed, BleedClosed, BleedCycleDone, BleedStarted
from commission.stages.bleed.text import bleed_text
from commission.stages.build_sheet.entries import PartAdded, PartRemoved, VolumeMeasured
from commission.stages.fan_headers.entries import HeadersEntry
from commission.stages.fan_headers.text import headers_text
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    LevelRead,
    PumpSupplyChosen,
    ReservoirDescribed,
    WaterLost,
)
from commission.stages.fill.text import fill_text
from commission.stages.first_power.entries import FirstPowerEntry
from commission.stages.first_power.text import power_text
from commission.stages.pressure_hold.entries import (
    BenchEntry,
    HoldClosed,
    HoldExtended,
    HoldPlanned,
    HoldStarted,
    PressureLetDown,
    ReadingTaken,
)
from commission.stages.pressure_hold.text import bench_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.record.entries import Entry
    from commission.stages.pressure_hold.entries import HoldPlan


def entry_text(  # noqa: C901, PLR0911 - one arm a group of kinds
    payload: Entry, *, names: Mapping[str, str] | None = None, ascii_only: bool = False
) -> str:
    """Return what an entry says beside its kind; texts from people are as they were typed, not cleaned.

    Parameters
    ----------
    payload
        The entry.
    names
        Names of headers and chains by their ids, for the entries that hold only those.
    ascii_only
        Whether the output has no typographic signs.

    Examples
    --------
    >>> entry_text(NoteAdded(text="new seal on the second port"))
    'new seal on the second port'
    """
    if isinstance(payload, FirstPowerEntry):
        return power_text(payload, ascii_only=ascii_only)
    if isinstance(payload, HeadersEntry):
        return headers_text(payload, names=names)
    if isinstance(payload, BenchEntry):
        return bench_text(payload)
    match payload:
        case SessionOpened() | OperatorNamed() | InstrumentAdded() | InstrumentRetired() | ProcedureAdopted():
            return _shop_text(payload, ascii_only)
        case PartAdded() | PartRemoved() | VolumeMeasured():
            return _sheet_text(payload, ascii_only)
        case CautionAcknowledged() | CautionsPrinted() | StepDone() | HoldPlanned() | HoldStarted():
            return _before_text(payload, ascii_only)
        case ReadingTaken() | HoldExtended() | HoldClosed() | PressureLetDown():
            return _hold_text(payload, ascii_only)
        case BuildOpened() | FindingRaised() | FindingCured() | StageOverridden() | NoteAdded() | Withdrawn():
            return _words(payload)
        case SeriesHeaded() | SeriesSealed():
            return _series_text(payload)
        case (
            BottleAdded()
            | BottleRetired()
            | CoolantPoured()
            | CoolantDrained()
            | CoolantSpilled()
            | CoolantDrawn()
            | WaterLost()
            | ReservoirDescribed()
            | LevelRead()
            | FillClosed()
            | PumpSupplyChosen()
        ):
            return fill_text(payload, ascii_only=ascii_only)
        case BleedStarted() | BleedCycleDone() | AirSqueezed() | BleedClosed():
            return bleed_text(payload, ascii_only=ascii_only)
        case _ as unreachable:
            assert_never(unreachable)


def _words(
    payload: BuildOpened | FindingRaised | FindingCured | StageOverridden | NoteAdded | Withdrawn,
) -> str:
    match payload:
        case BuildOpened(name=text) | NoteAdded(text=text) | FindingCured(cure=text):
            return text
        case FindingRaised(where=where, note=note):
            return f"{where}: {note}"
        case StageOverridden(stage=stage, reason=reason):
            return f"{stage}: {reason}"
        case Withdrawn(target=target, reason=reason):
            return f"entry {target}: {reason}"


def _shop_text(
    payload: SessionOpened | OperatorNamed | InstrumentAdded | InstrumentRetired | ProcedureAdopted, ascii_only: bool
) -> str:
    match payload:
        case SessionOpened(program=program, sqlite=sqlite, python=python, system=system):
            return f"version {program}, Python {python}, SQLite {sqlite}, {system}"
        case OperatorNamed(name=name):
            return name
        case InstrumentAdded(instrument=one):
            # not in the unit on its face: an entry of long ago may name one that is not known here
            step = shown(one.resolution, _DIFFERENCE[one.quantity], ascii_only)
            return f"{one.kind} {one.name}, step {step}"
        case InstrumentRetired(reason=reason):
            return reason
        case ProcedureAdopted(digest=digest):
            return f"digest {digest[:16]}"


def _sheet_text(payload: PartAdded | PartRemoved | VolumeMeasured, ascii_only: bool) -> str:
    match payload:
        case PartAdded(part=part):
            rated = "no rating" if part.max_gauge_pa is None else _pressure(part.max_gauge_pa, ascii_only)
            return f"{part.kind} {part.name}, {volume_text(part.volume_m3, part.u_volume_m3, ascii_only)}, {rated}"
        case PartRemoved(reason=reason):
            return reason
        case VolumeMeasured(method=method, volume_m3=volume, u_volume_m3=u):
            return f"{volume_text(volume, u, ascii_only)}, by {method}"


def _before_text(
    payload: CautionAcknowledged | CautionsPrinted | StepDone | HoldPlanned | HoldStarted, ascii_only: bool
) -> str:
    match payload:
        case CautionAcknowledged(attempt=attempt, text=text):
            return f"attempt {attempt}: {text}"
        case CautionsPrinted(attempt=attempt, cautions=cautions):
            return f"attempt {attempt}: {', '.join(cautions)}"
        case StepDone(attempt=attempt, step=step, note=note):
            return f"attempt {attempt}: {step.replace('_', ' ')}{note and f' ({note})'}"
        case HoldPlanned(attempt=attempt, plan=plan) | HoldStarted(attempt=attempt, plan=plan):
            return f"attempt {attempt}: {_plan(plan, ascii_only)}"


def _hold_text(payload: ReadingTaken | HoldExtended | HoldClosed | PressureLetDown, ascii_only: bool) -> str:
    match payload:
        case ReadingTaken(pressure=pressure, air=air, barometer=barometer, note=note):
            named = (("gauge", pressure), ("air", air), ("barometer", barometer))
            read = [f"{name} {value.typed}" for name, value in named if value is not None]
            return ", ".join([*read, note] if note else read)
        case HoldExtended(attempt=attempt, hold_s=hold_s):
            return f"attempt {attempt}: to {shown(hold_s, Quantity.DURATION, ascii_only)}"
        case HoldClosed(attempt=attempt, ending=ending, verdict=verdict):
            return f"attempt {attempt}: {verdict.outcome}, {ending}"
        case PressureLetDown(attempt=attempt, gauge=gauge):
            return f"attempt {attempt}: gauge {gauge.typed}"


def _series_text(payload: SeriesEntry) -> str:
    match payload:
        case SeriesHeaded(first=first, header=header):
            return f"from reading {first} on: {header}"
        case SeriesSealed(first=first, last=last, digest=digest):
            return f"readings {first} to {last}, digest {digest[:16]}"


def _plan(plan: HoldPlan, ascii_only: bool) -> str:
    limit = shown(plan.limit_pa_m3_s, Quantity.LEAK_RATE, ascii_only)
    return (
        f"{_pressure(plan.target_gauge_pa, ascii_only)} for {shown(plan.hold_s, Quantity.DURATION, ascii_only)}, "
        f"limit {limit}, volume {volume_text(plan.volume_m3, plan.u_volume_m3, ascii_only)} ({plan.volume_basis})"
    )


def _pressure(si: float, ascii_only: bool) -> str:
    return shown(si, Quantity.GAUGE_PRESSURE, ascii_only)


_DIFFERENCE = {
    Quantity.GAUGE_PRESSURE: Quantity.PRESSURE_DIFFERENCE,
    Quantity.ABSOLUTE_PRESSURE: Quantity.PRESSURE_DIFFERENCE,
    Quantity.TEMPERATURE: Quantity.TEMPERATURE_DIFFERENCE,
}
