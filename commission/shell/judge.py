"""``commission judge``: a verdict on readings in files, without a logbook; each stage brings its own judge."""

import click

from commission.shell.groups import Commands


@click.group(cls=Commands, path="judge")
def judge() -> None:
    """Judge readings in files, without a logbook.

    \b
    Example:
      commission judge hold hold.csv --volume "1.2 L"
      commission judge sweep front.csv --nameplate 1500
      commission judge rails supply.csv --revision ATX3
    """
