"""A curve: points, and what they are."""

from commission.base.frozen import Frozen


class Curve(Frozen):
    """Points of a line to be drawn, as columns of equal length."""

    elapsed_s: tuple[float, ...]
    """Time since the hold began [s]."""
    pressure_pa: tuple[float, ...]
    """Compensated pressure minus its fitted value at the start [Pa]."""
