"""What was seen when the whole machine was started, as typed words in any order."""

import re

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
from commission.units.number import parted
from commission.units.parse import parse
from commission.units.power_numbers import rpm
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

SIGN_EXAMPLE = "speed 2 s 4700 rpm"
"""How the pump's sign is typed."""
LOOK_EXAMPLE = "right 41 degC"
"""How headers and temperature are typed."""
LONGEST_S = 600.0
"""A sign that comes later than this is a slip [s]."""
NOT_TURNING = ("no", "not turning", "does not turn", "it does not turn", "stands", "0", "0 rpm", "0rpm")
"""Answers to whether the pump turns that mean danger: taken at once, whatever else is not typed yet."""
_SIGNS = {"speed": PumpSign.SPEED, "seen": PumpSign.SEEN, "heard": PumpSign.HEARD, "none": PumpSign.NONE}
_RIGHT = {"right": True, "wrong": False}
_FILLERS = ("headers", "header", "processor", "cpu", "after", "at", "pump", "and", "·", "power")
_NUMBER = re.compile(r"[+\-−]?[0-9]")
_WORDS = (
    "speed, seen, heard or none; seconds; rpm; all where each of several pumps turns; tach or no tach; right or wrong; "
    "the processor's degrees; off"
)
NOTHING = MachineStart(sign=PumpSign.NOT_LOOKED, after_s=None)
"""Before anything was seen."""


def read_machine(text: str, before: MachineStart = NOTHING) -> MachineStart:
    """Return what was seen by now: what stood before, and what a line such as ``speed 2 s 4700 rpm`` adds.

    Parameters
    ----------
    text
        Words and numbers with their units in any order.

    Raises
    ------
    InputError
        If a word or number cannot be understood, or one thing is typed twice.

    Examples
    --------
    >>> start = read_machine("speed 2 s 4700 rpm")
    >>> str(start.sign), start.after_s, start.pump_rpm, start.tach_connected
    ('its speed is shown', 2.0, 4700.0, True)
    >>> round(read_machine("headers right 41 degC", start).processor_k, 2)
    314.15
    """
    said = _said(text)
    if not said:
        raise InputError(f"type what was seen, such as {SIGN_EXAMPLE}, then {worded(LOOK_EXAMPLE)}")
    if "pump_rpm" in said:
        said.setdefault("sign", PumpSign.SPEED)
    sign = said.get("sign", before.sign)
    if sign is PumpSign.SPEED:
        said.setdefault("tach_connected", True)
    if sign is PumpSign.NONE:
        said.setdefault("after_s", None)
    if sign is PumpSign.SPEED and said.get("tach_connected") is False:
        raise InputError("a speed is shown, so a tach is connected; type one or the other")
    start = replace(before, **said)  # type: ignore[arg-type]
    turns = start.sign in (PumpSign.SPEED, PumpSign.SEEN, PumpSign.HEARD)
    if turns and start.after_s is None:
        raise InputError(f"after how many seconds? type such as {SIGN_EXAMPLE}, or none where it did not turn")
    if start.after_s is not None and not turns:
        raise InputError("how was it told that the pump turns? type speed, seen or heard before the seconds")
    return start


def read_sign(text: str) -> MachineStart:
    """Return what was seen of the pump: that it does not turn is understood from one word.

    Raises
    ------
    InputError
        As `read_machine` does.

    Examples
    --------
    >>> [str(read_sign(text).sign) for text in ("no", "Not turning", "0")]
    ['no sign', 'no sign', 'no sign']
    """
    words = " ".join(text.casefold().split()).strip(".!,;")
    if words not in NOT_TURNING:
        return read_machine(text)
    shown = words.startswith("0")  # a tach that shows 0 is connected
    return replace(NOTHING, sign=PumpSign.NONE, pump_rpm=0.0 if shown else None, tach_connected=True if shown else None)


def _said(text: str) -> dict[str, object]:
    said: dict[str, object] = {}
    words = parted(text)
    at = 0
    while at < len(words):
        word, following = words[at], (words[at + 1] if at + 1 < len(words) else "").strip(",;")
        key = word.casefold()
        if _NUMBER.match(word):
            _put(said, *_number(word, following))
            at += 2
            continue
        if key == "no" and following.casefold() == "tach":
            _put(said, "tach_connected", False)
            at += 2
            continue
        if key not in _FILLERS:
            _put(said, *_word(word))
        at += 1
    return said


def _word(word: str) -> tuple[str, object]:
    key = word.casefold().strip(",;:")
    if key in _SIGNS:
        return "sign", _SIGNS[key]
    if key in _RIGHT:
        return "headers_right", _RIGHT[key]
    if key == "tach":
        return "tach_connected", True
    if key == "off":
        return "powered_off", True
    if key in ("all", "both"):
        return "all_pumps", True
    raise InputError(f"{clip(word)} is not known here; words are {_WORDS}")


def _number(number: str, unit: str) -> tuple[str, object]:
    typed, bare = f"{number} {unit}", unit.casefold()
    if bare in ("rpm", "1/min"):
        return "pump_rpm", rpm(number)
    if unit in BY_SPELLING[Quantity.TEMPERATURE]:
        return "processor_k", parse(typed, Quantity.TEMPERATURE, low=223.15, high=473.15).si
    if unit in BY_SPELLING[Quantity.DURATION]:
        after = parse(typed, Quantity.DURATION).si
        if after > LONGEST_S:
            raise InputError(f"{typed} after power came on? the pump must turn within seconds; type seconds")
        return "after_s", after
    raise InputError(f"{number} of what? type it with its unit: {number} s, {number} rpm or {number} degC")


def _put(said: dict[str, object], what: str, value: object) -> None:
    if what in said:
        raise InputError(f"{what.replace('_', ' ')} was typed twice; type it once")
    said[what] = value


def seen_text(start: MachineStart) -> str:
    """Return what was seen in one line.

    >>> seen_text(read_machine("seen 3 s no tach wrong"))
    'coolant moves after 3 s · no tach · headers wrong'
    """
    from commission.units.show import show

    parts = [f"{start.sign}{f' after {start.after_s:g} s' if start.after_s is not None else ''}"]
    if start.all_pumps:
        parts.append("each pump turns")
    if start.pump_rpm is not None:
        parts.append(f"{start.pump_rpm:.0f} rpm")
    if start.tach_connected is False:
        parts.append("no tach")
    if start.headers_right is not None:
        parts.append(f"headers {'right' if start.headers_right else 'wrong'}")
    if start.processor_k is not None:
        parts.append(f"processor {show(start.processor_k, Quantity.TEMPERATURE)}")
    if start.powered_off:
        parts.append("powered off")
    return " · ".join(parts)
