"""The whole machine: the pump's sign first, then each header's speed and the processor's temperature."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, one_word
from commission.bench.card import CardContent, VerdictLine
from commission.bench.deed import Deed
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.machine_start import MachineStart, PumpSign
from commission.stages.first_power.rows.ladder import rung_figures
from commission.stages.first_power.typed.machine import LOOK_EXAMPLE, SIGN_EXAMPLE, read_machine, read_sign, seen_text
from commission.units.show import say
from commission.units.worded import worded

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand
    from commission.stages.first_power.model.machine_start import MachineVerdict


_DONE = "repaired pump plug moved to its own header"


class MachineRung:
    """Takes what was seen at the first start; each line is stored."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand

    @property
    def seen(self) -> MachineStart | None:
        """What was seen in this attempt; None before, or where it is started once more."""
        started = self.hand.power.started
        if started is None or started.attempt != self.hand.run.attempt or self.hand.chosen is not None:
            return None
        return started.start

    @property
    def verdict(self) -> "MachineVerdict | None":
        """The verdict on what was seen in this attempt."""
        return self.hand.power.machine if self.seen is not None else None

    @property
    def off_due(self) -> bool:
        """Whether power must go off and nobody said yet that it is."""
        seen, verdict = self.seen, self.verdict
        return seen is not None and verdict is not None and verdict.power_off and not seen.powered_off

    @property
    def _turns(self) -> bool:
        """Whether a start that stays on waits for the rest of the looks; one that asked for power off is over."""
        seen, verdict = self.seen, self.verdict
        over = verdict is not None and verdict.power_off
        return seen is not None and seen.after_s is not None and not seen.powered_off and not over

    @property
    def _looked(self) -> bool:
        """Whether each header's speed and the processor's temperature were looked at."""
        seen = self.seen
        return seen is not None and seen.headers_right is True and seen.processor_k is not None

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now: the switch comes before everything else."""
        if self.off_due:
            return self._off()
        passed = self.verdict is not None and self.verdict.outcome is Outcome.PASS
        if passed and self.hand.unmended(Rung.MACHINE):
            return self._asks(
                "mended", self.hand.unmended(Rung.MACHINE), f"repaired and what{self.hand.end_hint}", _DONE
            )
        doubt = self.hand.state.pump_doubt
        if doubt is not None and (not self._turns or self._looked):
            return self._pump(say(doubt))
        return self._look() if self._turns else self._sign()

    def _off(self) -> Question:
        word = one_word("off", "out", "yes")
        verdict, seen = self.verdict, self.seen
        assert verdict is not None  # off_due looked
        assert seen is not None

        why = say(verdict.reasons[0]).removesuffix(" Power off at once.")

        def do() -> str:
            self._store(replace(seen, powered_off=True))
            return "powered off"

        def read(text: str) -> Deed:
            word(text)
            return Deed(told="power is off and the mains plug is out", do=do)

        return asked_once(
            read,
            key="power off",
            ask=f"POWER OFF AT ONCE, mains plug out. {why} Once both are done, type: off",
            hint="Then look at the pump's plug, its header's setting, and the air in it.",
            placeholder="off",
        )

    def _pump(self, doubt: str) -> Question:
        """Ask for the pump on the sheet of the fan headers, without which no start passes."""

        def read(text: str) -> Deed:
            if command(text, ("go", "headers"))[0]:
                return Deed(told="go to the fan headers", go=FAN_HEADERS)
            return self.deed(text)

        return asked_once(
            read,
            key="machine pump",
            ask=f"{doubt} Enter goes there.",
            hint=f"a start without it is typed such as {SIGN_EXAMPLE}: it is no pass{self.hand.end_hint}",
            proposal="go",
        )

    def _sign(self) -> Question:
        within = self.hand.stage.limit("pump_within_s")
        ask = f"Plug everything in, mains out; then start. Does the pump turn within {within:g} s? Type how you know."
        if self.verdict is not None:
            ask = "It was powered off. Find why; then start once more. Does the pump turn? Type what you see, or end."
        return self._asks(
            "sign",
            ask,
            f"no: it does not turn · speed, seen or heard and the seconds · no tach{self.hand.end_hint}",
            SIGN_EXAMPLE,
        )

    def _look(self) -> Question:
        seats = self.hand.state.plugged.seats()
        recorded = [header.name for header in self.hand.state.plugged.headers if header.header_id in seats.values()]
        which = f" ({', '.join(recorded)})" if recorded else ""
        ask = f"In the firmware: does each header show the speed of its own chain{which}? How warm is the processor?"
        if self._looked and self.verdict is not None and self.verdict.outcome is not Outcome.PASS:
            ask = say(self.verdict.reasons[0])
        return self._asks(
            "looks",
            ask,
            f"right or wrong, then the processor's temperature · off{self.hand.end_hint}",
            worded(LOOK_EXAMPLE),
        )

    def _asks(self, key: str, ask: str, hint: str, example: str) -> Question:
        return asked_once(self.deed, key=f"machine {key}", ask=ask, hint=hint, placeholder=example)

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood.
        """
        there = self.hand.aside(text)
        if there is not None:
            return there
        before = self.seen if self._turns else None
        start = read_machine(text, before) if before is not None else read_sign(text)
        if start.sign is PumpSign.NOT_LOOKED and not start.powered_off:
            raise InputError(f"the pump first: does it turn? type such as {SIGN_EXAMPLE}, or no")
        told = seen_text(start)

        def do() -> str:
            self._store(start)
            return told

        return Deed(told=told, do=do, calls="pump" if start.sign is PumpSign.NONE else "")

    def _store(self, start: MachineStart) -> None:
        self.hand.work.start_machine(self.hand.build_id, start)
        self.hand.chosen = None

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with what was seen and what it proves."""
        seen, verdict = self.seen, self.verdict
        rows = rung_figures(self.hand)
        if seen is None or verdict is None:
            return replace(card, step="4 machine", figures=rows, reasons=(self.hand.step_of("whole_machine").do,))
        reasons = tuple(say(phrase) for phrase in verdict.reasons)
        return replace(
            card,
            step="4 machine",
            verdict=VerdictLine(word=str(verdict.outcome), text=reasons[0], final=verdict.outcome is Outcome.FAIL),
            figures=rows,
            reasons=(f"Seen: {seen_text(seen)}.", *reasons[1:]),
        )
