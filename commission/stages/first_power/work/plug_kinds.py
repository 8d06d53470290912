"""What kind of plug a voltage was read at: of a measured cable that is known, whatever the plug is called."""

from collections.abc import Sequence

from commission.base.frozen import replace
from commission.stages.first_power.entries import CableTested
from commission.stages.first_power.model.rails import PlugKind, RailReading

_KINDS = {
    "24-pin": PlugKind.BOARD,
    "cpu-4-pin": PlugKind.PROCESSOR,
    "cpu-8-pin": PlugKind.PROCESSOR,
    "pcie-6-pin": PlugKind.GRAPHICS,
    "pcie-6+2-pin": PlugKind.GRAPHICS,
    "12-way": PlugKind.GRAPHICS,
}
"""Kind of each connector of ``procedure/connectors.toml``, by its id."""


def as_measured(readings: Sequence[RailReading], cables: Sequence[CableTested]) -> tuple[RailReading, ...]:
    """Return readings, each at the end of a measured cable with the kind of that cable's connector."""
    known = {one.test.cable.name.casefold(): _KINDS.get(one.test.cable.connector.id) for one in cables}
    kinds = ((each, known.get(each.plug.casefold())) for each in readings)
    return tuple(each if kind is None else replace(each, kind=kind) for each, kind in kinds)
