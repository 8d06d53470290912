"""``commission calc headspace`` and ``volume``: what a loop holds, and what warming does to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.bench.json_line import json_line
from commission.shell.answer import in_words
from commission.shell.console import say
from commission.shell.quantity_type import QuantityType, UncertainType
from commission.shell.renamed import renamed
from commission.shell.shown import shown
from commission.stages.fill.shell.coolant_types import BaseType, liquid_from, mass_share, share_options

if TYPE_CHECKING:
    from commission.physics import loop_volume
    from commission.shell.quantity_type import Uncertain
    from commission.stages.fill.model.coolant import Base
    from commission.stages.fill.model.fill import HeadspaceReport

LIQUID_FULL = 1
"""Exit status where the warm liquid fills the whole loop."""
STROKE_ERROR = 0.02
"""Half-width of a stroke where none is typed [1]; our choice: a syringe or a measured stroke."""
GAUGE_ERROR_PA = 500.0
"""Half-width of a rise where none is typed [Pa]; our choice: a quarter of a division of a dial of 1 bar."""
BAROMETER_ERROR_PA = 300.0
"""Half-width of a barometer reading where none is typed [Pa]; our choice: a forecast is for another place and
height."""


@click.command(no_args_is_help=True)
@click.option("--volume", type=QuantityType(Quantity.VOLUME), required=True, help="All that the closed loop holds.")
@click.option("--liquid", type=QuantityType(Quantity.VOLUME), required=True, help="Coolant in it when it is closed.")
@click.option("--base", type=BaseType(), required=True, help="water, propylene-glycol, ethylene-glycol or unknown.")
@share_options
@click.option("--from", "from_k", type=QuantityType(Quantity.TEMPERATURE), required=True, help="When it is closed.")
@click.option("--to", "to_k", type=QuantityType(Quantity.TEMPERATURE), required=True, help="Hottest it will get.")
@click.option("--rating", type=QuantityType(Quantity.GAUGE_PRESSURE), help="Rating of the weakest part.")
@renamed("--limit", "--rating")
@click.option("--barometer", type=QuantityType(Quantity.ABSOLUTE_PRESSURE), help="Of the room; usual: 1013.25 hPa.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
@click.pass_context
def headspace(
    context: click.Context,
    /,
    volume: float,
    liquid: float,
    base: Base,
    as_json: bool,
    **more: float | None,
) -> None:
    """Tell the pressure of a closed loop when it warms.

    Rigid walls and air that does not dissolve: on the cautious side. A loop that the warm liquid would fill has no
    pressure that could be named; that is an error, with exit status 1.

    \b
    Exit status: 0 done, 1 liquid-full, 2 bad input.

    \b
    Example:
      commission calc headspace --volume "1000 mL" --liquid "950 mL" \\
        --base water --from "20 degC" --to "60 degC" --rating "50 kPa"
    """
    from commission.stages.fill.rows.calc_json import HeadspaceAnswer, HeadspaceError
    from commission.units.show import say as told

    with in_words():
        report = _report(volume, liquid, base, more)
    reasons = tuple(told(reason) for reason in report.reasons)
    needed = report.needed_m3
    if report.gauge_pa is None:
        problem = HeadspaceError(error=reasons[0], headspace_needed_m3=needed, reasons=reasons[1:])
        lines = [json_line(problem)] if as_json else [f"error: {reasons[0]}"]
    else:
        answer = HeadspaceAnswer(gauge_pa=report.gauge_pa, headspace_needed_m3=needed, reasons=reasons)
        plain = [
            f"pressure when warm: {shown(report.gauge_pa, Quantity.GAUGE_PRESSURE)} gauge",
            f"reason: {reasons[0]}",
        ]
        lines = [json_line(answer)] if as_json else plain
    for line in lines:
        say(line)
    if not as_json and more["rating"] is not None:
        say(f"headspace needed: {'none is enough' if needed is None else shown(needed, Quantity.VOLUME)}")
    context.exit(LIQUID_FULL if report.gauge_pa is None else 0)


def _report(volume: float, liquid: float, base: Base, more: dict[str, float | None]) -> HeadspaceReport:
    from commission.physics.gas import ICE_POINT_K, STANDARD_ATMOSPHERE_PA
    from commission.physics.loop_volume import Uncertain
    from commission.stages.fill.judge.headspace import HeadspaceCase, evaluate_headspace

    if liquid > volume:
        raise InputError(
            f"{shown(liquid, Quantity.VOLUME)} of liquid do not fit into {shown(volume, Quantity.VOLUME)}; check both"
        )
    if min(more["from_k"] or 0.0, more["to_k"] or 0.0) < ICE_POINT_K:
        raise InputError("the pressure is told from 0 to 100 degC; type temperatures in that range")
    share = mass_share(base, more["mass_fraction"], more["volume_fraction"])
    case = HeadspaceCase(
        liquid_m3=liquid,
        headspace_m3=Uncertain(volume - liquid),
        liquid=liquid_from(base, share),
        closed_k=more["from_k"] or 0.0,
        hot_k=more["to_k"] or 0.0,
        barometer_pa=more["barometer"] or STANDARD_ATMOSPHERE_PA,
        limit_gauge_pa=more["rating"],
    )
    return evaluate_headspace(case)


@click.command(no_args_is_help=True)
@click.option("--stroke", type=UncertainType(Quantity.VOLUME), required=True, help="What one stroke pushes in.")
@click.option("--strokes", type=click.IntRange(1, 500), required=True, help="How many whole strokes.")
@click.option(
    "--rise", type=UncertainType(Quantity.PRESSURE_DIFFERENCE), required=True, help="Rise of the gauge, after a minute."
)
@click.option(
    "--barometer", type=UncertainType(Quantity.ABSOLUTE_PRESSURE), required=True, help="Pressure of the room."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def volume(stroke: Uncertain, strokes: int, rise: Uncertain, barometer: Uncertain, as_json: bool) -> None:
    """Tell the volume of a loop from strokes of a pump.

    Each figure may be typed with its half-width, such as "60 mL +- 0.5 mL"; where none is, a usual one is assumed and
    said. Stay below the rating of the weakest part.

    \b
    Example:
      commission calc volume --stroke "60 mL" --strokes 5 --rise "250 mbar" \\
        --barometer "1013.25 mbar"
    """
    from commission.physics.loop_volume import volume_by_strokes
    from commission.stages.fill.rows.calc_json import VolumeAnswer

    assumed: list[str] = []
    with in_words():
        found = volume_by_strokes(
            strokes,
            _known(stroke, STROKE_ERROR * stroke.si, Quantity.VOLUME, "one stroke", assumed),
            _known(barometer, BAROMETER_ERROR_PA, Quantity.PRESSURE_DIFFERENCE, "the barometer", assumed),
            _known(rise, GAUGE_ERROR_PA, Quantity.PRESSURE_DIFFERENCE, "the rise", assumed),
        )
    answer = VolumeAnswer(volume_m3=found.value, u_volume_m3=found.u, assumed=tuple(assumed))
    if as_json:
        say(json_line(answer))
        return
    say(f"volume: {shown(found.value, Quantity.VOLUME)}, standard uncertainty {shown(found.u, Quantity.VOLUME)}")
    for sentence in assumed:
        say(f"assumed: {sentence}")


def _known(
    typed: Uncertain, half_width: float, quantity: Quantity, what: str, assumed: list[str]
) -> loop_volume.Uncertain:
    from commission.physics.detection import rectangular_uncertainty
    from commission.physics.loop_volume import Uncertain

    if typed.u is not None:
        return Uncertain(typed.si, typed.u)
    assumed.append(f"{what} is good to {shown(half_width, quantity)} (common practice)")
    return Uncertain(typed.si, rectangular_uncertainty(half_width))
