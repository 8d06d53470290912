"""Measured values with the digits that mean something: one number of decimals in a row, nothing below zero.

What is typed or set, such as a limit, is shown by `bench.figures`, without zeros that nobody wrote.
"""

from commission.base.quantity import K95, Quantity
from commission.units.chosen import unit_for
from commission.units.show import show

TENTHS_BELOW_ML = 10.0
"""Below this a volume is shown in tenths of a millilitre [mL]; our choice: a level and a syringe are read to 1 mL."""

_WHOLE_ML = 0.95
"""From here an uncertainty has a digit in whole millilitres [mL]: below it would round to 1 mL or vanish."""


def millilitres(m3: float, *beside: float) -> str:
    """Return a volume [m3] in whole millilitres; in tenths where neither it nor what stands beside it reaches 10 mL.

    >>> millilitres(968.4e-6), millilitres(2.83e-6), millilitres(-1e-9)
    ('968 mL', '2.8 mL', '0 mL')
    >>> millilitres(2.83e-6, 12.4e-6)
    '3 mL'
    """
    return _amount(_decimals(m3, *beside), m3)


def millilitres_between(low: float, high: float, *beside: float) -> str:
    """Return the bounds of a volume [m3], with the decimals of `millilitres`.

    >>> millilitres_between(-3e-6, 72.6e-6), millilitres_between(0.74e-6, 8.94e-6, 2.83e-6)
    ('0 to 73 mL', '0.7 to 8.9 mL')
    """
    return _amount(_decimals(low, high, *beside), low, high)


def millilitres_good_to(m3: float, u_m3: float) -> tuple[str, str]:
    """Return a volume [m3] and its expanded uncertainty of 95 %, both with the same decimals.

    The decimals are those of `millilitres`, and tenths where the uncertainty is below a millilitre.

    >>> millilitres_good_to(968e-6, 1.5e-6), millilitres_good_to(45e-6, 0.25e-6)
    (('968 mL', '± 3 mL'), ('45.0 mL', '± 0.5 mL'))
    """
    half = K95 * u_m3
    decimals = 1 if half * 1e6 < _WHOLE_ML else _decimals(m3, half)
    return _amount(decimals, m3), f"± {_amount(decimals, half)}"


def degrees(kelvin: float | None) -> str:
    """Return a temperature [K] in tenths of a degree Celsius.

    >>> degrees(260.37), degrees(None)
    ('-12.8 °C', 'not known')
    """
    return "not known" if kelvin is None else show(kelvin, Quantity.TEMPERATURE, resolution=0.1)


def _decimals(*m3: float) -> int:
    return 0 if max(map(abs, m3)) * 1e6 >= TENTHS_BELOW_ML else 1


def _amount(decimals: int, *m3: float) -> str:
    """Return volumes as fine as millilitres with so many decimals, none below zero, with their unit behind the last."""
    unit, numbers = "mL", [f"{max(0.0, one * 1e6):.{decimals}f}" for one in m3]
    if unit_for(Quantity.VOLUME):
        shown = [show(max(0.0, one), Quantity.VOLUME, resolution=1e-6 / 10**decimals) for one in m3]
        numbers, unit = [text.partition(" ")[0] for text in shown], shown[-1].partition(" ")[2]
    return f"{' to '.join(text if text.strip('0.') else '0' for text in numbers)} {unit}"
