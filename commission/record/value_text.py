"""Values as text for entries and reports."""

from __future__ import annotations

import math

from commission.base.quantity import K95, Quantity

_WHOLE_M3 = 0.95e-6
"""From here an uncertainty has a digit in whole millilitres [m3]; our choice: below it would round or vanish."""


def shown(si: float, quantity: Quantity) -> str:
    """Return a value with its unit."""
    from commission.units.show import show

    return show(si, quantity)


def volume_text(si: float, u: float) -> str:
    """Return a volume with its 95 %, in whole millilitres; in tenths where that is below one.

    >>> volume_text(0.25e-3, 2.5e-6), volume_text(45e-6, 0.25e-6)
    ('250 mL ± 5 mL', '45 mL ± 0.5 mL')
    """
    from commission.units.chosen import unit_for
    from commission.units.show import show

    half = K95 * u
    step = 1e-6 if half >= _WHOLE_M3 else 1e-7
    if unit_for(Quantity.VOLUME) or not math.isfinite((si + half) / step):
        return " ± ".join(show(part, Quantity.VOLUME, resolution=step) for part in (si, half))
    return " ± ".join(show(round(part / step) * step, Quantity.VOLUME, unit="mL", digits=6) for part in (si, half))


def note_text(note: str) -> str:
    """Return a note as it stands behind the rest of an entry; empty where there is none."""
    return f" ({note})" if note else ""
