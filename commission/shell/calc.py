"""``commission calc``: the arithmetic of the bench, without a logbook; each stage brings its own calculators."""

import click

from commission.shell.groups import Commands


@click.group(cls=Commands, path="calc")
def calc() -> None:
    """Work out one figure, without a logbook.

    Each calculator prints plain lines, or with --json one JSON object in SI units.

    \b
    Example:
      commission calc coolant --base water --temp "22 degC"
    """
