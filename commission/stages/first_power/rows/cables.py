"""A hand-made cable as rows: what it is, what of it is proven, what reads oddly."""

from typing import TYPE_CHECKING

from commission.bench.card import Figure
from commission.procedure.pins import Wire
from commission.stages.first_power.model.cables import ContinuityReading
from commission.stages.first_power.typed.cable import pairs_to_read
from commission.stages.first_power.typed.cable_left import pairs_left

if TYPE_CHECKING:
    from commission.procedure.pins import Connector
    from commission.stages.first_power.entries import CableTested
    from commission.stages.first_power.typed.cable import CableLine


def cable_row(name: str, tested: "CableTested | None") -> Figure:
    """Return a cable made by hand in one row: its word, and how much of it is proven."""
    if tested is None:
        return Figure(label=f"cable {name}", value="not measured")
    verdict = tested.verdict
    proven = f"{verdict.wires_proven} of {len(tested.test.cable.wires)} wires proven"
    return Figure(label=f"cable {name}", value=str(verdict.outcome).upper(), bounds=proven, remark=_same(tested))


def _same(tested: "CableTested") -> str:
    return f"the very readings of {tested.same_as}, said to be right" if tested.same_as else ""


def draft_rows(
    name: str, line: "CableLine | None", plug: "Connector | None", wires: tuple[Wire, ...]
) -> tuple[Figure, ...]:
    """Return what is known of a cable while it is described."""
    size = f"{line.gauge} AWG, {line.length_m:g} m" if line else ""
    rows = (Figure(label="cable", value=name, bounds=size),)
    if plug is None:
        return rows
    return (*rows, Figure(label="plug at the load", value=plug.title, bounds=f"{len(wires)} wires" if wires else ""))


def measured_rows(tested: "CableTested") -> tuple[Figure, ...]:
    """Return what was measured of a cable, and each wire that reads too much."""
    test, verdict = tested.test, tested.verdict
    cable, meter = test.cable, test.meter
    wires, pairs = len(cable.wires), len(pairs_to_read(cable.connector))
    leads = "four wires" if meter.four_wire else f"leads {meter.lead_ohm or 0:g} ohm, taken off"
    return (
        Figure(
            label="cable",
            value=cable.name,
            bounds=f"{cable.connector.title}, {cable.gauge} AWG, {cable.length_m:g} m",
            remark=_same(tested),
        ),
        Figure(label="wires proven", value=f"{verdict.wires_proven} of {wires}", remark=f"map {map_text(cable.wires)}"),
        Figure(label="pairs", value=f"{pairs - len(pairs_left(test))} of {pairs}", bounds="read"),
        Figure(
            label="one wire",
            value=f"{verdict.expected_ohm:.3f} ohm",
            bounds=f"up to {verdict.most_ohm:.2f} ohm counts",
            remark=f"by gauge and length, {leads}",
        ),
        *(
            _odd(one)
            for one in test.continuity
            if one.ohm is None or one.ohm - (meter.lead_ohm or 0) > verdict.most_ohm
        ),
    )


def _odd(one: ContinuityReading) -> Figure:
    return Figure(label=f"{one.load}>{one.supply}", value=ohm_text(one.ohm))


def ohm_text(ohm: float | None) -> str:
    """Return a reading of the meter.

    >>> ohm_text(None), ohm_text(0.3), ohm_text(12e6)
    ('open', '0.3 ohm', '12 Mohm')
    """
    if ohm is None:
        return "open"
    for size, unit in ((1e6, "Mohm"), (1e3, "kohm")):
        if ohm >= size:
            return f"{ohm / size:g} {unit}"
    return f"{ohm:g} ohm"


def map_text(wires: tuple[Wire, ...]) -> str:
    """Return a pin map in one line.

    >>> map_text((Wire(load="1", supply="4"), Wire(load="2", supply="3")))
    '1>4 2>3'
    """
    return " ".join(f"{wire.load}>{wire.supply}" for wire in wires)
