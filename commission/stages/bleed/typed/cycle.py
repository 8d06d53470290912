"""One cycle of bleeding as a wet hand types it: minutes, what was topped up, and words in any order."""

import re

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.record.machine.noise import NOISE_WORDS, Noise
from commission.stages.bleed.model import TILTS, BleedCycle, Bubbles, GoneBy, PumpState
from commission.units.number import parted
from commission.units.parse import parse, parse_or_zero
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

_BUBBLES = {"none": Bubbles.NONE, "few": Bubbles.FEW, "many": Bubbles.MANY, "unseen": Bubbles.NOT_LOOKED}
_PUMP = {"stopped": PumpState.STOPPED, "bursts": PumpState.BURSTS, "running": PumpState.RUNNING}
_FILLERS = ("bubbles", "pump", "run", "ran", "and", "·", "topped", "up", "top-up")
_SIZED = ("fall", "rise", "breath", "±")
"""Words before an amount that is no top-up."""
_NUMBER = re.compile(r"[+\-−]?[0-9]")
_RPM = re.compile(r"[0-9]{1,5}")
_COMMA = re.compile(r",(?=\s|$)")
"""A comma between words, as in a list; the one within 1,5 mL stays."""
_AT = re.compile(r"(?:^|\s)at\s+(\S+(?:\s*(?:°\s*|deg\s*)?[CFK])?)(?=\s|$)")


class CycleLine(Frozen):
    """A cycle as it was typed; None where nothing was said."""

    run: Measured | None = None
    """How long the pump ran."""
    top_up: Measured | None = None
    """What was topped up to the mark."""
    fall: Measured | None = None
    """How far the level fell, where nothing was topped up; negative where it rose."""
    breath: Measured | None = None
    """How far the level fell when the pump started, as a length or a volume."""
    error: Measured | None = None
    """Half-width of what was topped up or read."""
    at: Measured | None = None
    """Temperature of the coolant."""
    tilt: str = ""
    """How the case stood."""
    bubbles: Bubbles | None = None
    """Bubbles seen."""
    noise: Noise | None = None
    """Noise heard."""
    pump: PumpState | None = None
    """What the pump did."""
    rpm: float | None = None
    """Speed of the pump [rpm]."""
    duty: float | None = None
    """Speed it was set to [1]."""
    note: str = ""
    """What followed the #."""


def read_cycle(text: str, *, degrees: str | None = None) -> CycleLine:
    """Return the cycle of a line such as ``15 min 12 mL upright few gurgling 2400 rpm``.

    Parameters
    ----------
    text
        Numbers with their units and words in any order; ``fall``, ``rise`` or ``breath`` stand before the number they
        belong to, ``±`` before the error of the reading, ``tilt`` before a position without a word of its own.
    degrees
        Unit of a bare temperature after ``at``.

    Raises
    ------
    InputError
        If a word or a number cannot be understood, or one thing is typed twice.

    Examples
    --------
    >>> line = read_cycle("15 min 12 mL left few quiet 60 %")
    >>> line.tilt, str(line.bubbles), line.duty
    ('left', 'few', 0.6)
    """
    body, _, note = text.partition("#")
    body = _COMMA.sub(" ", body)
    found = _AT.search(body)
    at = None
    if found is not None:
        at = parse(found[1].strip(), Quantity.TEMPERATURE, usual=degrees)
        body = f"{body[: found.start()]} {body[found.end() :]}"
    reader = _Reader(body.replace("+/-", "±").replace("+-", "±").replace("±", " ± "))
    return CycleLine(**reader.read(), at=at, note=note.strip())  # type: ignore[arg-type]


class _Reader:
    """Goes through the words of a line once."""

    def __init__(self, body: str) -> None:
        self.words = parted(body)
        self.at = 0
        self.said: dict[str, object] = {}

    def read(self) -> dict[str, object]:
        while self.at < len(self.words):
            word = self.words[self.at]
            self.at += 1
            key = word.casefold()
            if _NUMBER.match(word):
                self._number(word, "")
            elif key in _SIZED:
                self._number(self._next(key), key)
            elif key == "nothing":
                self._put("top_up", Measured(quantity=Quantity.VOLUME, si=0.0, typed=word))
            elif key == "tilt":
                self._put("tilt", self._next("tilt").casefold())
            elif key not in _FILLERS:
                self._word(word, key)
        return self.said

    def _word(self, word: str, key: str) -> None:
        for what, known in (("bubbles", _BUBBLES), ("noise", NOISE_WORDS), ("pump", _PUMP)):
            if key in known:
                self._put(what, known[key])
                return
        if key not in TILTS:
            raise InputError(
                f"{clip(word)} is not known here; words are {', '.join(TILTS)}, none, few, many, quiet, gurgling, "
                "rattling, stopped, bursts, fall, breath. Any other position: tilt and its name"
            )
        self._put("tilt", key)

    def _next(self, before: str) -> str:
        if self.at >= len(self.words):
            raise InputError(worded(f"type a value after {before}, such as {before} 3 mm"))
        self.at += 1
        return self.words[self.at - 1]

    def _number(self, number: str, role: str) -> None:
        if not _NUMBER.match(number):
            raise InputError(worded(f"{clip(number)} after {role} is no number; type such as {role} 3 mm"))
        unit = self._unit()
        typed = f"{number} {unit}"
        if role in _SIZED:
            self._sized(typed, unit, role)
        elif unit in BY_SPELLING[Quantity.DURATION]:
            self._duration(typed)
        elif unit in ("rpm", "1/min"):
            self._put("rpm", _speed(number))
        elif unit == "%":
            self._put("duty", _share(typed))
        elif unit in BY_SPELLING[Quantity.LENGTH]:
            raise InputError(f"{typed}: did the level fall (fall {typed}), or did it breathe (breath {typed})?")
        elif not unit:
            raise InputError(f"{number} of what? type it with its unit: {number} min, {number} mL or {number} rpm")
        else:
            self._put("top_up", parse_or_zero(typed, Quantity.VOLUME))

    def _unit(self) -> str:
        """Take the words that make a unit: one, or as many as a spelling has."""
        for length in (3, 2, 1):
            words = self.words[self.at : self.at + length]
            unit = " ".join(words)
            known = unit in ("rpm", "1/min", "%") or any(
                unit in BY_SPELLING[quantity] for quantity in (Quantity.VOLUME, Quantity.LENGTH, Quantity.DURATION)
            )
            if len(words) == length and (known or unit in ("fl oz", "oz", "gal")):
                self.at += length
                return unit
        known_words = (*TILTS, *_BUBBLES, *NOISE_WORDS, *_PUMP, *_FILLERS, *_SIZED, "tilt", "nothing")
        word = self.words[self.at] if self.at < len(self.words) else ""
        if word and word.casefold() not in known_words and not _NUMBER.match(word):
            self.at += 1
            return word  # not a unit of anything here: parsing it says what is
        return ""

    def _sized(self, typed: str, unit: str, role: str) -> None:
        is_volume = unit not in BY_SPELLING[Quantity.LENGTH]
        quantity = Quantity.VOLUME if is_volume else Quantity.LENGTH
        if role == "fall" and is_volume:
            self._put("top_up", parse_or_zero(typed, quantity))
            return
        value = parse_or_zero(typed, quantity)
        if role == "rise":
            self._put("fall", Measured(quantity=value.quantity, si=-value.si, typed=f"rise {typed}"))
        else:
            self._put({"±": "error"}.get(role, role), value)

    def _duration(self, typed: str) -> None:
        value = parse(typed, Quantity.DURATION)
        before = self.said.pop("run", None)
        if isinstance(before, Measured):
            value = Measured(quantity=value.quantity, si=before.si + value.si, typed=f"{before.typed} {typed}")
        self._put("run", value)

    def _put(self, what: str, value: object) -> None:
        if what in self.said:
            raise InputError(f"{what.replace('_', '-')} was typed twice; type it once")
        self.said[what] = value


def _speed(number: str) -> float:
    if not _RPM.fullmatch(number):
        raise InputError(f"{clip(number)} rpm is no speed of a pump; type whole turns a minute, such as 2400 rpm")
    return float(number)


def _share(typed: str) -> float:
    return parse(typed, Quantity.RATIO, low=0.0, high=1.0).si


def defaults_told(cycle: BleedCycle) -> str:
    """Return a cycle in words, what nobody saw or heard among them."""
    from commission.bench.figures import duration

    bubbles = {Bubbles.NONE: "no bubbles", Bubbles.NOT_LOOKED: "bubbles not looked for"}
    heard = {Noise.NOT_LISTENED: "not listened"}
    speed = f" at {cycle.pump_rpm:.0f} rpm" if cycle.pump_rpm is not None else ""
    speed += f" at {100 * cycle.pump_duty:g} %" if cycle.pump_duty is not None else ""
    return " · ".join(
        (
            f"{duration(cycle.run_s)} {cycle.pump}{speed}",
            cycle.tilt,
            bubbles.get(cycle.bubbles, f"{cycle.bubbles} bubbles"),
            heard.get(cycle.noise, str(cycle.noise)),
        )
    )


GONE = {GoneBy.TOP_UP: "topped up", GoneBy.LEVEL_DROP: "by the level"}
"""How it was seen, in words."""
