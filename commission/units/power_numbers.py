"""Numbers of power and headers as a wet hand types them: ohms, volts, amperes, duties, speeds."""

import re

from commission.base.board_range import MOST_MA, MOST_SWEEP_RPM
from commission.base.errors import InputError
from commission.base.text import clip
from commission.units.number import readable, split_number

OPEN_WORDS = ("ol", "open", "o.l", "o.l.", "0l", "0.l")
"""What a meter shows where nothing connects; the zero is what a seven-segment display makes of the letter."""
_OHM = ("ohms", "ohm", "\u03a9", "\u2126", "")
_POWERS = {"m": 1e-3, "milli": 1e-3, "": 1.0, "k": 1e3, "kilo": 1e3, "M": 1e6, "mega": 1e6, "meg": 1e6}
_THOUSANDS = re.compile(r"[0-9]{1,2}[.,][0-9]{3}")
_WATTS = ("w", "watt", "watts")
VOLT = 12.0
"""Supply of a fan header [V]. Source: Intel 4-wire specification rev 1.3, p. 9."""


def number(text: str, what: str) -> float:
    """Return a bare number.

    Raises
    ------
    InputError
        If it is none, or something follows it.
    """
    value, rest = split_number(readable(text))
    if rest:
        raise InputError(f"{clip(text)} is no {what}; type the number alone")
    return value.value


def ohms(text: str) -> float | None:
    """Return what a meter showed [ohm]; None for an open circuit.

    Raises
    ------
    InputError
        If it is no resistance.

    Examples
    --------
    >>> ohms("0,3"), ohms("OL"), ohms("12 Mohm"), ohms("32 mohm")
    (0.3, None, 12000000.0, 0.032)
    """
    if text.strip().casefold() in OPEN_WORDS:
        return None
    value, rest = split_number(readable(text))
    unit = rest.strip()
    for name in _OHM:
        power = unit.removesuffix(name).strip() if unit.endswith(name) else None
        if power is not None and power in _POWERS and (name or power not in ("m",)):
            ohm = value.value * _POWERS[power]
            if not 0 <= ohm <= 1e9:
                raise InputError(f"{clip(text)} is no resistance of a cable; type ohms, or OL where the meter shows it")
            return ohm
    raise InputError(f"{clip(text)} is no resistance; type ohms such as 0.3, or OL for an open circuit")


def milliamps(text: str) -> int:
    """Return a current [mA].

    Raises
    ------
    InputError
        If the unit is missing, or it is a power: then the message asks whether the current at 12 V is meant.

    Examples
    --------
    >>> milliamps("0,2 A"), milliamps("150mA")
    (200, 150)
    """
    value, rest = split_number(readable(text))
    unit = rest.casefold()
    if unit in _WATTS:
        raise InputError(
            f"{clip(text)} is a power, a current is asked for. At {VOLT:g} V that is "
            f"{value.value / VOLT:.3g} A: type that if it is meant"
        )
    factor = {"a": 1000.0, "amp": 1000.0, "amps": 1000.0, "ma": 1.0}.get(unit)
    if factor is None:
        asks = f"{clip(text)} of what? type {value.value:g} A or {value.value:g} mA"
        raise InputError(asks if not unit else f"{clip(text)} is no current; type such as 0.2 A or 200 mA")
    found = round(value.value * factor)
    if not 0 < found <= MOST_MA:
        raise InputError(f"{clip(text)} is outside 1 to {MOST_MA} mA; check the label")
    return found


def amps(milliamp: int) -> str:
    """Return a current as it is shown.

    >>> amps(1500), amps(80)
    ('1.5 A', '0.08 A')
    """
    return f"{milliamp / 1000:g} A"


def duty(text: str) -> float:
    """Return a duty, 0 to 100 [%].

    Raises
    ------
    InputError
        If it is none.
    """
    value = number(text.strip().removesuffix("%"), "duty")
    if not 0 <= value <= 100:
        raise InputError(f"a duty of {value:g} % is outside 0 to 100; type what the firmware shows")
    return value


def rpm(text: str) -> float:
    """Return a speed [rpm].

    Raises
    ------
    InputError
        If it is none, or one that no fan has.
    """
    bare = text.strip().removesuffix("rpm").strip()
    if _THOUSANDS.fullmatch(bare):
        raise InputError(
            f"{clip(bare)}: is that {bare.replace(',', '').replace('.', '')} rpm? type it without the sign"
        )
    value = number(bare, "speed")
    if not 0 <= value <= MOST_SWEEP_RPM:
        raise InputError(f"{value:g} rpm is outside 0 to {MOST_SWEEP_RPM:.0f}; type what the firmware shows")
    return value
