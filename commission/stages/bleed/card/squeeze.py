"""Squeezing for those who want it: a little pressure against the level, asked one by one; information, no verdict."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import K95, Measured, Quantity
from commission.bench.ask import Question, asked_once
from commission.bench.card import Figure
from commission.bench.deed import Deed, in_words
from commission.bench.figures import pressure
from commission.bench.prompt import Prompt
from commission.physics.detection import rectangular_uncertainty
from commission.physics.gas import STANDARD_ATMOSPHERE_PA, absolute_pressure
from commission.procedure.stage_ids import FILL
from commission.record.machine.instrument import InstrumentKind
from commission.record.machine.loop import rating_text
from commission.record.machine.ratings import refuse_above_rating, refuse_unrated
from commission.stages.bleed.model import SqueezeCheck
from commission.stages.fill.lines.reservoir import EXAMPLE
from commission.units.number import readable, split_number
from commission.units.parse import parse, parse_with_uncertainty
from commission.units.show import say, show
from commission.units.tables import BY_SPELLING

if TYPE_CHECKING:
    from commission.stages.fill.lines.at_hand import CoolantAtHand

GAUGE_U_PA = 300.0
"""Standard uncertainty of a gauge that is not described [Pa]; our choice: a quarter of a dial's 20 mbar division."""
SOFT_MODULUS_PA = 10e6
"""Stiffness of soft tubes of plasticised PVC or rubber [Pa]; our choice: the middle of what makers of such tubes
state (from memory)."""
U_COMPLIANCE = 0.5
"""Relative standard uncertainty of what soft tubes give [1]; they creep, and nobody knows them better."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One thing that is asked for a squeeze."""

    key: str
    """Its name."""
    ask: str
    """The instruction."""
    hint: str
    """An example."""
    proposal: str | None
    """What Enter takes."""
    read: Callable[[str], str]
    """Understands it and says how."""


class SqueezeForm:
    """Asks for pressures, level, waiting time, tubes and air above; ``done`` once the result is in the record."""

    def __init__(self, hand: "CoolantAtHand") -> None:
        self.hand = hand
        self.answers: dict[str, str] = {}
        self.done = False
        refuse_unrated(hand.state.parts, can_leave_out=False)

    def back(self) -> bool:
        """Go back one answer; False where the form is at its start."""
        if not self.answers:
            return False
        self.answers.popitem()
        return True

    def figures(self) -> tuple[Figure, ...]:
        """Return what was answered so far."""
        return tuple(
            Figure(label=one.key, value=self.answers[one.key]) for one in self._all() if one.key in self.answers
        )

    def question(self) -> Question:
        """Return what is asked now."""
        asked = next(one for one in self._all() if one.key not in self.answers)
        last = len(self.answers) == len(self._all()) - 1

        def deed(text: str) -> Deed:
            return Deed(told=asked.read(text), do=lambda: self._take(asked.key, text.strip(), last=last))

        return asked_once(
            Prompt(key=f"squeeze {asked.key}", ask=asked.ask, hint=asked.hint, proposal=asked.proposal), deed
        )

    def _take(self, key: str, text: str, *, last: bool) -> str:
        if not last:
            self.answers[key] = text
            return ""
        said = self._store({**self.answers, key: text})
        self.done = True
        return said

    # --- what is asked ---------------------------------------------------------------------------------------

    def _all(self) -> tuple[Asked, ...]:
        return (*self._pressures(), *self._level(), *self._give_and_air())

    def _pressures(self) -> tuple[Asked, ...]:
        below = rating_text(self.hand.state.parts)
        return (
            Asked(
                key="before",
                ask="Pump off, hand pump on the filler, all else closed. What does the gauge show before you squeeze?",
                hint="0 mbar where it is open to the room · Esc leaves the check",
                proposal="0 mbar",
                read=lambda text: f"gauge {pressure(_gauge(text).si)}",
            ),
            Asked(
                key="after",
                ask=f"Squeeze gently, always below {below}; wait two minutes. What does the gauge show?",
                hint="such as: 300 mbar; a few hundred are enough",
                proposal=None,
                read=self._second,
            ),
        )

    def _level(self) -> tuple[Asked, ...]:
        return (
            Asked(
                key="fall",
                ask="By how much did the level fall?",
                hint="such as: 2 mm (with a reservoir described) · 6 mL ± 0.5 mL · 0 mL",
                proposal=None,
                read=lambda text: f"fall {show(self._fall(text)[0], Quantity.VOLUME, digits=3)}",
            ),
            Asked(
                key="waited",
                ask="How long had the pressure stood when you read the level?",
                hint="two minutes at least: before, the air is still warm from being squeezed",
                proposal="2 min",
                read=lambda text: show(parse(text, Quantity.DURATION).si, Quantity.DURATION),
            ),
        )

    def _give_and_air(self) -> tuple[Asked, ...]:
        return (
            Asked(
                key="tubes",
                ask="Soft tubes widen too. Type their inner diameter, wall and length; none for hard tubes.",
                hint="such as: 10 mm 3 mm 1.5 m",
                proposal="none",
                read=lambda text: f"tubes give {show(self._give(text) * 1e4, Quantity.VOLUME, digits=2)} for 100 mbar",
            ),
            Asked(
                key="air above",
                ask="How much air is meant to be there, above the level and in the hose?",
                hint="such as: 40 mL ± 5 mL · 0 mL where it is full to the neck",
                proposal=self._air_known(),
                read=lambda text: f"{show(self._air(text)[0], Quantity.VOLUME, digits=3)} of air above",
            ),
        )

    def _second(self, text: str) -> str:
        value = _gauge(text).si
        first = _gauge(self.answers["before"]).si
        refuse_above_rating(self.hand.state.parts, value, "the squeeze", can_leave_out=False)
        if value == first:
            raise InputError("the gauge shows what it showed before; squeeze a little, then type what it shows")
        return f"gauge {pressure(value)}"

    def _fall(self, text: str) -> tuple[float, float]:
        """Return the fall of the level and its standard uncertainty [m3]."""
        value_text = text.replace("+/-", "±").replace("+-", "±").partition("±")[0]
        unit = split_number(readable(value_text))[1]
        if unit in BY_SPELLING[Quantity.LENGTH]:
            return self._fall_of_length(text)
        value, u = _volume_or_zero(text)
        return value, rectangular_uncertainty(self.hand.stage.limit("resolution_m3")) if u is None else u

    def _fall_of_length(self, text: str) -> tuple[float, float]:
        from commission.physics.vessels import ring_area

        tank = self.hand.coolant.reservoir
        if tank is None:
            raise InputError(f"what is a mm worth? Type the fall in mL, or Esc and {EXAMPLE} first")
        value, u = parse_with_uncertainty(text, Quantity.LENGTH)
        area = ring_area(tank.bore_m, tank.insert_m)
        usual = self.hand.book.procedure(self.hand.state).stage(FILL).limit("level_u_m") * 2**0.5
        return area * value.si, area * (usual if u is None else u)

    @staticmethod
    def _give(text: str) -> float:
        """Return how much the tubes widen for each pascal [m3/Pa]."""
        from commission.physics.trapped_air import tube_compliance

        if text.strip().casefold() in ("none", "no", "hard"):
            return 0.0
        words = text.split()
        unit_of = [n for n, word in enumerate(words) if word[:1].isdigit()]
        if len(unit_of) != 3:
            raise InputError("type inner diameter, wall and length, such as 10 mm 3 mm 1.5 m; or none")
        ends = [*unit_of[1:], len(words)]
        pieces = (" ".join(words[a:b]) for a, b in zip(unit_of, ends, strict=True))
        bore, wall, length = (parse(piece, Quantity.LENGTH).si for piece in pieces)
        with in_words():
            return tube_compliance(math.pi / 4 * bore**2 * length, bore, wall, SOFT_MODULUS_PA)

    def _air_known(self) -> str:
        from commission.stages.fill.judge.level import headspace_above

        coolant = self.hand.coolant
        if coolant.reservoir is None or not coolant.levels:
            return "0 mL"
        with in_words():
            air = headspace_above(coolant.reservoir, coolant.levels[-1].read.level.si)
        if air.value <= 0 or air.u <= 0:
            return "0 mL"
        value = show(air.value, Quantity.VOLUME, unit="mL", digits=3)
        return f"{value} ± {show(K95 * air.u, Quantity.VOLUME, unit='mL', digits=2)}"

    @staticmethod
    def _air(text: str) -> tuple[float, float]:
        value, u = _volume_or_zero(text)
        return value, 0.0 if u is None else u

    # --- into the record -------------------------------------------------------------------------------------

    def _store(self, answers: dict[str, str]) -> str:
        from commission.stages.fill.judge.mixture import fold_movements

        hand = self.hand
        gauge = next((one for one in hand.shop.instruments if one.kind is InstrumentKind.GAUGE), None)
        u_gauge = rectangular_uncertainty(gauge.resolution) if gauge is not None else GAUGE_U_PA
        first, second = _gauge(answers["before"]), _gauge(answers["after"])
        fall, give, air = self._fall(answers["fall"]), self._give(answers["tubes"]), self._air(answers["air above"])
        states = fold_movements(hand.coolant.movements)
        at_k, _ = hand.temperature()
        check = SqueezeCheck(
            first_pa=absolute_pressure(first.si, STANDARD_ATMOSPHERE_PA),
            u_first_pa=u_gauge,
            second_pa=absolute_pressure(second.si, STANDARD_ATMOSPHERE_PA),
            u_second_pa=u_gauge,
            fall_m3=fall[0],
            u_fall_m3=fall[1],
            compliance_m3_pa=give,
            u_compliance_m3_pa=U_COMPLIANCE * give,
            liquid_m3=states[-1].volume_m3 if states else 0.0,
            liquid_k=at_k.value,
            headspace_m3=air[0],
            u_headspace_m3=air[1],
            waited_s=parse(answers["waited"], Quantity.DURATION).si,
            inputs=(first, second),
        )
        result = hand.book.bleed.squeeze(hand.build_id, check)
        return f"for information: {say(result.reasons[0])}" if result.reasons else "squeezed"


def _gauge(text: str) -> Measured:
    """Return a gauge pressure; a bare 0 needs no unit."""
    stripped = text.strip()
    if stripped in ("0", "0.0", "0,0"):
        return Measured(quantity=Quantity.GAUGE_PRESSURE, si=0.0, typed=stripped)
    return parse(stripped, Quantity.GAUGE_PRESSURE)


def _volume_or_zero(text: str) -> tuple[float, float | None]:
    stripped = readable(text)
    if "±" not in stripped and "+-" not in stripped and split_number(stripped)[0].value == 0:
        return 0.0, None
    value, u = parse_with_uncertainty(text, Quantity.VOLUME)
    return value.si, u
