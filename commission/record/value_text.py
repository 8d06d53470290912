"""Values as text for entries and reports."""

from __future__ import annotations

from commission.base.quantity import Quantity


def shown(si: float, quantity: Quantity) -> str:
    """Return a value with its unit."""
    from commission.units.show import show

    return show(si, quantity)


def volume_text(si: float, u: float) -> str:
    """Return a volume with its standard uncertainty.

    >>> volume_text(0.25e-3, 2.5e-6)
    '250 mL (u 2.5 mL)'
    """
    return f"{shown(si, Quantity.VOLUME)} (u {shown(u, Quantity.VOLUME)})"
