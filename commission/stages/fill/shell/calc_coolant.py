"""``commission calc coolant`` and ``commission calc mix``: what a coolant is like, and how to mix one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.quantity import Quantity
from commission.bench.json_line import json_line
from commission.shell.answer import in_words
from commission.shell.console import say
from commission.shell.quantity_type import AmountType, QuantityType
from commission.shell.renamed import renamed
from commission.shell.shown import shown
from commission.stages.fill.model.coolant import Basis
from commission.stages.fill.shell.coolant_types import BaseType, ShareType, by_basis, mass_share, share_options

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.base.quantity import Measured
    from commission.stages.fill.model.coolant import Base
    from commission.stages.fill.rows.calc_json import CoolantAnswer, MixAnswer

AT_20_C_K = 293.15
"""Temperature taken where none is typed, and the option says so [K]."""


@click.command(no_args_is_help=True)
@click.option("--base", type=BaseType(), required=True, help="water, propylene-glycol or ethylene-glycol.")
@share_options
@click.option("--temp", "at_k", type=QuantityType(Quantity.TEMPERATURE), required=True, help="Its temperature.")
@renamed("--at", "--temp")
@click.option("--weight", type=QuantityType(Quantity.MASS), help="A weight whose volume is wanted.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def coolant(
    base: Base,
    mass_fraction: float | None,
    volume_fraction: float | None,
    at_k: float,
    weight: float | None,
    as_json: bool,
) -> None:
    """Tell density, heat capacity, viscosity and freezing point.

    They come from published data of water and of plain glycol in water; outside their range nothing is told.

    \b
    Example:
      commission calc coolant --base propylene-glycol --mass-fraction 0.30 \\
        --temp "22 degC" --weight "653.4 g"
    """
    from commission.stages.fill.judge.answers import coolant_properties
    from commission.stages.fill.rows.calc_json import CoolantAnswer

    share = mass_share(base, mass_fraction, volume_fraction)
    with in_words():
        found = coolant_properties(base, share, at_k, weight_kg=weight)
    answer = CoolantAnswer(
        density_kg_m3=found.density_kg_m3,
        heat_capacity_j_kg_k=found.heat_capacity_j_kg_k,
        viscosity_pa_s=found.viscosity_pa_s,
        freezing_k=found.freezing_k,
        mass_fraction=share,
        volume_m3=found.volume_m3,
    )
    for line in [json_line(answer)] if as_json else _coolant_lines(answer):
        say(line)


def _coolant_lines(answer: CoolantAnswer) -> Iterator[str]:
    yield f"density: {shown(answer.density_kg_m3, Quantity.DENSITY)}"
    yield f"heat capacity: {answer.heat_capacity_j_kg_k:.5g} J/(kg K)"
    yield f"viscosity: {answer.viscosity_pa_s * 1e3:.4g} mPa s"
    yield f"freezes at: {shown(answer.freezing_k, Quantity.TEMPERATURE)}"
    yield f"glycol by mass: {shown(answer.mass_fraction, Quantity.RATIO)}"
    if answer.volume_m3 is not None:
        yield f"volume: {shown(answer.volume_m3, Quantity.VOLUME)}"


@click.command(no_args_is_help=True)
@click.option("--base", type=BaseType(), required=True, help="propylene-glycol or ethylene-glycol.")
@click.option("--target", type=ShareType(), required=True, help="Share of glycol that is wanted.")
@click.option(
    "--by", "basis", type=click.Choice([*map(str, Basis)]), required=True, help="What all shares here count by."
)
@click.option(
    "--total",
    type=AmountType(Quantity.MASS, Quantity.VOLUME),
    required=True,
    help='How much is wanted, such as "2 kg" or "2 L".',
)
@click.option("--concentrate", type=ShareType(), default=1.0, help="Share in the concentrate; usual: 1, pure.")
@click.option("--diluent", type=ShareType(), default=0.0, help="Share in what thins it; usual: 0, water.")
@renamed("--at", "--temp")
@renamed("--basis", "--by")
@click.option("--density", type=QuantityType(Quantity.DENSITY), help="Density of the concentrate by its data sheet.")
@click.option("--temp", "at_k", type=QuantityType(Quantity.TEMPERATURE), help="Temperature of all; usual: 20 degC.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def mix(
    base: Base,
    target: float,
    basis: str,
    total: Measured,
    as_json: bool,
    **more: float | None,
) -> None:
    """Tell how much concentrate and water make a coolant.

    Masses add up, volumes do not: what mixing takes away is counted.

    \b
    Example:
      commission calc mix --base ethylene-glycol --target "30 %" --by mass \\
        --total "2 L"
    """
    from commission.physics.glycol import freezing_point
    from commission.stages.fill.judge.answers import mix_to_target
    from commission.stages.fill.judge.liquid import GLYCOL_OF
    from commission.stages.fill.rows.calc_json import MixAnswer

    by = Basis(basis)
    wanted = by_basis(base, target, by)
    weighed = total.quantity is Quantity.MASS
    with in_words():
        made = mix_to_target(
            base,
            wanted,
            rich=by_basis(base, more["concentrate"] or 0.0, by),
            lean=by_basis(base, more["diluent"] or 0.0, by),
            total_kg=total.si if weighed else None,
            total_m3=None if weighed else total.si,
            at_k=more["at_k"] or AT_20_C_K,
            rich_density_kg_m3=more["density"],
        )
        answer = MixAnswer(
            concentrate_kg=made.rich_kg,
            diluent_kg=made.lean_kg,
            concentrate_m3=made.rich_m3,
            diluent_m3=made.lean_m3,
            total_kg=made.rich_kg + made.lean_kg,
            total_m3=made.mixed_m3,
            contraction=made.contraction,
            mass_fraction=wanted,
            freezing_k=freezing_point(GLYCOL_OF[base], wanted),
        )
    for line in [json_line(answer)] if as_json else _mix_lines(answer):
        say(line)


def _mix_lines(answer: MixAnswer) -> Iterator[str]:
    rows = (
        ("concentrate", answer.concentrate_kg, answer.concentrate_m3),
        ("diluent", answer.diluent_kg, answer.diluent_m3),
        ("makes", answer.total_kg, answer.total_m3),
    )
    for name, kg, m3 in rows:
        yield f"{name}: {shown(kg, Quantity.MASS)}, {shown(m3, Quantity.VOLUME)}"
    lost = answer.concentrate_m3 + answer.diluent_m3 - answer.total_m3
    yield f"mixing takes away: {shown(lost, Quantity.VOLUME)}, {shown(answer.contraction, Quantity.RATIO)}"
    yield f"glycol by mass: {shown(answer.mass_fraction, Quantity.RATIO)}"
    yield f"freezes at: {shown(answer.freezing_k, Quantity.TEMPERATURE)}"
