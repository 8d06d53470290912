"""A level of a sweep as one typed line: the duty, then what the tach showed."""

import re
from collections.abc import Sequence
from itertools import groupby, pairwise

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.record.machine.seats import FAST_PLATE, Chain
from commission.stages.fan_headers.model.sweep import FULL_PCT, Direction, SweepReading
from commission.units.number import parted
from commission.units.power_numbers import duty, rpm

EXAMPLE = "100 1497"
"""How a level is typed: duty in % and rpm."""
LEVELS = (100.0, 80.0, 60.0, 50.0, 40.0, 30.0)
"""Duties of a sweep on the way down [%]; our own choice."""
_WAYS = {"down": Direction.DOWN, "up": Direction.UP}
_LOST = ("lost", "-", "none", "error")


def read_level(text: str) -> tuple[SweepReading, ...]:
    """Return the readings of ``100 1497``, ``80 % 1254 1251 rpm up`` or ``60 lost``.

    Raises
    ------
    InputError
        If there is no duty or no speed, or one that cannot be.

    Examples
    --------
    >>> [(one.duty_pct, one.rpm, str(one.direction)) for one in read_level("80% 1254 1251 rpm up")]
    [(80.0, 1254.0, 'up'), (80.0, 1251.0, 'up')]
    >>> read_level("60 lost")[0].rpm is None
    True
    """
    words = parted(re.sub(r",(?=\s|$)", " ", text))
    ways = [_WAYS[word.casefold()] for word in words if word.casefold() in _WAYS]
    if len(ways) > 1:
        raise InputError("type up or down once, and one level a line")
    kept = [word for word in words if word.casefold() not in (*_WAYS, "%", "rpm", "duty", "at")]
    if len(kept) < 2:
        raise InputError(f"type the duty in % and what the tach shows in rpm: {EXAMPLE}; or: 60 lost")
    level = duty(kept[0])
    way = ways[0] if ways else Direction.NOT_SAID
    return tuple(
        SweepReading(duty_pct=level, rpm=None if word.casefold() in _LOST else rpm(word), direction=way)
        for word in kept[1:]
    )


def level_text(readings: Sequence[SweepReading]) -> str:
    """Return the readings of one level in a few words.

    >>> level_text(read_level("80 1254 1251"))
    '80 %: 1254, 1251 rpm'
    """
    shown = ", ".join("lost" if one.rpm is None else f"{one.rpm:g}" for one in readings)
    way = "" if readings[0].direction is Direction.NOT_SAID else f", {readings[0].direction}"
    return f"{readings[0].duty_pct:g} %: {shown} rpm{way}"


def above_plate(chain: Chain, readings: Sequence[SweepReading]) -> str:
    """Return what speaks against speeds that no nameplate of a chain allows; empty where nothing does."""
    plate = max((one.nameplate_rpm for one in chain.devices if one.nameplate_rpm), default=None)
    fastest = max((one.rpm for one in readings if one.rpm is not None), default=0.0)
    if plate is None or fastest <= FAST_PLATE * plate:
        return ""
    return f"{fastest:g} rpm is {fastest / plate:.1f} times the {plate:g} rpm of the nameplate"


def visits(readings: Sequence[SweepReading]) -> list[list[SweepReading]]:
    """Return the readings parted into visits of a level, in order."""
    return [list(group) for _, group in groupby(readings, key=lambda one: (one.duty_pct, one.direction))]


def next_duty(readings: Sequence[SweepReading], floor_pct: float) -> float | None:
    """Return the duty to be set next: down from 100 %, and up again; None where the sweep is complete.

    Examples
    --------
    >>> next_duty((), 30.0), next_duty(read_level("100 1500"), 30.0)
    (100.0, 80.0)
    >>> done = [one for d in (100, 80, 60, 50, 40, 30, 40, 50, 60, 80) for one in read_level(f"{d} 900")]
    >>> next_duty(done, 30.0), next_duty([*done, *read_level("100 1500")], 30.0)
    (100.0, None)
    """
    duties = [group[0].duty_pct for group in visits(readings)]
    levels = sorted({level for level in LEVELS if level >= floor_pct} | {floor_pct, FULL_PCT})
    if FULL_PCT not in duties:
        return FULL_PCT
    duties = duties[duties.index(FULL_PCT) :]  # what was read before full speed is no way down
    last, lowest = duties[-1], min(duties)
    turned = lowest <= levels[0] or any(later > earlier for earlier, later in pairwise(duties))
    if not turned:
        return max((level for level in levels if level < last), default=levels[0])
    return min((level for level in levels if level > last), default=None)


def way_of(readings: Sequence[SweepReading], duty_pct: float) -> Direction:
    """Return on which way a level lies that comes after these.

    >>> so_far = (*read_level("100 1500 down"), *read_level("30 460 down"))
    >>> str(way_of((), 100.0)), str(way_of(so_far, 30.0)), str(way_of(so_far, 40.0))
    ('down', 'down', 'up')
    """
    last = readings[-1] if readings else None
    if last is None or duty_pct < last.duty_pct:
        return Direction.DOWN
    return Direction.UP if duty_pct > last.duty_pct else last.direction


def level_line(text: str, asked_pct: float | None, so_far: Sequence[SweepReading]) -> tuple[SweepReading, ...]:
    """Return the readings of a line in which the duty may be left out where it is the one asked for.

    Raises
    ------
    InputError
        If it cannot be understood.

    Examples
    --------
    >>> level_text(level_line("1254 1251", 80.0, ())), level_text(level_line("60 905 up", 80.0, ()))
    ('80 %: 1254, 1251 rpm, down', '60 %: 905 rpm, up')
    """
    kept = [word for word in parted(re.sub(r",(?=\s|$)", " ", text)) if word.casefold() not in (*_WAYS, "rpm")]
    if asked_pct is not None and _speeds_alone(kept):
        text = f"{asked_pct:g} {text}"
    elif asked_pct is not None and len(kept) == 1 and kept[0].isdecimal():
        raise InputError(f"{kept[0]} alone: is it the duty or the speed? type both, such as {asked_pct:g} {kept[0]}")
    readings = read_level(text)
    if readings[0].direction is Direction.NOT_SAID:
        way = way_of(so_far, readings[0].duty_pct)
        return tuple(replace(one, direction=way) for one in readings)
    return readings


def _speeds_alone(words: Sequence[str]) -> bool:
    """Return whether all words are speeds of one level: lost, or above any duty and near each other."""
    told = [word for word in words if word.casefold() not in _LOST]
    if not words or not all(word.isdecimal() and len(word) < 7 for word in told):
        return False
    speeds = [int(word) for word in told]
    return not speeds or (min(speeds) > FULL_PCT and 2 * min(speeds) > max(speeds))
