"""A header of the board as one typed line: its label as printed, pins, rating, and how it drives."""

from commission.base.errors import InputError, refuse_longer
from commission.base.frozen import replace
from commission.base.text import clip
from commission.record.machine.seats import UNKNOWN_RATING_MA, Drive, Header, StopCause
from commission.units.number import parted
from commission.units.power_numbers import amps, milliamps

EXAMPLE = "CPU 4-pin 2 A pwm"
"""How a header is typed."""
DRIVES = {"pwm": Drive.PWM, "voltage": Drive.VOLTAGE, "dc": Drive.VOLTAGE, "fixed": Drive.FIXED}
"""Words of the ways of driving."""
STOPS = {
    "zero": StopCause.ZERO_DUTY,
    "stop": StopCause.FAN_STOP,
    "silent": StopCause.SILENT_PROFILE,
    "starve": StopCause.VOLTAGE_MODE,
}
"""Words of what can still stop a pump."""
LONGEST = 40


def read_header(text: str, header_id: str = "") -> Header:
    """Return the header of a line such as ``CPU 4-pin 2 A pwm/voltage set pwm`` or ``PUMP 4-pin 3 A pwm lock``.

    Parameters
    ----------
    text
        The label first; then pins, rating, modes; ``set`` and a mode where it is known how it is set; ``lock`` where it
        is locked at full speed; ``zero``, ``stop``, ``silent`` for what can still stop a pump.
    header_id
        Its id.

    Raises
    ------
    InputError
        If a word is not known, or the rating is a power.

    Examples
    --------
    >>> header = read_header("SYS 1 4-pin 1 A pwm/voltage set pwm")
    >>> header.name, header.rating_ma, [str(mode) for mode in header.modes], str(header.set_to)
    ('SYS 1', 1000, ['pwm', 'voltage'], 'pwm')
    """
    label, words = _labelled(text)
    header = Header(
        header_id=header_id,
        name=label,
        pins=4,
        rating_ma=UNKNOWN_RATING_MA,
        rating_assumed=True,
        modes=(),
    )
    at = 0
    while at < len(words):
        header, used = _taken(header, words[at:])
        at += used
    if not header.modes:
        modes = (Drive.PWM,) if header.pins == 4 else (Drive.VOLTAGE,)
        header = replace(header, modes=modes)
    return header if header.set_to or len(header.modes) > 1 else replace(header, set_to=header.modes[0])


def _labelled(text: str) -> tuple[str, list[str]]:
    """Part the label from what follows it: it ends where pins or a current begin."""
    words = text.replace("-pin", " pin").replace("-Pin", " pin").split()
    ends = [n for n in range(1, len(words)) if _begins(words[n:])]
    label = " ".join(words[: ends[0]] if ends else words)
    if not label:
        raise InputError(f"type the label as printed, pins, rating and modes: {EXAMPLE}")
    refuse_longer(label, LONGEST, "the label has")
    return label, parted(" ".join(words[ends[0] :])) if ends else []


def _begins(words: list[str]) -> bool:
    """Return whether here begins what is known of a header: a number with pin or a unit, or a word of a mode."""
    pieces = parted(" ".join(words[:2]))
    unit = pieces[1].casefold() if len(pieces) > 1 else ""
    numbered = pieces[0][:1].isdigit() and unit in ("pin", "pins", "a", "ma", "w", "amp", "amps", "watt", "watts")
    word = pieces[0].casefold()
    return numbered or word in ("set", "lock", "locked") or all(part in DRIVES for part in word.split("/"))


def _taken(header: Header, words: list[str]) -> tuple[Header, int]:
    word = words[0].casefold()
    second = words[1].casefold() if len(words) > 1 else ""
    if word[:1].isdigit() and second in ("pin", "pins"):
        return replace(header, pins=int(word) if word.isdigit() else 0), 2
    if word[:1].isdigit():
        return replace(header, rating_ma=milliamps(f"{words[0]} {second}"), rating_assumed=False), 2 if second else 1
    if all(part in DRIVES for part in word.split("/")):
        return replace(header, modes=tuple(dict.fromkeys((*header.modes, *_drives(word))))), 1
    if word == "set":
        return replace(header, set_to=drive(second)), 2
    if word in ("lock", "locked"):
        return replace(header, full_speed_lock=True), 1
    if word in STOPS:
        return replace(header, stops=(*header.stops, STOPS[word])), 1
    if word in ("at", "near"):
        return replace(header, place=" ".join(words[1:])[:80]), len(words)
    raise InputError(
        f"{clip(words[0])} is not known here; type {EXAMPLE}, then: set pwm, lock, zero, stop, silent, at and the place"
    )


def _drives(word: str) -> tuple[Drive, ...]:
    return tuple(DRIVES[part] for part in word.split("/"))


def drive(word: str) -> Drive:
    """Return the drive of a word.

    Raises
    ------
    InputError
        If it is none.
    """
    if word.casefold() not in DRIVES:
        raise InputError(f"{clip(word)} is no way of driving; type pwm, voltage or fixed")
    return DRIVES[word.casefold()]


def read_setting(header: Header, text: str) -> Header:
    """Return a header with its settings as a line such as ``pwm lock`` says; what is not named is off.

    Raises
    ------
    InputError
        If a word is not known.
    """
    new = replace(header, full_speed_lock=False, stops=())
    words = text.replace(",", " ").split()
    if not words:
        raise InputError("type how it is set now: pwm, voltage, lock, and zero, stop or silent where they can stop it")
    for word in words:
        key = word.casefold()
        if key in DRIVES:
            new = replace(new, set_to=DRIVES[key])
        elif key in ("auto", "automatic"):
            new = replace(new, set_to=None)
        elif key in ("lock", "locked"):
            new = replace(new, full_speed_lock=True)
        elif key in STOPS:
            new = replace(new, stops=(*new.stops, STOPS[key]))
        else:
            raise InputError(f"{clip(word)} is no setting; settings are pwm, voltage, auto, lock, zero, stop, silent")
    return new


def header_text(header: Header) -> str:
    """Return a header in one line."""
    rating = f"{amps(header.rating_ma)}{' ASSUMED' if header.rating_assumed else ''}"
    modes = "/".join(header.modes)
    set_to = f", set to {header.set_to}" if header.set_to else ", setting not known"
    lock = ", locked at full speed" if header.full_speed_lock else ""
    stops = f", can stop a pump by {', '.join(header.stops)}" if header.stops else ""
    return f"{header.name}: {header.pins}-pin, {rating}, {modes}{set_to}{lock}{stops}"
