"""A hand-made cable as typed lines: what it is, the meter, and what the meter showed."""

import re

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.bench.ask import listed
from commission.procedure.connectors import as_connector, connectors
from commission.procedure.pins import Connector, Net, Wire
from commission.stages.first_power.judge.cable_shorts import must_be_apart
from commission.stages.first_power.model.cables import Cable, ContinuityReading, Meter, ShortReading
from commission.units.number import parted
from commission.units.parse import parse
from commission.units.power_numbers import OPEN_WORDS, ohms
from commission.units.worded import worded

EXAMPLE = "24-pin 18 AWG 0.6 m"
"""How a cable is typed."""
_SAME = {"cpu-4+4-pin": "cpu-8-pin", "4+4-pin": "cpu-8-pin", "4+4": "cpu-8-pin", "6+2-pin": "pcie-6+2-pin"}
"""Other words for a plug: two halves side by side are the whole one."""
_OFTEN = (("cpu", "cpu-8-pin"), ("eps", "cpu-8-pin"), ("pci", "pcie-6+2-pin"), ("gpu", "pcie-6+2-pin"))
_GAUGE = re.compile(r"(?:(?P<a>[0-9]{1,2})\s*(?:awg|ga)|(?:awg|ga)\s*(?P<b>[0-9]{1,2}))", re.IGNORECASE)
_LENGTH = re.compile(r"[0-9.,]+\s*(?:m|cm|mm|in|ft)?$", re.IGNORECASE)
_PINS = re.compile(r"(?:[A-Za-z0-9+]{1,8}>)?[0-9]{1,3}|[A-Za-z0-9+]{1,8}>[A-Za-z0-9+]{1,8}")
_ONE_TO_ONE = ("one to one", "one-to-one", "1:1", "straight", "same")
_STRAY = re.compile(r"(\S+)\s*(?:>|→|-)\s*(\S+)\s+(\S.*)")
_PAIR = re.compile(r"(\S+)\s*/\s*(\S+)\s+(\S.*)")


def example_of(name: str) -> str:
    """Return how a cable of this name is typed, with the plug that such a cable has most often.

    >>> example_of("CPU"), example_of("main")
    ('cpu-8-pin 18 AWG 0.6 m', '24-pin 18 AWG 0.6 m')
    """
    plug = next((plug for part, plug in _OFTEN if part in name.casefold()), "24-pin")
    return EXAMPLE.replace("24-pin", plug)


class CableLine(Frozen):
    """What a cable is, before its map is known."""

    plug: Connector
    """The plug at its load end."""
    gauge: int
    """American wire gauge."""
    length_m: float
    """Length of a wire [m]."""

    @property
    def told(self) -> str:
        """The line as understood."""
        return f"{self.plug.title}, {len(self.plug.pins)} pins, {self.gauge} AWG, {self.length_m:g} m"


def read_cable(text: str) -> CableLine:
    """Return what a line such as ``24-pin 18 AWG 0.6 m`` says of a cable.

    Raises
    ------
    InputError
        If the plug is not known, or gauge or length is missing or makes no sense.

    Examples
    --------
    >>> read_cable("cpu-8-pin 16 AWG 650 mm").told
    'processor 8-pin, 8 pins, 16 AWG, 0.65 m'
    >>> read_cable("4+4 16 AWG 650 mm").plug.id
    'cpu-8-pin'
    """
    known = {each.id: each for each in connectors()}
    gauge = _GAUGE.search(text)
    if gauge is None:
        raise InputError(
            f"type plug, wire size and length: {worded(EXAMPLE)}; the size stands on the wire, such as 18 AWG"
        )
    words = f"{text[: gauge.start()]} {text[gauge.end() :]}".split()
    named = next((n for n in (3, 2, 1) if _plug_word(words[:n]) in known and len(words) > n), 0)
    if not named:
        missing = not words or _LENGTH.match(words[0]) is not None
        what = "the plug is missing" if missing else f"{clip(words[0])} is no plug that is known"
        raise InputError(f"{what}; type such as {worded(EXAMPLE)}; plugs are {listed(list(known))}")
    plug = known[_plug_word(words[:named])]
    awg = int(gauge["a"] or gauge["b"])
    if not 10 <= awg <= 30:
        raise InputError(f"{awg} AWG is no wire of a power cable; 14 to 28 are typical")
    length = parse(" ".join(words[named:]), Quantity.LENGTH).si
    if not 0.01 <= length <= 5:
        raise InputError(worded(f"a wire of {length:g} m is outside 0.01 to 5 m; type such as 0.6 m"))
    return CableLine(plug=plug, gauge=awg, length_m=length)


def _plug_word(words: list[str]) -> str:
    """Return the id that words name a plug by, or may: in parts, and by another word for the whole of it."""
    joined = "-".join(words).casefold()
    return _SAME.get(joined) or as_connector(joined)


def is_one_to_one(text: str) -> bool:
    """Return whether a line says that both ends have the same pins in the same places."""
    return " ".join(text.casefold().split()) in _ONE_TO_ONE


def pins_left(plug: Connector, wires: tuple[Wire, ...]) -> tuple[str, ...]:
    """Return the pins of the load end that carry something and have no wire yet, in order."""
    mapped = {wire.load for wire in wires}
    return tuple(pin.name for pin in plug.pins if pin.net is not Net.UNUSED and pin.name not in mapped)


def read_pins(text: str, plug: Connector, so_far: tuple[Wire, ...]) -> tuple[Wire, ...] | None:
    """Return a pin map with what a line adds to it, such as ``1>4 2>3``; None where the line names no pins.

    A pin that is typed again takes the place of what it led to. One bare number answers the pin that is asked for.

    Raises
    ------
    InputError
        If a pin is not one of the plug that carries something, or a bare number does not say which pin it belongs to.

    Examples
    --------
    >>> plug = read_cable("cpu-4-pin 18 AWG 0.6 m").plug
    >>> [(one.load, one.supply) for one in read_pins("1>3 2>4", plug, ())]
    [('1', '3'), ('2', '4')]
    >>> [(one.load, one.supply) for one in read_pins("1", plug, (Wire(load="1", supply="3"),))]
    [('1', '3'), ('2', '1')]
    """
    words = text.replace(",", " ").replace("→", ">").split()
    if not words or not all(_PINS.fullmatch(word) for word in words):
        return None
    left = pins_left(plug, so_far)
    asked = bool(so_far and left)
    if not all(">" in word for word in words) and not (asked and len(words) == 1):
        # two numbers may be one wire or two, and a wrong guess puts +12 V where COM belongs
        form = f"{words[0]}>{words[1]}" if len(words) == 2 and ">" not in "".join(words) else "1>4 2>3"
        raise InputError(f"{clip(text)} does not say which pin leads where; type load>supply, such as {form}")
    wires = so_far
    for word in words:
        load, arrow, supply = word.partition(">")
        name = _pin(plug, load) if arrow else left[0]
        if plug.net(name) is Net.UNUSED:
            raise InputError(f"pin {name} of the {plug.title} carries nothing; leave it out")
        wires = (*(one for one in wires if one.load != name), Wire(load=name, supply=supply if arrow else word))
    return wires


def is_leads(text: str) -> bool:
    """Return whether a line tells the leads of a meter, and not its name.

    >>> is_leads("0,3 ohm"), is_leads("four-wire"), is_leads("bench meter")
    (True, True, False)
    """
    return re.match(r"\s*(?:[0-9.,+\-−]|four[\s-]?wire|ol\b)", text, re.IGNORECASE) is not None


def read_meter(text: str) -> Meter:
    """Return the meter of ``0.2`` (its leads held together), ``0.2 ± 0.1``, or ``four-wire``.

    Raises
    ------
    InputError
        If it is no resistance of leads.

    Examples
    --------
    >>> read_meter("0,3 ohm").lead_ohm, read_meter("four-wire").four_wire
    (0.3, True)
    """
    words = text.casefold().replace("-", " ").split()
    if words[:2] in (["four", "wire"], ["4", "wire"]):
        return Meter(lead_ohm=None, step_ohm=0.001, accuracy_ohm=0.001, four_wire=True)
    value, _, error = text.replace("+/-", "±").replace("+-", "±").partition("±")
    lead = ohms(value)
    accuracy = ohms(error) if error.strip() else 0.1
    if lead is None or accuracy is None:
        raise InputError("the leads read open: look at the plugs of the meter and at its fuse")
    if lead > 5:
        raise InputError(f"leads of {lead:g} ohm are worn out or the range is wrong; 0.1 to 0.5 ohm are typical")
    return Meter(lead_ohm=lead, step_ohm=_step(value), accuracy_ohm=accuracy)


def _step(text: str) -> float:
    """Return one step of the display: that of the digits typed, and a tenth where none was."""
    found = re.search(r"[.,]([0-9]+)", text)
    return float(f"1e-{min(4, len(found[1]))}") if found else 0.1


def pairs_to_read(plug: Connector) -> tuple[tuple[str, str], ...]:
    """Return the pairs of pins to be measured: each live or sense pin against COM, each pair of rails once."""
    com = next((pin.name for pin in plug.pins if pin.net is Net.COM), None)
    live = [pin for pin in plug.pins if pin.net not in (Net.COM, Net.UNUSED, Net.SIDEBAND)]
    pairs = [(pin.name, com) for pin in live] if com is not None else []
    first = {pin.net: pin.name for pin in reversed(live) if pin.net is not Net.SENSE}
    nets = list(dict.fromkeys(pin.net for pin in live if pin.net is not Net.SENSE))
    pairs += [(first[a], first[b]) for n, a in enumerate(nets) for b in nets[n + 1 :] if must_be_apart(a, b)]
    return tuple(pairs)


def read_wires(text: str, cable: Cable, todo: tuple[tuple[str, str], ...]) -> tuple[ContinuityReading, ...]:
    """Return the readings of a line: one or more for the next wires in order, or ``1>4 0.3`` for any two pins.

    Raises
    ------
    InputError
        If a pin is not known, or more was typed than is left to be measured.

    Examples
    --------
    >>> from commission.procedure.connectors import one_to_one
    >>> plug = read_cable("cpu-4-pin 18 AWG 0.6 m").plug
    >>> cable = Cable(name="a", connector=plug, wires=one_to_one(plug), gauge=18, length_m=0.6)
    >>> [(one.load, one.supply, one.ohm) for one in read_wires("0.3 OL", cable, (("1", "1"), ("2", "2")))]
    [('1', '1', 0.3), ('2', '2', None)]
    """
    stray = _STRAY.fullmatch(text.strip())
    if stray is not None:
        load = _pin(cable.connector, stray[1])
        supply = _supply_pin(cable, stray[2])
        return (ContinuityReading(load=load, supply=supply, ohm=ohms(stray[3])),)
    return tuple(
        ContinuityReading(load=load, supply=supply, ohm=ohm)
        for (load, supply), ohm in zip(todo, _in_order(text, len(todo)), strict=False)
    )


def read_shorts(text: str, plug: Connector, todo: tuple[tuple[str, str], ...]) -> tuple[ShortReading, ...]:
    """Return the readings of a line: one or more for the next pairs in order, or ``5/7 OL`` for any two pins.

    Raises
    ------
    InputError
        If a pin is not known, or more was typed than is left to be measured.
    """
    pair = _PAIR.fullmatch(text.strip())
    if pair is not None:
        first, second = _pin(plug, pair[1]), _pin(plug, pair[2])
        if first == second:
            raise InputError(f"pin {first} against itself proves nothing; type two pins")
        return (ShortReading(first=first, second=second, ohm=ohms(pair[3])),)
    return tuple(
        ShortReading(first=first, second=second, ohm=ohm)
        for (first, second), ohm in zip(todo, _in_order(text, len(todo)), strict=False)
    )


def _in_order(text: str, most: int) -> list[float | None]:
    """Return the readings of a line; a unit belongs to the number before it, ``all`` stands for all that are left."""
    values: list[str] = []
    first, _, rest = text.strip().partition(" ")
    if first.casefold() == "all" and rest:
        return [ohms(rest)] * most
    words = [piece for word in text.split() for piece in ([word] if is_open(word) else parted(word))]
    for word in words:
        if values and not word[:1].isdigit() and not is_open(word):
            values[-1] = f"{values[-1]} {word}"
        else:
            values.append(word)
    if not values:
        raise InputError("type what the meter shows, such as 0.3, or OL for an open circuit")
    if len(values) > most:
        raise InputError(f"{len(values)} readings are typed, and {most} left to be measured; type no more than that")
    return [ohms(value) for value in values]


def is_open(word: str) -> bool:
    """Return whether a word is what a meter shows where nothing connects."""
    return word.casefold() in OPEN_WORDS


def _pin(plug: Connector, text: str) -> str:
    known = {pin.name.casefold(): pin.name for pin in plug.pins}
    if text.casefold() not in known:
        raise InputError(f"{clip(text)} is no pin of the {plug.title}; pins are {listed(list(known.values()))}")
    return known[text.casefold()]


def _supply_pin(cable: Cable, text: str) -> str:
    known = {wire.supply.casefold(): wire.supply for wire in cable.wires}
    return known.get(text.casefold(), text[:8])
