"""What the calculator of a bleed answers, as plain data for programs."""

from __future__ import annotations

from commission.base.frozen import Frozen
from commission.stages.bleed.model import TailState


class Remaining(Frozen):
    """Air that is still to come out."""

    low: float
    """Least that the readings allow [m3]."""
    best: float
    """Best estimate [m3]."""
    high: float
    """Most that the readings allow [m3]."""


class BleedAnswer(Frozen):
    """What a row of top-ups says of the air that is still to come out."""

    remaining_m3: Remaining | None
    """That air [m3]; null where nothing can be said."""
    state: TailState
    """Whether anything can be said."""
    ratio: float | None
    """Each cycle brings this share of the one before [1]; null where nothing can be said."""
    used: int
    """How many readings it rests on, those since the last that did not shrink."""
