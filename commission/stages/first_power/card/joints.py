"""Before the pump runs alone: which joints are to be looked at, and the start of its clock."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.bench.ask import Question, asked_once, command
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.record.machine.joints import joints_of
from commission.record.machine.rungs import Rung
from commission.stages.first_power.rows.joints import joints_row
from commission.stages.first_power.rows.ladder import rung_figures
from commission.stages.first_power.typed.watch import edited
from commission.stages.first_power.work.joint_rules import refuse_joints
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand

EXAMPLE = "radiator in, radiator out, block in, block out, drain"
"""How joints are typed."""


class JointsForm:
    """Proposes the joints of the loop, takes changes, and begins the leak watch."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand
        self.joints: tuple[str, ...] | None = None
        self.settled = False

    def back(self) -> bool:
        """Go back from the start to the list; False where the list is asked for."""
        had, self.settled = self.settled, False
        return had

    @property
    def list(self) -> tuple[str, ...]:
        """The joints as they stand: changed, else those of the last watch, else proposed from the parts."""
        if self.joints is not None:
            return self.joints
        return self.hand.power.joints or joints_of(self.hand.state.parts)

    def question(self) -> Question:
        """Return what is asked now."""
        return self._start() if self.settled and self.list else self._which()

    def _which(self) -> Question:
        known = bool(self.list)
        ask = "Type every joint that can be wet, with commas between: nobody looks at one that is not listed."
        if known:
            ask = "Which joints can be wet? Add what is missing; Enter once none is missing."
        return asked_once(
            self._list_deed,
            key="joints",
            ask=self.hand.unmended(Rung.PUMP) or ask,
            hint=f"+ quick coupling · - drain · or the whole list with commas · note{self.hand.end_hint}",
            proposal="complete" if known else None,
            placeholder="" if known else EXAMPLE,
        )

    def _list_deed(self, text: str) -> Deed:
        there = self.hand.aside(text)
        if there is not None:
            return there
        word, rest = command(text, ("complete", "whole"))
        joints = self.list if word and not rest else edited(text, self.list)
        if not joints:
            raise InputError("no joint is left; type every joint that can be wet, with commas between")
        if not text.lstrip().startswith(("+", "-")) or not self._lacking(self.list):
            refuse_joints(self.hand.state, joints)  # a list that lacks something is completed line by line

        def do() -> None:
            self.joints, self.settled = joints, bool(word)

        number = "1 joint" if len(joints) == 1 else f"{len(joints)} joints"
        return Deed(told=f"{number} to watch: {', '.join(joints)}", do=do)

    def _lacking(self, joints: tuple[str, ...]) -> bool:
        try:
            refuse_joints(self.hand.state, joints)
        except InputError:
            return True
        return False

    def _start(self) -> Question:
        rule = self.hand.work.wet_rule(self.hand.state)
        minutes = rule.watch_s / 60
        return asked_once(
            self._start_deed,
            key="pump starts",
            ask="Start the pump alone, a hand at the switch. Enter as it starts: its clock runs from then.",
            hint=f"{rule.looks} looks at each joint within {minutes:g} min, the last one at the end. "
            "Something drips: off at once.",
            proposal="started",
        )

    def _start_deed(self, text: str) -> Deed:
        there = self.hand.aside(text)
        if there is not None:
            return there
        word, rest = command(text, ("started", "start", "yes"))
        if not word or rest:
            raise InputError("press Enter as the pump starts, or Esc to go back to the list of joints")

        def do() -> str:
            self.hand.work.start_pump(self.hand.build_id, self.list)
            self.hand.chosen, self.joints, self.settled = None, None, False
            return "leak watch started"

        return Deed(told=f"the leak watch begins now; watched: {', '.join(self.list)}", do=do)

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the joints, and what an earlier watch left open."""
        wet = self.hand.power.wet
        reasons = tuple(say(phrase) for phrase in wet.reasons) if wet else ()
        return replace(
            card,
            step="3 pump",
            verdict=VerdictLine(word=str(wet.outcome), text=reasons[0], final=True) if wet else None,
            figures=(*rung_figures(self.hand), *joints_row(self.list)),
            reasons=(self.hand.step_of("pump_only").do, *reasons[1:]),
        )
