"""The option that says how the source of pressure was kept from feeding the loop during a hold."""

import click

from commission.domain.bench_entries import SourceOff, source_named


class SourceType(click.ParamType[SourceOff]):
    """Takes one of the answers, whole or by its first words."""

    name = "source"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> SourceOff:
        """Return the answer; a usage error lists them where none is meant."""
        how = source_named(str(value))
        if how is None:
            self.fail(f'"{value}" is no answer; one of {", ".join(SourceOff)}', param, ctx)
        return how


source_option = click.option(
    "--source",
    type=SourceType(),
    help='How the source is off: "hose off", "valve shut, line vented" or "valve only" (then no PASS).',
)
"""Says how the source was off."""
