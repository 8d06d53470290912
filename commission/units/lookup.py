"""From a typed unit to the one it means, or to a message that says why it means none."""

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.units.plausible import ASK, REFUSED, example
from commission.units.tables import BY_SPELLING, UNITS, Unit, joined


def find_unit(spelling: str, quantity: Quantity, *, number: str = "") -> Unit:
    """Return the unit that a spelling means for a quantity.

    Parameters
    ----------
    spelling
        The unit as typed; upper and lower case count.
    quantity
        What is asked for.
    number
        The number typed before it, for the messages.

    Raises
    ------
    InputError
        If it has none here; the message says what was understood and what to type. One that ``asks`` where it has two.

    Examples
    --------
    >>> find_unit("mbar l/s", Quantity.LEAK_RATE).symbol
    'mbar·L/s'
    """
    spelling = " ".join(spelling.split())
    unit = _known(spelling, quantity)
    if unit is not None:
        return unit
    key = joined(spelling) if quantity is Quantity.LEAK_RATE else spelling
    if (two := ASK.get(quantity, {}).get(key)) is not None:
        one, other = (f"{number} {unit}".strip() for unit in two)
        raise InputError(f"{clip(spelling)} has two meanings: type {one} or {other}", asks=True)
    if (why := REFUSED.get(quantity, {}).get(key)) is not None:
        raise InputError(f"{clip(spelling)} {why}")
    raise InputError(_why_not(spelling, quantity, number))


def _known(spelling: str, quantity: Quantity) -> Unit | None:
    table = BY_SPELLING[quantity]
    if quantity is Quantity.DENSITY:
        return table.get(spelling.replace(" / ", "/"))
    return table.get(spelling) or (table.get(joined(spelling)) if quantity is Quantity.LEAK_RATE else None)


def _why_not(spelling: str, quantity: Quantity, number: str) -> str:
    wanted = f"a value of {quantity} is asked for; type it like {example(quantity)}"
    others = [q for q in Quantity if q is not quantity and _known(spelling, q)]
    if others:
        return f"{clip(spelling)} is a unit of {others[0]}, but {wanted}"
    slip = _slips(spelling, quantity)
    meant = slip and f"{number} {slip}".strip()
    if spelling.startswith("M") and len(spelling) > 1 and meant:
        return f"{clip(spelling)} means a million {spelling[1:]}; type {meant} if that is meant"
    if meant:
        return f"{clip(spelling)} is not a unit as it is spelled; type {meant} if that is meant"
    usual = ", ".join(unit.plain for unit in UNITS[quantity][:6])
    return f"{clip(spelling)} is not a unit of {quantity}; units are {usual}"


def _slips(spelling: str, quantity: Quantity) -> str | None:
    """Return the unit that differs from a spelling only by capitals, such as mbar for MBAR."""
    folded = joined(spelling).casefold()
    for form, unit in BY_SPELLING[quantity].items():
        if joined(form).casefold() == folded:
            return unit.plain
    return None
