"""``commission judge hold``: a verdict on readings of a hold in files, without a logbook."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.base.quantity import Quantity
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.record.machine.instrument import GaugeFace
from commission.record.machine.volume_known import VolumeKnown
from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.judged_files import judge_files
from commission.shell.quantity_type import QuantityType, UncertainType
from commission.stages.pressure_hold.rows.verdict_text import verdict_lines
from commission.stages.pressure_hold.shell.basis import Asked, Basis, Seen, basis_of
from commission.stages.pressure_hold.shell.options import class_option, limit_of, source_option

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.base.verdict import Outcome
    from commission.shell.quantity_type import Uncertain
    from commission.stages.pressure_hold.entries import SourceOff
    from commission.stages.pressure_hold.model import HoldSeries, HoldVerdict


@click.command("hold", no_args_is_help=True)
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option(
    "--volume", type=UncertainType(Quantity.VOLUME), help='Volume of the loop, such as "1.2 L" or "1.2 L +- 3 %".'
)
@click.option(
    "--volume-known",
    type=click.Choice([str(known) for known in VolumeKnown]),
    help="How the volume is known, where no +- stands beside it; else it counts as guessed.",
)
@click.option(
    "--limit", type=QuantityType(Quantity.LEAK_RATE), help='Largest leak that passes; usual: "1e-2 mbar*L/s" of air.'
)
@click.option(
    "--gauge-step",
    type=QuantityType(Quantity.PRESSURE_DIFFERENCE),
    help="One step of the gauge's display; else guessed from its readings.",
)
@click.option(
    "--gauge-kind",
    type=click.Choice([str(face) for face in GaugeFace if face]),
    help="Whether the gauge shows digits or has a needle.",
)
@click.option("--tapped/--not-tapped", default=None, help="Whether a dial was tapped before each reading.")
@click.option(
    "--air-step",
    type=QuantityType(Quantity.TEMPERATURE_DIFFERENCE),
    help="One step of the thermometer's display; else from its digits.",
)
@click.option(
    "--barometer-step",
    type=QuantityType(Quantity.PRESSURE_DIFFERENCE),
    help="One step of the barometer's display; else from its digits.",
)
@click.option(
    "--room-swing",
    type=QuantityType(Quantity.TEMPERATURE_DIFFERENCE, above_zero=False),
    help="How far the room may wander where no thermometer was read; usual: 1 K.",
)
@click.option(
    "--settle",
    type=QuantityType(Quantity.DURATION, above_zero=False, auto=True),
    help='How much of the start is left out, such as "10 min"; usual: auto, found from the readings.',
)
@class_option
@source_option
@columns_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a file, each on its own line.")
@click.pass_context
def judge_hold(
    context: click.Context,
    /,
    files: tuple[str, ...],
    volume: Uncertain | None,
    as_json: bool,
    volume_known: str | None,
    gauge_kind: str | None,
    tapped: bool | None,
    source: SourceOff | None,
    **options: float | None,
) -> None:
    """Judge pressure holds: whether the loop leaks less than the limit, and whether the readings prove it.

    FILE is a table in UTF-8 with a header row: elapsed [s] (or [min], [h]) or time (RFC 3339 with offset), then
    gauge [mbar] or absolute [kPa] in any unit of pressure, and where they were read air [degC], barometer [hPa] and
    note. A lone - reads standard input. Lines such as "# volume: 1.2 L" give what the options below do not; so do
    volume known, limit, gauge step, gauge kind, tapped, air step, barometer step, room swing,
    settle and source.

    \b
    Exit status with one file: 0 pass, 1 fail, 3 inconclusive, 4 invalid,
                               2 it could not be read.
    With several files:        0 all could be judged, 2 at least one could not.

    \b
    Example:
      commission judge hold evening.csv --volume "1.2 L +- 5 %"
      commission judge hold *.csv --limit "5e-3 mbar*L/s" --json
      commission judge hold log.csv --columns "elapsed=t [s], gauge=Druck [mbar]"
    """
    asked = Asked(
        volume=volume,
        volume_known=VolumeKnown(volume_known) if volume_known else None,
        gauge_kind=GaugeFace(gauge_kind) if gauge_kind else None,
        tapped=tapped,
        source=source,
        limit=limit_of(options.pop("limit"), options.pop("leak_class")),
        **options,
    )
    named = asked_columns()
    judge_files(context, files, lambda file: _judged_file(file, asked, named, as_json=as_json), as_json=as_json)


def _judged_file(file: str, asked: Asked, columns: str, *, as_json: bool) -> tuple[Outcome, Iterable[str]]:
    """Judge one file; return the outcome and the lines that tell it."""
    verdict, basis = judged(file, asked, columns)
    if not as_json:
        return verdict.outcome, verdict_lines(
            verdict, basis.plan, about=_about(file, basis, columns), assumed=basis.assumed
        )
    from commission.bench.json_line import json_line
    from commission.stages.pressure_hold.rows.hold_json import judged_file
    from commission.stages.pressure_hold.rows.verdict import reasons_of, usual_units

    reasons = (
        *reasons_of(verdict, usual_units(basis.plan)),
        *(f"Assumed: {sentence}" for sentence in basis.assumed),
        *(f"Overruled: {sentence}" for sentence in basis.overruled),
    )
    return verdict.outcome, [json_line(judged_file(file, verdict, reasons))]


def _about(file: str, basis: Basis, columns: str) -> Iterator[str]:
    from commission.bench.figures import half_width

    yield f"file: {file}"
    if columns:
        yield f"columns: {columns}"
    yield f"volume: {half_width(basis.plan.volume_m3, basis.plan.u_volume_m3)} (95 %)"
    if basis.source is not None:
        yield f"source: {basis.source}"
    for sentence in basis.overruled:
        yield f"overruled: {sentence}"


def judged(file: str, asked: Asked, columns: str = "") -> tuple[HoldVerdict, Basis]:
    """Read one file and judge it.

    Raises
    ------
    FileError
        If it cannot be read, or nothing says how large the loop is.
    NotAllowed
        If no room swings as little, or as much, as is said.
    """
    from commission.procedure.load import default_toml, load_procedure
    from commission.stages.pressure_hold.files.hold_csv import read_hold
    from commission.stages.pressure_hold.judge.beyond import with_between, with_source
    from commission.stages.pressure_hold.judge.file_head import with_head
    from commission.stages.pressure_hold.judge.steps import guessed_step
    from commission.stages.pressure_hold.judge.verdict import evaluate_pressure_hold
    from commission.stages.pressure_hold.work.judged import STAGE, setup_of
    from commission.stages.pressure_hold.work.plan_rules import refuse_swing

    hold = read_hold(Path(file), columns)
    procedure = load_procedure(default_toml())
    start = _start_gauge(hold.series, absolute=hold.absolute)
    seen = Seen(
        absolute=hold.absolute,
        unit=hold.unit,
        target_gauge_pa=start,
        hold_s=hold.series.elapsed_s[-1] - hold.series.elapsed_s[0],
        gauge_step_pa=guessed_step(hold.gauge_step_pa, hold.series.pressure_pa, start),
        air_step_k=hold.air_step_k,
        barometer_step_pa=hold.barometer_step_pa,
    )
    basis = basis_of(asked, hold.settings, seen, procedure.stage(STAGE))
    refuse_swing(procedure.stage(STAGE), basis.plan)
    verdict = evaluate_pressure_hold(hold.series, setup_of(procedure, basis.plan))
    verdict = with_between(verdict, hold.notes, hold.series.elapsed_s, source=basis.source)
    verdict = with_head(verdict, hold.head, basis.source)
    return with_source(verdict, basis.source), basis


def _start_gauge(series: HoldSeries, *, absolute: bool) -> float:
    """Return the gauge pressure of the first reading [Pa]."""
    if not absolute:
        return series.pressure_pa[0]
    barometer = next((pa for pa in series.barometer_pa if not math.isnan(pa)), STANDARD_ATMOSPHERE_PA)
    return series.pressure_pa[0] - barometer
