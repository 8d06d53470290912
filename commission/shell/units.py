"""``commission units``: the units that amounts are shown in, on the screens and by every command."""

from __future__ import annotations

import click

from commission.base.errors import FileError
from commission.shell.console import say
from commission.shell.options import chosen_logbook, logbook_option


@click.command()
@click.argument("units", nargs=-1, metavar="[UNIT]...")
@logbook_option
def units(units: tuple[str, ...]) -> None:
    """Show or choose the units that amounts are shown in; kept beside the logbook.

    One of each kind: mbar, bar, kPa, psi; mL, US fl oz; degC, degF; mm, cm, in; L/h, L/min, US gal/min. Kinds that are
    not named stay; default takes all back. What is stored and --json stay as they are, and every unit may be typed.
    Readings are asked for in the unit of the instrument.

    \b
    Example:
      commission units
      commission units psi fl oz degF
      commission units default
    """
    from commission.bootstrap import default_path, looks_file
    from commission.ui.looks import Looks
    from commission.units.chosen import read_units, told

    path = chosen_logbook() or default_path()
    looks = Looks(looks_file(path))
    if units:
        chosen = read_units(" ".join(units), looks.units)
        path.parent.mkdir(parents=True, exist_ok=True)
        looks.choose(units=chosen)
        if Looks(looks_file(path)).units != chosen:
            raise FileError(f"the choice could not be kept beside {path}")
    say(told(looks.units))
