"""Verdicts: one of four words, the figures behind it, and its reasons."""

from enum import StrEnum

from commission.base.frozen import Frozen
from commission.base.quantity import Phrase


class Outcome(StrEnum):
    """What the readings prove."""

    PASS = "pass"
    FAIL = "fail"
    INCONCLUSIVE = "inconclusive"
    INVALID = "invalid"


class Bounded(Frozen):
    """An estimate with its two one-sided 95 % bounds."""

    value: float
    """Best estimate."""
    lower95: float
    """In 95 of 100 such tests the truth is above this."""
    upper95: float
    """In 95 of 100 such tests the truth is below this."""


class PlainRule(Frozen):
    """What a simpler rule of another trade would say of the same readings; for comparison only."""

    name: str
    """What the rule is."""
    outcome: Outcome
    """What it would say."""
    why: Phrase
    """In which way it is blind."""
