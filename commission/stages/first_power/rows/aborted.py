"""A test that was aborted, as rows: what was measured by then, and why it no longer counts."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from commission.bench.card import Figure, with_remark
from commission.stages.first_power.rows.cables import cable_row, ohm_text
from commission.stages.first_power.rows.rails import power_good_row, rail_row

if TYPE_CHECKING:
    from commission.stages.first_power.state.power import AbortedTest


def aborted_rows(one: "AbortedTest") -> Iterator[Figure]:
    """Yield an aborted test: its word and why it was aborted, then each reading."""
    reason = one.aborted.reason
    if one.tested is not None:
        name, test = one.aborted.cable, one.tested.test
        yield with_remark(cable_row(name, one.tested), reason)
        for wire in test.continuity:
            yield Figure(label=f"cable {name} {wire.load}>{wire.supply}", value=ohm_text(wire.ohm))
        for pair in test.shorts:
            yield Figure(label=f"cable {name} {pair.first}/{pair.second}", value=ohm_text(pair.ohm))
    elif one.rails is not None:
        yield Figure(label="rails", value=str(one.rails.outcome), remark=reason)
        yield from map(rail_row, one.rails.rows)
        if one.power_good is not None:
            yield power_good_row(one.power_good)
