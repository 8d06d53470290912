"""A chain of fans, or a pump, as one typed line."""

import re
from itertools import groupby

from commission.base.errors import InputError, refuse_longer
from commission.base.frozen import Frozen, field, replace
from commission.base.text import clip, counted
from commission.record.machine.seats import Chain, Device, Drive, Feed, Reach
from commission.stages.fan_headers.typed.header import DRIVES
from commission.units.number import parted
from commission.units.power_numbers import amps, duty, milliamps, number, rpm

EXAMPLE = "front 3 fans 4-wire 0.2 A start 0.3 A 1500 rpm 24 dB"
"""How a chain of fans is typed."""
PUMP_EXAMPLE = "pump 4-wire 1.5 A start 2 A 4800 rpm full"
"""How a pump is typed."""
FED_PUMP_EXAMPLE = "pump 2-wire 1.5 A supply full"
"""How a pump is typed that the supply feeds and that has no lead on any header."""
MOST_FANS = 24
LONGEST = 40
_FEEDS = {"hub": Feed.HUB, "supply": Feed.SUPPLY}
_REACH = re.compile(r"\breach\s+(.+)$", re.IGNORECASE)
_ONE_REACH = re.compile(r"(.+?)\s+([0-9]+)\s*cm", re.IGNORECASE)


class _Group(Frozen):
    """Equal devices, one behind the other."""

    count: int = 1
    wires: int = 4
    steady_ma: int | None = None
    start_ma: int | None = None
    rpm: float | None = None
    level_db: float | None = None


class _Said(Frozen):
    """What a line says, word by word."""

    before: tuple[_Group, ...] = ()
    group: _Group = _Group()
    pump: bool = False
    drive: Drive | None = None
    feed: Feed = Feed.HEADER
    full: bool = False
    zone: str = ""
    reports: int | None = 1
    lowest_pct: float | None = None
    reach: tuple[Reach, ...] = field(default=())


def read_chain(text: str) -> Chain:
    """Return the chain, without an id, of a line such as ``front 3 fans 4-wire 0.2 A start 0.3 A 1500 rpm 24 dB``.

    Parameters
    ----------
    text
        The name first; then how many fans (or ``pump``), wires, the current of ONE device from its label, ``start`` and
        its start current, speed and sound from the label; ``+`` before devices of another kind on the same plug;
        ``hub`` or ``supply`` where those feed it, ``full`` for a pump at full speed, ``zone`` and its name, ``reports``
        and the number of the device whose tach is connected or ``none``, ``reach`` and pairs of header and cm of cable.

    Raises
    ------
    InputError
        If a word is not known, or the current is missing or a power.

    Examples
    --------
    >>> chain = read_chain("front 3 fans 4-wire 0.2 A 1500 rpm reach CPU 30 cm, SYS 1 45 cm")
    >>> chain.name, chain.steady_ma, len(chain.devices), [(one.header, one.cable_cm) for one in chain.reach]
    ('front', 600, 3, [('CPU', 30), ('SYS 1', 45)])
    """
    said = _Said()
    reach = _REACH.search(text)
    if reach is not None:
        said = replace(said, reach=_reaches(reach[1]))
        text = text[: reach.start()]
    name, words = _named(text)
    said = replace(said, pump="pump" in name.casefold().split())
    at = 0
    while at < len(words):
        said, used = _taken(said, words[at:])
        at += used
    return _chain(name, said)


def _chain(name: str, said: _Said) -> Chain:
    groups = (*said.before, said.group)
    wires = min(group.wires for group in groups)
    what = "pump" if said.pump else "fan"
    alone = sum(group.count for group in groups) == 1
    devices: list[Device] = []
    for group in groups:
        if group.steady_ma is None:
            such = f"1.5 A: {PUMP_EXAMPLE}" if said.pump else f"0.2 A: {EXAMPLE}"
            raise InputError(f"type the current of one {what} from its label, such as {such}")
        devices += [
            Device(
                name=name if alone else f"{what} {len(devices) + n}",
                wires=group.wires,
                steady_ma=group.steady_ma,
                start_ma=group.start_ma,
                nameplate_rpm=group.rpm,
                level_db=group.level_db,
            )
            for n in range(1, group.count + 1)
        ]
    return Chain(
        chain_id="",
        name=name,
        devices=tuple(devices),
        drive=said.drive or (Drive.PWM if wires == 4 else Drive.VOLTAGE),
        pump=said.pump,
        feed=said.feed,
        reports=said.reports if wires > 2 else None,
        zone=said.zone,
        reach=said.reach,
        control_wanted=not said.full,
        lowest_duty_pct=said.lowest_pct,
    )


def _named(text: str) -> tuple[str, list[str]]:
    """Part the name from what follows it: the first number, or a word that says what it is, ends it."""
    words = re.sub(r"(?i)(?<=[0-9])[ -]?(wire|pin)(?=\b)", " wire", text).split()
    end = next((n for n, word in enumerate(words) if n and (word[:1].isdigit() or _ends_name(word))), len(words))
    name = " ".join(words[:end])
    if not name or name[:1].isdigit():
        raise InputError(f"type the chain's name first: {EXAMPLE}")
    refuse_longer(name, LONGEST, "the name has")
    return name, parted(" ".join(words[end:]))


def _ends_name(word: str) -> bool:
    return word.casefold() in ("pump", "fans", "fan", "hub", "supply", "full", "zone", "reports", "start", *DRIVES)


def _taken(said: _Said, words: list[str]) -> tuple[_Said, int]:
    word, rest = words[0].casefold(), words[1] if len(words) > 1 else ""
    if word[:1].isdigit():
        return _numbered(said, words)
    if word in ("start", "least", "zone", "reports"):
        return _with_value(said, word, words[1:])
    if word == "+":
        return replace(said, before=(*said.before, said.group), group=_Group()), 1
    if word in ("pump", "fan", "fans", "each"):
        return replace(said, pump=said.pump if word == "each" else word == "pump"), 1
    if word == "full":
        return replace(said, full=True), 2 if rest.casefold() == "speed" else 1
    if word in DRIVES:
        return replace(said, drive=DRIVES[word]), 1
    if word in _FEEDS:
        return replace(said, feed=_FEEDS[word]), 1
    raise InputError(f"{clip(words[0])} is not known here; type such as {EXAMPLE}, or {PUMP_EXAMPLE}")


def _with_value(said: _Said, word: str, rest: list[str]) -> tuple[_Said, int]:
    value = rest[0] if rest else ""
    if not value:
        raise InputError(f"type a value after {word}, such as start 0.3 A, least 30 %, zone front, reports 1")
    match word:
        case "start":
            return _grouped(said, start_ma=milliamps(" ".join(rest[:2]))), 3
        case "least":
            return replace(said, lowest_pct=duty(value)), 3 if rest[1:2] == ["%"] else 2
        case "zone":
            return replace(said, zone=value[:LONGEST]), 2
        case _:
            return replace(said, reports=None if value.casefold() == "none" else _whole(value, "device")), 2


def _grouped(said: _Said, **changes: float | None) -> _Said:
    return replace(said, group=replace(said.group, **changes))  # type: ignore[arg-type]


def _numbered(said: _Said, words: list[str]) -> tuple[_Said, int]:
    value, unit = words[0], words[1].casefold() if len(words) > 1 else ""
    if unit in ("fan", "fans"):
        return replace(_grouped(said, count=_count(value)), pump=False), 2
    if unit in ("wire", "wires"):
        return _grouped(said, wires=_whole(value, "number of wires")), 2
    if unit == "rpm":
        return _grouped(said, rpm=rpm(value)), 2
    if unit in ("db", "dba", "db(a)"):
        return _grouped(said, level_db=number(value, "sound level")), 2
    if said.group.steady_ma is not None:
        raise InputError(f"{value} {unit} is a second current; write start before the one at start")
    return _grouped(said, steady_ma=milliamps(f"{value} {unit}".strip())), 2 if unit else 1


def _whole(text: str, what: str) -> int:
    if not text.isdecimal() or len(text) > 3:
        raise InputError(f"{clip(text)} is no {what}; type a whole number")
    return int(text)


def _count(text: str) -> int:
    count = _whole(text, "number of fans")
    if not 1 <= count <= MOST_FANS:
        raise InputError(f"{count} fans on one plug are outside 1 to {MOST_FANS}")
    return count


def _reaches(text: str) -> tuple[Reach, ...]:
    found = []
    for piece in text.split(","):
        one = _ONE_REACH.fullmatch(piece.strip())
        if one is None:
            raise InputError(f"{clip(piece.strip())}: type header and cable, such as reach CPU 30 cm, SYS1 45 cm")
        found.append(Reach(header=one[1], cable_cm=int(one[2][:6])))
    return tuple(found)


def chain_text(chain: Chain) -> str:
    """Return a chain in one line.

    >>> chain_text(read_chain("front 2 fans 4-wire 0.2 A start 0.3 A 1500 rpm + 1 fan 3-wire 0.1 A voltage"))
    'front: 2 fans 4-wire 0.2 A each, start 0.3 A, 1500 rpm + 1 fan 3-wire 0.1 A; voltage; tach of device 1'
    """
    parts = [" + ".join(_group_text(chain, list(group)) for _, group in groupby(chain.devices, key=_kind))]
    parts.append(f"{chain.drive}")
    if chain.feed is not Feed.HEADER:
        parts.append(f"fed {chain.feed}")
    if not chain.control_wanted:
        parts.append("at full speed")
    if chain.lowest_duty_pct is not None:
        parts.append(f"never below {chain.lowest_duty_pct:g} %")
    if len(chain.devices) > 1:
        parts.append(f"tach of device {chain.reports}" if chain.reports else "no tach connected")
    if chain.zone:
        parts.append(f"zone {chain.zone}")
    if chain.reach:
        parts.append("reaches " + ", ".join(f"{one.header} {one.cable_cm} cm" for one in chain.reach))
    return f"{chain.name}: {'; '.join(parts)}"


def _kind(device: Device) -> tuple[object, ...]:
    return device.wires, device.steady_ma, device.start_ma, device.nameplate_rpm, device.level_db


def _group_text(chain: Chain, devices: list[Device]) -> str:
    first, count = devices[0], len(devices)
    what = "pump" if chain.pump and count == 1 else counted(count, "fan")
    text = f"{what} {first.wires}-wire {amps(first.steady_ma)}{' each' if count > 1 else ''}"
    text += f", start {amps(first.start_ma)}" if first.start_ma is not None else ""
    text += f", {first.nameplate_rpm:g} rpm" if first.nameplate_rpm is not None else ""
    return text + (f", {first.level_db:g} dB" if first.level_db is not None else "")
