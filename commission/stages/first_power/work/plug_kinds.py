"""What kind of plug something is: by its name, and of a measured cable by its connector, whatever it is called."""

import re
from collections.abc import Sequence

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.record.build_state import BuildState
from commission.stages.first_power.entries import CableTested
from commission.stages.first_power.model.cables import Cable
from commission.stages.first_power.model.rails import LeftOut, PlugKind, RailReading
from commission.stages.first_power.state.power import FirstPowerState

_KINDS = {
    "24-pin": PlugKind.BOARD,
    "cpu-4-pin": PlugKind.PROCESSOR,
    "cpu-8-pin": PlugKind.PROCESSOR,
    "pcie-6-pin": PlugKind.GRAPHICS,
    "pcie-6+2-pin": PlugKind.GRAPHICS,
    "12-way": PlugKind.GRAPHICS,
}
"""Kind of each connector of ``procedure/connectors.toml``, by its id."""

_HINTS = (
    (PlugKind.BOARD, re.compile(r"24|board|main|atx")),
    (PlugKind.GRAPHICS, re.compile(r"pcie|pci-e|gpu|graphics|vga|12-way|6\+2")),
    (PlugKind.PROCESSOR, re.compile(r"cpu|eps|processor|p4|p8")),
)
"""What a name says of a plug."""


def kind_of(plug: str) -> PlugKind:
    """Return what kind of plug a name stands for; other where it does not say.

    >>> [str(kind_of(name)) for name in ("24-pin", "EPS 1", "GPU 2", "drives")]
    ['board', 'processor', 'graphics', 'other']
    """
    return next((kind for kind, hint in _HINTS if hint.search(plug.casefold())), PlugKind.OTHER)


def refuse_other_plug(cable: Cable) -> None:
    """Refuse a cable that is called by one kind of plug and was measured as another: it is another cable's table.

    Raises
    ------
    InputError
        If it is so. Processor and graphics plugs have +12 V and ground in opposite rows.
    """
    named, measured = kind_of(cable.name), _KINDS.get(cable.connector.id)
    if measured is not None and named not in (measured, PlugKind.OTHER):
        raise InputError(
            f'the cable "{cable.name}" is called a {named} plug and was measured as {cable.connector.id}, a {measured} '
            "plug. Measure the cable itself, or describe it by another name"
        )


def as_measured(readings: Sequence[RailReading], cables: Sequence[CableTested]) -> tuple[RailReading, ...]:
    """Return readings, each at the end of a measured cable with the kind of that cable's connector."""
    known = {one.test.cable.name.casefold(): _KINDS.get(one.test.cable.connector.id) for one in cables}
    kinds = ((each, known.get(each.plug.casefold())) for each in readings)
    return tuple(each if kind is None else replace(each, kind=kind) for each, kind in kinds)


def left_out_of(state: BuildState, readings: Sequence[RailReading], wanted: Sequence[LeftOut]) -> list[LeftOut]:
    """Return the plugs that are left out and were not read now; each must be known and have a reason."""
    known = {plug.casefold() for plug in state.of(FirstPowerState).plugs_wanted}
    for one in wanted:
        if not one.reason.strip():
            raise InputError(f'say why "{one.plug}" is left out; the verdict says it')
        if one.plug.casefold() not in known:
            raise InputError(f'"{one.plug}" is no cable made by hand and no plug that was read; check its name')
    read = {each.plug.casefold() for each in readings}
    return [one for one in wanted if one.plug.casefold() not in read]
