"""The supply as typed lines: its name with the guide that it claims to follow, and its hand-made cables."""

import re

from commission.base.errors import InputError, refuse_longer
from commission.base.text import clip
from commission.procedure.connectors import as_connector
from commission.stages.first_power.model.rails import Revision

SUPPLY_EXAMPLE = "Larkspur 850 ATX3"
"""How a supply is typed; the name is invented."""
_GUIDE = re.compile(r"\batx(?:12v)?\s*v?([23])(?:\.[0-9]+)*(?![0-9])", re.IGNORECASE)
_NONE = ("none", "no", "-")


def read_supply(text: str) -> tuple[str, Revision]:
    """Return name and guide of ``Larkspur 850 ATX3``.

    Raises
    ------
    InputError
        If the guide is missing, or there is no name.

    Examples
    --------
    >>> read_supply("Larkspur 850 atx 3.1")
    ('Larkspur 850', <Revision.ATX3: 'ATX3'>)
    """
    found = _GUIDE.search(text)
    if found is None:
        raise InputError(f"type the name and the guide, ATX2 or ATX3, such as {SUPPLY_EXAMPLE}")
    name = " ".join(f"{text[: found.start()]} {text[found.end() :]}".split())
    if not name:
        raise InputError(f"type a name before the guide: {SUPPLY_EXAMPLE}")
    refuse_longer(name, 80, "the name has")
    return name, Revision.ATX2 if found[1] == "2" else Revision.ATX3


def read_names(text: str) -> tuple[str, ...]:
    """Return the names of a line with commas; none for ``none``.

    Raises
    ------
    InputError
        If nothing is typed, or a name stands twice.

    Examples
    --------
    >>> read_names("24 pin, GPU 1"), read_names("none")
    (('24-pin', 'GPU 1'), ())
    """
    if text.strip().casefold() in _NONE:
        return ()
    names = [as_connector(" ".join(piece.split())) for piece in text.split(",") if piece.strip()]
    if not names:
        raise InputError("type the names of the cables with commas between, or none")
    twice = [name for n, name in enumerate(names) if name.casefold() in {other.casefold() for other in names[:n]}]
    if twice:
        raise InputError(f"{clip(twice[0])} stands twice; give each cable its own name")
    long = [name for name in names if len(name) > 40]
    if long:
        raise InputError(f"{clip(long[0])} has {len(long[0])} characters; 40 are the most")
    return tuple(names)
