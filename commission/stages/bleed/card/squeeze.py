"""Squeezing for those who want it: a little pressure against the level, asked one by one; information, no verdict."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from commission.base.errors import InputError, in_words
from commission.base.frozen import Frozen, replace
from commission.base.quantity import K95, Quantity
from commission.bench.ask import Question, asked_once
from commission.bench.card import Figure, typed_rows
from commission.bench.deed import Deed
from commission.bench.figures import pressure
from commission.record.machine.loop import rating_text
from commission.record.machine.ratings import refuse_above_rating, refuse_unrated
from commission.stages.bleed.typed.squeeze import Squeeze, check_of, read_air, read_fall, read_gauge, read_give
from commission.stages.bleed.work import Bleeds
from commission.units.parse import parse
from commission.units.show import say, show
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.fill.at_hand import CoolantAtHand


class Asked(Frozen):
    """One thing that is asked for a squeeze."""

    key: str
    """Its name."""
    ask: str
    """The instruction."""
    hint: str
    """An example."""
    proposal: str | None
    """What Enter takes."""
    read: Callable[[str], tuple[str, Squeeze]]
    """Understands it: says how, and what is then known of the squeeze."""


class SqueezeForm:
    """Asks for pressures, level, waiting time, tubes and air above; ``done`` once the result is in the record."""

    def __init__(self, hand: "CoolantAtHand") -> None:
        self.hand = hand
        self.answered: list[tuple[str, Squeeze]] = []
        self.done = False
        refuse_unrated(hand.state.parts, can_leave_out=False)

    @property
    def typed(self) -> Squeeze:
        """The squeeze as far as it was typed."""
        return self.answered[-1][1] if self.answered else Squeeze()

    def back(self) -> bool:
        """Go back one answer; False where the form is at its start."""
        if not self.answered:
            return False
        self.answered.pop()
        return True

    def figures(self) -> tuple[Figure, ...]:
        """Return what was answered so far."""
        answered = zip(self._all(), self.answered, strict=False)
        return typed_rows((asked.key, text) for asked, (text, _) in answered)

    def question(self) -> Question:
        """Return what is asked now."""
        every = self._all()
        asked = every[len(self.answered)]
        last = asked is every[-1]

        def deed(text: str) -> Deed:
            told, known = asked.read(text)
            return Deed(told=told, do=lambda: self._store(known) if last else self._take(text.strip(), known))

        return asked_once(deed, key=f"squeeze {asked.key}", ask=asked.ask, hint=asked.hint, proposal=asked.proposal)

    def _take(self, text: str, known: Squeeze) -> None:
        self.answered.append((text, known))

    def _store(self, known: Squeeze) -> str:
        result = self.hand.book.work(Bleeds).squeeze(self.hand.build_id, check_of(self.hand, known))
        self.done = True
        return f"for information: {say(result.reasons[0])}" if result.reasons else "squeezed"

    # --- what is asked ---------------------------------------------------------------------------------------

    def _all(self) -> tuple[Asked, ...]:
        return (*self._pressures(), *self._level(), *self._give_and_air())

    def _pressures(self) -> tuple[Asked, ...]:
        below = rating_text(self.hand.state.parts)
        return (
            Asked(
                key="before",
                ask="Pump off, hand pump on the filler, all else closed. What does the gauge show before you squeeze?",
                hint=worded("0 mbar where it is open to the room · Esc leaves the check"),
                proposal=worded("0 mbar"),
                read=self._before,
            ),
            Asked(
                key="after",
                ask=f"Squeeze gently, always below {below}; wait two minutes. What does the gauge show?",
                hint=worded("such as: 300 mbar; a few hundred are enough"),
                proposal=None,
                read=self._after,
            ),
        )

    def _level(self) -> tuple[Asked, ...]:
        return (
            Asked(
                key="fall",
                ask="By how much did the level fall?",
                hint=worded("such as: 2 mm (with a reservoir described) · 6 mL ± 0.5 mL · 0 mL"),
                proposal=None,
                read=self._fall,
            ),
            Asked(
                key="waited",
                ask="How long had the pressure stood when you read the level?",
                hint="two minutes at least: before, the air is still warm from being squeezed",
                proposal="2 min",
                read=self._waited,
            ),
        )

    def _give_and_air(self) -> tuple[Asked, ...]:
        return (
            Asked(
                key="tubes",
                ask="Soft tubes widen too. Type their inner diameter, wall and length; none for hard tubes.",
                hint=worded("such as: 10 mm 3 mm 1.5 m"),
                proposal="none",
                read=self._give,
            ),
            Asked(
                key="air above",
                ask="How much air is meant to be there, above the level and in the hose?",
                hint=worded("such as: 40 mL ± 5 mL · 0 mL where it is full to the neck"),
                proposal=self._air_known(),
                read=self._air,
            ),
        )

    # --- how it is understood --------------------------------------------------------------------------------

    def _before(self, text: str) -> tuple[str, Squeeze]:
        gauge = read_gauge(text)
        return f"gauge {pressure(gauge.si)}", replace(self.typed, before=gauge)

    def _after(self, text: str) -> tuple[str, Squeeze]:
        gauge, before = read_gauge(text), self.typed.before
        refuse_above_rating(self.hand.state.parts, gauge.si, "the squeeze", can_leave_out=False)
        if before is not None and gauge.si == before.si:
            raise InputError("the gauge shows what it showed before; squeeze a little, then type what it shows")
        return f"gauge {pressure(gauge.si)}", replace(self.typed, after=gauge)

    def _fall(self, text: str) -> tuple[str, Squeeze]:
        fall = read_fall(self.hand, text)
        return f"fall {show(fall[0], Quantity.VOLUME, digits=3)}", replace(self.typed, fall=fall)

    def _waited(self, text: str) -> tuple[str, Squeeze]:
        waited_s = parse(text, Quantity.DURATION).si
        return show(waited_s, Quantity.DURATION), replace(self.typed, waited_s=waited_s)

    def _give(self, text: str) -> tuple[str, Squeeze]:
        give = read_give(text)
        told = worded(f"tubes give {show(give * 1e4, Quantity.VOLUME, digits=2)} for 100 mbar")
        return told, replace(self.typed, give_m3_pa=give)

    def _air(self, text: str) -> tuple[str, Squeeze]:
        air = read_air(text)
        return f"{show(air[0], Quantity.VOLUME, digits=3)} of air above", replace(self.typed, air=air)

    def _air_known(self) -> str:
        from commission.stages.fill.judge.level import headspace_above

        coolant = self.hand.coolant
        if coolant.reservoir is None or not coolant.levels:
            return worded("0 mL")
        with in_words():
            air = headspace_above(coolant.reservoir, coolant.levels[-1].read.level.si)
        if air.value <= 0 or air.u <= 0:
            return worded("0 mL")
        value = show(air.value, Quantity.VOLUME, own="mL", digits=3)
        return f"{value} ± {show(K95 * air.u, Quantity.VOLUME, own='mL', digits=2)}"
