"""Options of a hold from files and pipes: how the source was off, and a limit by its name."""

import click

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.shell.quantity_type import TextType
from commission.stages.pressure_hold.entries import SourceOff, source_named
from commission.stages.pressure_hold.judge.leak_class import CLASSES, class_named


class Wish(Frozen):
    """What a command line says of a new hold; None where it does not."""

    hold_s: float | None = None
    """How long it is planned [s]."""
    limit_pa_m3_s: float | None = None
    """Largest leak rate that passes [Pa·m3/s]."""
    source: SourceOff | None = None
    """How the source is off."""
    began_ms: int | None = None
    """When it began, where a logger's file is taken over [ms since 1970 UTC]."""
    planned: bool = False
    """Whether the plan that the build has is meant."""
    drained: bool = False
    """Whether the loop was said to be drained and dried."""


class SourceType(TextType[SourceOff]):
    """Takes one of the answers, whole or by its first words."""

    name = "source"

    def read(self, text: str) -> SourceOff:
        """Return the answer; raises InputError, which lists them, where none is meant."""
        how = source_named(text)
        if how is None:
            raise InputError(f'"{text}" is no answer; one of {", ".join(SourceOff)}')
        return how


class_option = click.option(
    "--class",
    "leak_class",
    type=click.Choice([one.name for one in CLASSES]),
    callback=lambda _context, _option, name: _limit_named(name),
    help="A limit by its name: watertight is 1e-2 mbar*L/s of air, strict 2e-3.",
)
"""Names a limit."""

source_option = click.option(
    "--source",
    type=SourceType(),
    help='How the source is off: "hose off", "valve shut, line vented", "valve only" (no PASS), '
    '"hand pump left on" (no valve).',
)
"""Says how the source was off."""


def limit_of(limit: float | None, of_class: float | None) -> float | None:
    """Return the limit that was given by its figure or by its name [Pa·m3/s]; None where neither was.

    Raises
    ------
    UsageError
        If both were given.
    """
    if limit is not None and of_class is not None:
        raise click.UsageError("--limit and --class both set the limit; keep one")
    return limit if of_class is None else of_class


def _limit_named(name: str | None) -> float | None:
    named = class_named(name or "")
    return None if named is None else named.limit_pa_m3_s
