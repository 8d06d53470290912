"""The one pint registry, made when it is first needed, and the way from a unit to its factor and zero."""

from functools import cache
from typing import TYPE_CHECKING, Any

from commission.units.tables import Unit

if TYPE_CHECKING:
    import pint


@cache
def registry() -> "pint.UnitRegistry[Any]":
    """Return the only registry of this process; the first call takes some tenths of a second."""
    import pint

    return pint.UnitRegistry()


@cache
def scale(unit: Unit) -> tuple[float, float]:
    """Return how many SI units one of it is, and the SI value of its zero.

    The usual units have an exact factor of their own, so that the first typed reading does not wait for pint.
    """
    if unit.factor is not None:
        return unit.factor, unit.offset
    return pint_scale(unit.expression)


def pint_scale(expression: str) -> tuple[float, float]:
    """Return factor and zero of a unit as pint has them; only names from our own tables come here."""
    ureg = registry()
    parsed = ureg.Unit(expression)
    zero = float(ureg.Quantity(0.0, parsed).to_base_units().magnitude)
    one = float(ureg.Quantity(1.0, parsed).to_base_units().magnitude)
    return one - zero, zero
