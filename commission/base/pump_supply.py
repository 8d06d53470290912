"""What powers the pump while the loop is filled and bled."""

from enum import StrEnum


class PumpSupply(StrEnum):
    """The two arrangements; asked once for each build, because their cautions contradict each other."""

    OWN = "own"
    BRIDGED = "bridged"

    @property
    def told(self) -> str:
        """The arrangement in a few words."""
        return "a supply of its own" if self is PumpSupply.OWN else "the computer's supply, bridged"
