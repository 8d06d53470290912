"""What a pump sounds like."""

from enum import StrEnum


class Noise(StrEnum):
    """What the pump and the loop sounded like."""

    QUIET = "quiet"
    GURGLING = "gurgling"
    RATTLING = "rattling"
    NOT_LISTENED = "not listened"
