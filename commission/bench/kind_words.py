"""What kinds of entry are called where they are shown; the stored word of a kind never changes."""

KIND_WORDS = {
    "coolant poured": "coolant added",
    "finding raised": "defect found",
    "finding cured": "defect repaired",
    "level swept": "sweep point",
    "pressure let down": "pressure vented",
    "hold closed": "hold ended",
    "fill closed": "fill ended",
    "bleed closed": "bleed ended",
    "first power closed": "first power-on ended",
    "headers closed": "fan headers ended",
    "coolant drawn off": "coolant taken by syringe",
    "water lost": "water evaporated",
    "power fault mended": "power fault repaired",
    "joint looked at": "joint checked",
    "wet watch ended": "leak watch ended",
}
"""Kinds whose stored word is not what is said at a bench."""


def kind_shown(kind: str) -> str:
    """Return what a kind of entry is called, given its stored word."""
    return KIND_WORDS.get(kind, kind)
