"""The voltages of one plug as one typed line, and the delay of PWR_OK."""

import re
from collections.abc import Collection

from commission.base.errors import InputError, refuse_longer
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.procedure.connectors import as_connector
from commission.stages.first_power.model.rails import PlugKind, Rail, RailReading
from commission.stages.first_power.work.plug_kinds import kind_of
from commission.units.power_numbers import number

EXAMPLE = "24-pin +12 12.05 +5 5.02 +3.3 3.31 +5VSB 5.08"
"""How a plug is typed."""
SHORT = "24-pin +12 12.05 +5 5.02"
"""The beginning of it, as it stands whole in the empty line of 80 columns."""
MOST_V = 30.0
"""Voltage above which a figure is a slip [V]."""
LONGEST_PLUG = 40
_RAILS = {
    "+12": Rail.V12, "+12v": Rail.V12, "12v": Rail.V12, "+5": Rail.V5, "+5v": Rail.V5, "5v": Rail.V5,
    "+3.3": Rail.V3_3, "+3,3": Rail.V3_3, "+3.3v": Rail.V3_3, "+3,3v": Rail.V3_3, "3.3v": Rail.V3_3,
    "+5vsb": Rail.STANDBY, "5vsb": Rail.STANDBY, "vsb": Rail.STANDBY, "standby": Rail.STANDBY,
    "-12": Rail.MINUS_12, "-12v": Rail.MINUS_12,
}  # fmt: skip
_LOADS = ("loaded", "unloaded")
_KINDS = {"board": PlugKind.BOARD, "processor": PlugKind.PROCESSOR, "graphics": PlugKind.GRAPHICS}
_POWER_GOOD = re.compile(r"(?:pwr_?ok|power\s*good)\s+([0-9]+(?:[.,][0-9]+)?)\s*(ms)?", re.IGNORECASE)


class PlugLine(Frozen):
    """What was read at one plug."""

    plug: str
    """The plug."""
    readings: tuple[RailReading, ...]
    """Its voltages, in the order typed."""
    load_said: bool = False
    """Whether the line says itself if the supply was under load."""

    @property
    def told(self) -> str:
        """The line as understood, every digit as typed."""
        first = self.readings[0]
        load = ", under load" if first.loaded else ", without load"
        volts = " · ".join(f"{each.rail} {each.typed} V" for each in self.readings)
        return f"{self.plug} ({first.kind} plug{load}): {volts}"


def read_plug(text: str, known: Collection[str] = ()) -> PlugLine:
    """Return the plug and its voltages of a line such as ``24-pin +12 12.05 +5 5.02``.

    Parameters
    ----------
    text
        The plug's name, then pairs of rail and voltage; ``loaded`` or ``unloaded`` anywhere, and ``board``,
        ``processor`` or ``graphics`` behind the name where that does not say what the plug is for.
    known
        Plugs that have a name already, which they keep.

    Raises
    ------
    InputError
        If a rail has no voltage, stands twice, or a voltage cannot be one.

    Examples
    --------
    >>> line = read_plug("GPU 1 loaded +12 11,396")
    >>> line.plug, line.readings[0].typed, line.readings[0].volt
    ('GPU 1', '11,396', 11.396)
    """
    words = text.split()
    loads = [word.casefold() for word in words if word.casefold() in _LOADS]
    if len(set(loads)) > 1:
        raise InputError("loaded and unloaded on one line; type one line for each")
    loaded = "loaded" in loads
    words = [word for word in words if word.casefold() not in _LOADS]
    start = next((n for n, word in enumerate(words) if _rail(word, n) is not None), len(words))
    name = words[:start]
    kind = _KINDS.get(name[-1].casefold()) if len(name) > 1 else None
    plug = plug_called(" ".join(name[:-1] if kind else name), known)
    if not plug or start == len(words):
        raise InputError(f"type the plug, then each rail and what the meter shows: {EXAMPLE}")
    refuse_longer(plug, LONGEST_PLUG, "the plug's name has")
    pairs = _pairs(words[start:])
    return PlugLine(
        plug=plug,
        load_said=bool(loads),
        readings=tuple(
            RailReading(
                plug=plug, kind=kind or kind_of(plug), rail=rail, volt=_volt(rail, typed), typed=typed, loaded=loaded
            )
            for rail, typed in pairs
        ),
    )


def plug_called(name: str, known: Collection[str]) -> str:
    """Return a plug's name: that of a connector with its hyphens, unless one is known by the name as typed.

    >>> plug_called("24 pin", ["24-pin"]), plug_called("24 pin", ["24 pin"])
    ('24-pin', '24 pin')
    """
    return name if name.casefold() in (one.casefold() for one in known) else as_connector(name)


def _rail(word: str, at: int) -> Rail | None:
    """Return the rail that a word names; the first word is always the plug."""
    return _RAILS.get(word.casefold()) if at else None


def _pairs(words: list[str]) -> list[tuple[Rail, str]]:
    found: list[tuple[Rail, str]] = []
    at = 0
    while at < len(words):
        rail = _rail(words[at], at + 1)
        if rail is None:
            known = ", ".join(("+12", "+5", "+3.3", "+5VSB", "-12"))
            raise InputError(f"{clip(words[at])} is no rail; rails are {known}, each followed by what the meter shows")
        if at + 1 == len(words):
            raise InputError(f"type what the meter shows for {rail}, such as {words[at]} 12.05")
        if rail in {known_rail for known_rail, _ in found}:
            raise InputError(f"{rail} was typed twice; type it once for each plug")
        found.append((rail, words[at + 1]))
        at += 2
        if at < len(words) and words[at].casefold() == "v":
            at += 1
    return found


def _volt(rail: Rail, typed: str) -> float:
    volt = number(typed.removesuffix("V").removesuffix("v"), "voltage")
    if abs(volt) > MOST_V:
        raise InputError(f"{volt:g} V is above {MOST_V:g} V; is it in mV, or is the mains at the probe? Stop and check")
    if rail is Rail.MINUS_12 and volt > 0:
        raise InputError(f"-12 V reads {typed}: type it with its sign, or swap the probes and read again")
    return volt


def power_good_ms(text: str) -> float | None:
    """Return the delay of a line such as ``PWR_OK 180 ms`` [ms]; None where it is no such line.

    >>> power_good_ms("pwr_ok 180 ms"), power_good_ms("24-pin +5 5.02")
    (180.0, None)
    """
    found = _POWER_GOOD.fullmatch(text.strip())
    if found is None:
        return None
    if not found[2]:
        raise InputError(f"{clip(text)}: type the delay with its unit, such as PWR_OK {found[1]} ms")
    delay = number(found[1], "delay")
    if delay > 60_000:
        raise InputError(f"a delay of {delay:g} ms is no PWR_OK; type milliseconds")
    return delay
