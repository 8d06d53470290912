"""Power cables: connectors and their pins, the map a cable should have, and what a meter read on it."""

from collections.abc import Sequence

from commission.base.frozen import Frozen, replace
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.procedure.pins import Connector, Wire

OPEN_OHM = 10e6
"""From this resistance on two pins count as apart [ohm]. Source: practice of the cable trade, from memory; the table
of its standard was not read."""
CABLE_CAUTION = (
    "Verify against your supply's own pin map. Supply-side sockets differ between makes and even between models: never "
    "carry a cable over from another supply."
)
"""What stands beside every pin table."""


class Cable(Frozen):
    """A hand-made cable as it should be."""

    name: str
    """What the builder calls it."""
    connector: Connector
    """The plug at its load end."""
    wires: tuple[Wire, ...]
    """Every wire, by the supply's own pin map."""
    gauge: int
    """American wire gauge."""
    length_m: float
    """Length of a wire [m]."""
    contacts: int = 2
    """Contacts in the path of a wire."""
    contact_ohm: float = 0.010
    """Largest resistance of a new contact [ohm]; from memory, not verified."""


class Meter(Frozen):
    """The meter that the cable was measured with."""

    lead_ohm: float | None
    """What it shows with its probes held together [ohm]; None where nobody looked."""
    step_ohm: float = 0.1
    """One step of its display [ohm]."""
    accuracy_ohm: float = 0.1
    """Largest error that its maker states at low resistance [ohm]."""
    four_wire: bool = False
    """Whether it measures with four wires, or by the drop at a known current."""


class ContinuityReading(Frozen):
    """A reading from one end of the cable to the other."""

    load: str
    """Pin at the load end."""
    supply: str
    """Pin at the supply end."""
    ohm: float | None
    """What the meter showed [ohm]; None where it showed an open circuit."""


class ShortReading(Frozen):
    """A reading between two pins of the same end."""

    first: str
    """One pin at the load end."""
    second: str
    """The other pin at the load end."""
    ohm: float | None
    """What the meter showed [ohm]; None where it showed an open circuit."""


class CableTest(Frozen):
    """Everything that was measured on one cable."""

    cable: Cable
    """The cable."""
    meter: Meter
    """The meter."""
    unplugged: bool
    """Whether both ends were unplugged."""
    continuity: tuple[ContinuityReading, ...] = ()
    """Readings from end to end."""
    shorts: tuple[ShortReading, ...] = ()
    """Readings between pins."""

    def joined(self, wires: Sequence[ContinuityReading] = (), pairs: Sequence[ShortReading] = ()) -> "CableTest":
        """Return the test with fresh readings in place of those between the same pins."""
        again = {(one.load, one.supply) for one in wires}, {frozenset((one.first, one.second)) for one in pairs}
        kept = (one for one in self.continuity if (one.load, one.supply) not in again[0])
        apart = (one for one in self.shorts if frozenset((one.first, one.second)) not in again[1])
        return replace(self, continuity=(*kept, *wires), shorts=(*apart, *pairs))


class CableVerdict(Frozen):
    """What was proven of a cable."""

    outcome: Outcome
    """Pass, fail, inconclusive or invalid."""
    expected_ohm: float
    """Resistance of one sound wire with its contacts [ohm]."""
    most_ohm: float
    """Resistance up to which a wire counts as connected, less the meter's leads [ohm]."""
    wires_proven: int
    """Wires that were found where they should be."""
    faults: tuple[Phrase, ...]
    """What is wrong."""
    missing: tuple[Phrase, ...]
    """What is still to be measured or looked at."""
    notes: tuple[Phrase, ...]
    """What the readings do not prove."""

    @property
    def reasons(self) -> tuple[Phrase, ...]:
        """Why it is no pass, the worst first."""
        return (*self.faults, *self.missing)
