"""Values as text, in signs that standard output has."""

from __future__ import annotations

from commission.base.quantity import Quantity


def shown(value: float | None, quantity: Quantity) -> str:
    """Return a value with its unit, in signs that standard output has."""
    from commission.units.show import show

    return "not known" if value is None else show(value, quantity)
