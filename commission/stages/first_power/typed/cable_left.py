"""What of a hand-made cable is still to be measured: wires, and pairs that must be apart."""

from commission.stages.first_power.judge.cable_shorts import FINGERS_OHM, must_be_apart
from commission.stages.first_power.model.cables import OPEN_OHM, CableTest, ShortReading
from commission.stages.first_power.typed.cable import pairs_to_read


def wires_left(test: CableTest) -> tuple[tuple[str, str], ...]:
    """Return the wires that were not measured yet, pin at the load and pin at the supply."""
    read = {(one.load, one.supply) for one in test.continuity}
    return tuple((wire.load, wire.supply) for wire in test.cable.wires if (wire.load, wire.supply) not in read)


def pairs_left(test: CableTest) -> tuple[tuple[str, str], ...]:
    """Return the pairs that were not measured yet, or read neither apart nor joined."""
    plug = test.cable.connector
    done = {frozenset((one.first, one.second)) for one in test.shorts if _decided(one, test)}
    return tuple(pair for pair in pairs_to_read(plug) if frozenset(pair) not in done)


def _decided(one: ShortReading, test: CableTest) -> bool:
    plug = test.cable.connector
    doubtful = one.ohm is not None and FINGERS_OHM <= one.ohm < OPEN_OHM
    return not (doubtful and must_be_apart(plug.net(one.first), plug.net(one.second)))
