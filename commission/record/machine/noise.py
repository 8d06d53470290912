"""What a pump sounds like."""

from enum import StrEnum


class Noise(StrEnum):
    """What the pump and the loop sounded like."""

    QUIET = "quiet"
    GURGLING = "gurgling"
    RATTLING = "rattling"
    NOT_LISTENED = "not listened"


NOISE_WORDS = {
    "quiet": Noise.QUIET,
    "gurgling": Noise.GURGLING,
    "rattling": Noise.RATTLING,
    "unheard": Noise.NOT_LISTENED,
}
"""What is typed for each."""
