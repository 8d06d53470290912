"""An entry about dust filters, and a gap, in words."""

from commission.base.quantity import Quantity
from tests.toy_stage.entries import FiltersClosed, FilterSeated, FiltersEntry


def gap_text(gap_m: float) -> str:
    """Return a gap in millimetres."""
    from commission.units.show import show

    return show(gap_m, Quantity.LENGTH, unit="mm", digits=2)


def filters_text(payload: FiltersEntry) -> str:
    """Return what an entry says beside its kind."""
    match payload:
        case FilterSeated():
            return f"{payload.name}, gap {gap_text(payload.gap_m)}"
        case FiltersClosed(verdict=verdict):
            return f"{verdict.outcome}, widest gap {gap_text(verdict.widest_m)}"
