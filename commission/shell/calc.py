"""``commission calc``: the arithmetic of the bench, without a logbook."""

from __future__ import annotations

import click

from commission.stages.bleed.shell import bleed
from commission.stages.fan_headers.shell.calc_layout import layout
from commission.stages.fill.shell.calc_coolant import coolant, mix
from commission.stages.fill.shell.calc_loop import headspace, volume


@click.group()
def calc() -> None:
    """Work out one figure, without a logbook.

    Each calculator prints plain lines, or with --json one JSON object in SI units.

    \b
    Example:
      commission calc coolant --base water --at "22 degC"
    """


for _command in (coolant, mix, headspace, bleed, volume, layout):
    calc.add_command(_command)
