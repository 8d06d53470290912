"""The lines that a gauge prints, as a person describes them: ``P={} mbar T={air [degC]}``."""

import re

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.text import clip

LONGEST = 200
"""Longest pattern [characters]; our choice: a gauge prints shorter lines."""

_EXAMPLE = "P={} mbar"
_PLACE = re.compile(r"\{([^{}]*)\}")
_NUMBER = r"(?<![\d.,+-])([+-]?\d+(?:[.,]\d+)?)(?!\d|[.,]\d)"


class LinePattern(Frozen, kw_only=False):
    """A line with places for numbers."""

    places: tuple[str, ...]
    """What stands at each place, as a column is headed; empty for what the instrument itself reads."""
    pattern: re.Pattern[str]
    """Finds the numbers in a line."""

    def numbers(self, line: str) -> tuple[str, ...] | None:
        """Return the numbers of a line with decimal points; None where the line is another one."""
        found = self.pattern.search(line)
        return None if found is None else tuple(number.replace(",", ".") for number in found.groups())


def read_line_pattern(text: str) -> LinePattern:
    """Return the pattern that a person typed; blanks count as any number of blanks.

    Raises
    ------
    InputError
        If it has no place for what the instrument reads, or more than one.

    Examples
    --------
    >>> read_line_pattern("P={} mbar T={air [degC]}").numbers("#17  P= 497,5 mbar T=21.3")
    ('497.5', '21.3')
    >>> read_line_pattern("{} mbar").numbers("497.5 hPa") is None
    True
    """
    if len(text) > LONGEST:
        raise InputError(f"the pattern is {len(text)} characters long; {LONGEST} are the most")
    words = _PLACE.split(text)
    places = tuple(" ".join(word.split()) for word in words[1::2])
    if places.count("") != 1 or any(sign in literal for literal in words[::2] for sign in "{}"):
        raise InputError(f"{clip(text)}: write the line with {{}} once, where its number stands, such as {_EXAMPLE}")
    for place in places:
        if places.count(place) > 1 or any(sign in place for sign in ',;"#'):
            raise InputError(f"{{{clip(place)}}} stands twice or has a comma; head each column once, as {{air [degC]}}")
    literals = [r"\s*+".join(map(re.escape, literal.split())) for literal in words[::2]]
    joined = rf"\s*+{_NUMBER}\s*+".join(literals)
    return LinePattern(places, re.compile(joined))


def read_port(text: str) -> tuple[str, int]:
    """Return the name of a serial port and its speed [baud] from such as ``/dev/ttyUSB0 9600``.

    Raises
    ------
    InputError
        If it has no name, or a speed that no port has.

    Examples
    --------
    >>> read_port("/dev/ttyUSB0"), read_port("COM3 115200")
    (('/dev/ttyUSB0', 9600), ('COM3', 115200))
    """
    name, _, last = text.strip().rpartition(" ")
    # most gauges that print lines do so at 9600 baud; common practice, no source
    speed = int(last) if name and last.isascii() and last.isdigit() and len(last) < 8 else 9600
    name = name.strip() if name and last.isdigit() else text.strip()
    if not name or not 50 <= speed <= 4_000_000:
        raise InputError(f"{clip(text)} is no port; write its name and speed, such as /dev/ttyUSB0 9600")
    return name, speed
