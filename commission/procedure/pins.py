"""Connectors of a power supply: their pins, and the net that each belongs to."""

from enum import StrEnum

from commission.base.frozen import Frozen


class Net(StrEnum):
    """What a pin carries."""

    V12 = "+12 V"
    V5 = "+5 V"
    V3_3 = "+3.3 V"
    STANDBY = "+5 V standby"
    MINUS_12 = "-12 V"
    COM = "COM"
    SENSE = "sense, wired to COM"
    SIDEBAND = "sideband"
    POWER_GOOD = "PWR_OK"
    POWER_ON = "PS_ON#"
    UNUSED = "not connected"

    @property
    def rail(self) -> bool:
        """Whether it carries a supply voltage."""
        return self in {Net.V12, Net.V5, Net.V3_3, Net.STANDBY, Net.MINUS_12}


class Pin(Frozen):
    """One pin of a connector."""

    name: str
    """Its number or name in the standard."""
    net: Net
    """What it carries."""


class Connector(Frozen):
    """A plug at the load end of a power cable."""

    id: str
    """Short name."""
    title: str
    """What it is called in the trade."""
    pins: tuple[Pin, ...]
    """Its pins, in order."""
    source: str
    """Where the table comes from, and how sure it is."""
    note: str
    """What to know before it is plugged."""

    def net(self, pin: str) -> Net | None:
        """Return what a pin carries; None where the connector has no such pin."""
        return next((each.net for each in self.pins if each.name == pin), None)


class Wire(Frozen):
    """One wire of a cable: from a pin at the load end to a pin at the supply end."""

    load: str
    """Pin at the load end."""
    supply: str
    """Pin at the supply end."""
