"""The supply alone: its voltages at each plug with no board on it, and how long PWR_OK takes."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, one_of
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.deed import Deed
from commission.bench.doubt import Doubt
from commission.bench.named_file import named_file
from commission.record.machine.rungs import Rung
from commission.stages.first_power.card.aborting import ASKED, abort_deed, why_aborted
from commission.stages.first_power.card.from_file import rails_file_deed, very_readings
from commission.stages.first_power.model.rails import LeftOut, RailReading, joined
from commission.stages.first_power.rows.ladder import rung_figures
from commission.stages.first_power.rows.rails import multimeter_row, power_good_row, rail_row
from commission.stages.first_power.typed.rails import EXAMPLE, SHORT, PlugLine, plug_called, power_good_ms, read_plug
from commission.stages.first_power.work.cable_doubts import same_voltages
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand

_WORDS = {
    "done": "done: every plug was read",
    "drop": "drop PLUG # WHY: a plug that is not there to be read",
    "file": "file NAME: reads a table of voltages",
    "abort": "abort: the voltages as a whole count no longer",
}


class SupplyRung:
    """Takes the voltages of the supply alone, a plug a line; each line is stored."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand, self._doubt = hand, Doubt()

    def back(self) -> bool:
        """Take back a question about what was typed."""
        return self._doubt.back()

    # --- the question ----------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        rails, doubted = self.hand.power.rails, self._doubt.question()
        if doubted is not None:
            return doubted
        if self.hand.asking == ASKED and rails is not None:
            return why_aborted(self.hand, "", empty=not rails.rows)
        passed, fails = self.hand.passed(Rung.SUPPLY), self.hand.standing(Rung.SUPPLY).outcome is Outcome.FAIL
        mend = not fails and bool(self.hand.unmended(Rung.SUPPLY))
        slip = "slip: it was mistyped · " if mend else ""
        return asked_once(
            self.deed,
            key="rails",
            ask=self._ask(passed=passed),
            hint=f"{slip}{self._first}{EXAMPLE} · loaded · PWR_OK 180 ms · drop PLUG # why not{self._ends}",
            proposal="done" if passed else None,
            placeholder="" if passed else "repaired new crimp" if mend else SHORT,
        )

    @property
    def _first(self) -> str:
        return "file NAME · " if self.hand.power.multimeter else "meter NAME: which one · "

    @property
    def _ends(self) -> str:
        ends = f"{self.hand.end_hint}: all four steps" if self.hand.end_hint else ""
        return f"{'' if self.hand.power.rails is None else ' · abort'}{ends}"

    def _ask(self, *, passed: bool) -> str:
        rails = self.hand.power.rails
        if rails is None or not rails.rows:
            return self.hand.step_of("supply_alone").do
        if self.hand.standing(Rung.SUPPLY).outcome is Outcome.FAIL:
            return (
                "Out of its window. Off, mains out, find why. Then type that plug again, and: repaired and what; "
                "or slip, if it was mistyped."
            )
        if self.hand.unmended(Rung.SUPPLY):
            return self.hand.unmended(Rung.SUPPLY)
        unread = self._unread()
        if unread:
            return f"Still to be read: the plug of {', '.join(unread)}. Or: drop {unread[0]} # and why it is left out."
        if passed:
            return "Type the next plug, a hand-made cable above all; Enter once every plug was read."
        return "Type the next plug, or what is still missing, every digit as the meter shows it."

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood, or names a rung that is locked.
        """
        there = self.hand.aside(text)
        if there is not None:
            return there
        word, rest = command(text, _WORDS)
        if word == "done" and not rest:
            return self._done()
        if word == "drop":
            return self._drop(rest)
        if word == "file":
            return self._file(rest)
        if word == "abort":
            if self.hand.power.rails is None:
                raise InputError("no voltage was read yet; there is nothing to abort")
            return abort_deed(self.hand, "", text)
        delay = power_good_ms(text)
        if delay is not None:
            return self._store(self.hand.power.readings, delay, f"PWR_OK after {delay:g} ms")
        plug = self._again(read_plug(text, self.hand.power.plugs_wanted))
        return self._store(joined(self.hand.power.readings, plug.readings), None, plug.told)

    def _file(self, text: str) -> Deed:
        def about(deed: Deed, why: str) -> Deed:
            return self._doubt.about(replace(deed, do=lambda: self._stay(deed.done())), why)

        return rails_file_deed(self.hand, named_file(text, "a table of voltages: plug, rail, voltage [V]"), about)

    def _stay(self, done: str) -> str:
        self.hand.chosen = Rung.SUPPLY
        return done

    def _unread(self) -> list[str]:
        """Return the plugs that must be read and were neither read nor left out."""
        power = self.hand.power
        told = {each.plug.casefold() for each in self.hand.power.readings} | {
            one.plug.casefold() for one in power.left_out
        }
        return [plug for plug in power.plugs_wanted if plug.casefold() not in told]

    def _again(self, plug: PlugLine) -> PlugLine:
        """Return a line whose readings stand for failed ones under load, where those alone are measured again."""
        rails = self.hand.power.rails
        rows = [row for row in (rails.rows if rails else ()) if row.outcome is Outcome.FAIL]
        failed = {row.reading.place for row in rows}

        def replaces(one: RailReading) -> bool:
            name, rail, _ = one.place
            return (name, rail, True) in failed and (name, rail, False) not in failed

        if plug.load_said or not all(map(replaces, plug.readings)):
            return plug
        return replace(plug, readings=tuple(replace(one, loaded=True) for one in plug.readings))

    def _store(
        self,
        readings: Sequence[RailReading],
        delay_ms: float | None,
        told: str,
        left_out: Sequence[LeftOut] | None = None,
    ) -> Deed:
        hand, good = self.hand, self.hand.power.power_good
        delay = delay_ms if delay_ms is not None else good.delay_ms if good else None

        def do() -> str:
            hand.work.read_rails(hand.build_id, readings, power_good_ms=delay, left_out=left_out)
            return self._stay(told)

        other = "" if hand.power.same_rails else same_voltages(hand.power, readings)
        return self._doubt.about(Deed(told=told, do=do), very_readings("This supply", other))

    def _done(self) -> Deed:
        hand = self.hand
        if not hand.passed(Rung.SUPPLY):
            raise InputError(f"the voltages have not passed; type a plug, such as {EXAMPLE}, or end")

        def do() -> None:
            hand.chosen, hand.beyond_supply = None, True

        return Deed(told="every plug was read: go on to the pump", do=do)

    def _drop(self, text: str) -> Deed:
        plugs = {plug: plug for plug in self.hand.power.plugs_wanted}
        if not plugs:
            raise InputError("no plug was read yet, and no cable made by hand; there is nothing to leave out")
        name, _, reason = (piece.strip() for piece in text.partition("#"))
        plug = one_of(plug_called(name, plugs), plugs, "plug")
        if not reason:
            raise InputError(
                f"type why {plug} is left out, after a #: drop {plug} # and the reason; the verdict says it"
            )
        kept = [each for each in self.hand.power.readings if each.plug.casefold() != plug.casefold()]
        others = [one for one in self.hand.power.left_out if one.plug.casefold() != plug.casefold()]
        told = f"{plug} is left out, and the verdict says so: {reason}"
        return self._store(kept, None, told, [*others, LeftOut(plug=plug, reason=reason)])

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with every reading beside its window."""
        rails, good = self.hand.power.rails, self.hand.power.power_good
        outcome = self.hand.standing(Rung.SUPPLY).outcome
        said = [say(phrase) for phrase in (*rails.reasons, *rails.findings)] if rails else []
        if good is not None:
            at = 0 if good.outcome is Outcome.FAIL else len(said)
            said.insert(at, say(good.reason))
        verdict = (
            VerdictLine(word=str(outcome), text=said[0], final=outcome is Outcome.FAIL) if outcome and said else None
        )
        sources = dict.fromkeys(row.window.source for row in (rails.rows if rails else ()))
        said += [f"Windows: {source}." for source in sources]
        return replace(
            card,
            step="2 supply",
            verdict=verdict,
            figures=(*self._rows(), *rung_figures(self.hand)),
            reasons=tuple(said[1:]),
        )

    def _rows(self) -> tuple[Figure, ...]:
        """Return every reading with its window, every digit as it was typed."""
        rails, good = self.hand.power.rails, self.hand.power.power_good
        rows = [rail_row(row) for row in (rails.rows if rails else ())]
        named = (multimeter_row(self.hand.power),) if self.hand.power.multimeter else ()
        return (*rows, *((power_good_row(good),) if good is not None else ()), *named)
