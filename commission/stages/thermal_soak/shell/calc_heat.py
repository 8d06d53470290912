"""``commission calc heat``: the heat that a coolant carries."""

from __future__ import annotations

import click

from commission.base.quantity import Quantity
from commission.bench.json_line import json_line
from commission.shell.answer import in_words
from commission.shell.console import say
from commission.shell.quantity_type import QuantityType
from commission.shell.shown import shown


@click.command(no_args_is_help=True)
@click.option("--flow", type=QuantityType(Quantity.FLOW), required=True, help="Flow of the coolant.")
@click.option(
    "--in", "warm_k", type=QuantityType(Quantity.TEMPERATURE), required=True, help="Coolant into the radiators."
)
@click.option(
    "--out", "cool_k", type=QuantityType(Quantity.TEMPERATURE), required=True, help="Coolant out of the radiators."
)
@click.option("--base", required=True, help='water, or glycol with its share by mass: "propylene-glycol 30 %".')
@click.option(
    "--u-temp",
    "u_each",
    type=QuantityType(Quantity.TEMPERATURE_DIFFERENCE),
    default="0.3 K",
    help="Standard uncertainty of each temperature; usual: 0.3 K.",
)
@click.option(
    "--u-flow",
    type=QuantityType(Quantity.RATIO),
    default="5 %",
    help="Standard uncertainty of the flow, as a share; usual: 5 %.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object in SI units.")
def heat(flow: float, warm_k: float, cool_k: float, base: str, u_each: float, u_flow: float, *, as_json: bool) -> None:
    """Tell the heat that a coolant gives off in the radiators, and how sure that is.

    \b
    Example:
      commission calc heat --flow "200 L/h" --in "36 degC" --out "34.3 degC" \\
        --base water
    """
    from commission.physics.heat import heat_carried, u_heat_carried
    from commission.stages.thermal_soak.rows.soak_json import HeatAnswer
    from commission.stages.thermal_soak.typed.plan import read_plan

    plan = read_plan(base)
    with in_words():
        found = heat_carried(flow, warm_k, cool_k, plan.base, plan.mass_fraction)
        answer = HeatAnswer(heat_w=found, u_heat_w=u_heat_carried(found, warm_k - cool_k, u_each, u_flow))
    if as_json:
        say(json_line(answer))
        return
    say(f"heat: {shown(answer.heat_w, Quantity.POWER)}")
    say(f"standard uncertainty: {shown(answer.u_heat_w, Quantity.POWER)}")
