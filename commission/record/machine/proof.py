"""What a pass proves of the loop, so that others can wait for it without knowing the stage."""

from enum import Enum, auto


class Proof(Enum):
    """What is proved of the loop; at most one stage proves each."""

    TIGHT = auto()
    """It holds pressure; while that is tried it is under test pressure."""
    FILLED = auto()
    """There is enough coolant in it for the pump."""
    BLED = auto()
    """The air is out of it, as far as can be seen."""
