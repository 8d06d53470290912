"""Hand-made cables, unplugged at both ends: every wire, every pair that must be apart, what is still missing."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.text import counted
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, command, listed, one_of
from commission.bench.card import CardContent, Figure, VerdictLine
from commission.bench.deed import Deed
from commission.bench.doubt import Doubt
from commission.bench.named_file import named_file
from commission.bench.words_here import refuse_renamed
from commission.procedure.pins import Net
from commission.record.machine.rungs import Rung
from commission.stages.first_power.card.aborting import ASKED, abort_deed, why_aborted
from commission.stages.first_power.card.cable_form import CableForm, plug_text
from commission.stages.first_power.card.from_file import cable_file_deed
from commission.stages.first_power.model.cables import (
    CABLE_CAUTION,
    Cable,
    CableTest,
)
from commission.stages.first_power.rows.cables import cable_row, measured_rows, ohm_text
from commission.stages.first_power.rows.ladder import rung_figures, shown_so_far
from commission.stages.first_power.typed.cable import is_leads, read_meter, read_shorts, read_wires
from commission.stages.first_power.typed.cable_left import pairs_left, wires_left
from commission.stages.first_power.typed.rails import plug_called
from commission.units.show import say

if TYPE_CHECKING:
    from commission.stages.first_power.at_hand import PowerAtHand
    from commission.stages.first_power.entries import CableTested

_UNREAD = {"wire_unread", "unread_against_com", "unread_rails"}
"""What is missing and counted in one line."""
AT_ONCE = 8
"""Wires or pairs that are asked for in one line."""

_WORDS = {
    "cable": "cable NAME: goes to another cable",
    "again": "again: this cable is measured again from its first wire",
    "meter": "meter 0.2: what it shows with its probes together; meter NAME: which one it is",
    "file": "file NAME: reads a table of readings",
    "abort": "abort: the test of this cable counts no longer",
    "done": "done: this cable is measured",
}


class CablesRung:
    """Takes the readings of each cable made by hand, several a line; each line is stored."""

    def __init__(self, hand: "PowerAtHand") -> None:
        self.hand = hand
        self.wanted = ""
        self.form: CableForm | None = None
        self.doubt = Doubt()

    def back(self) -> bool:
        """Leave the form of a cable, question by question."""
        if self.doubt.back():
            return True
        if self.form is None:
            had, self.wanted = bool(self.wanted), ""
            return had
        if self.form.back():
            return True
        known, self.form = self.form.known is not None, None
        return known

    # --- which cable -----------------------------------------------------------------------------------------

    @property
    def names(self) -> tuple[str, ...]:
        """The cables made by hand."""
        supply = self.hand.power.supply
        return supply.hand_made if supply else ()

    @property
    def name(self) -> str:
        """The cable that is worked on: as asked for, else the first that has not passed, else the last."""
        if self.wanted in self.names:
            return self.wanted
        return next((name for name in self.names if not self._passed(name)), self.names[-1] if self.names else "")

    def _passed(self, name: str) -> bool:
        tested = self.hand.power.cable(name)
        return tested is not None and tested.verdict.outcome is Outcome.PASS

    @property
    def tested(self) -> "CableTested | None":
        """What was measured on the cable that is worked on."""
        return self.hand.power.cable(self.name)

    @property
    def _known(self) -> "CableTested":
        """The test of the cable that is worked on.

        Raises
        ------
        InputError
            If it was not described yet.
        """
        if self.tested is None:
            raise InputError(f"cable {self.name} was not described yet; type its plug, wire and length first")
        return self.tested

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        self._settle()
        doubted = self.doubt.question()
        if doubted is not None:
            return doubted
        if self.form is not None:
            return self.form.question()
        if not self.names:
            return self._none_made()
        if self.hand.asking == ASKED:
            test = self._known.test
            return why_aborted(self.hand, self.name, empty=not (test.continuity or test.shorts))
        return self._line(self._known)

    def _settle(self) -> None:
        """Open the form for a cable that is not known yet, and leave it once it is."""
        if self.form is not None and (self.form.done or self.form.name not in self.names):
            self.form = None
        if self.form is None and self.names and self.tested is None:
            self.form = CableForm(self.hand, self.name)

    def _none_made(self) -> Question:
        return asked_once(
            self._aside,
            key="no cables",
            ask="No cable was made by hand: nothing to measure here. Enter goes on to the supply alone.",
            hint="describe names the supply and its hand-made cables again",
            proposal="done",
        )

    def _line(self, tested: "CableTested") -> Question:
        wires, pairs = wires_left(tested.test), pairs_left(tested.test)
        proposal = None
        if not wires and not pairs:
            passed = self._passed(self.name) and not (self.hand.unmended(Rung.CABLES) and not self._left())
            proposal = "again" if tested.verdict.outcome is Outcome.FAIL else "done" if passed else None
        return asked_once(
            self.deed,
            key=f"readings {self.name} {'wires' if wires else 'pairs'}",
            ask=self._line_ask(tested, wires, pairs),
            hint=self._hint(wires, pairs),
            proposal=proposal,
            placeholder="" if proposal else "0.3 0.3 0.2" if wires else self._example(pairs),
        )

    def _example(self, pairs: Sequence[tuple[str, str]]) -> str:
        """Return what may be typed where every wire was read: a sense pin is to read joined to COM."""
        if pairs:
            joined = self._sense(pairs)
            return " ".join("0.3" if pair in joined else "OL" for pair in pairs[:AT_ONCE])
        return "repaired new crimp" if self.hand.unmended(Rung.CABLES) and not self._left() else "1>4 0.3"

    def _line_ask(
        self, tested: "CableTested", wires: Sequence[tuple[str, str]], pairs: Sequence[tuple[str, str]]
    ) -> str:
        if wires:
            asked = " ".join(f"{load}>{supply}" for load, supply in wires[:AT_ONCE])
            return f'"{self.name}": from the load end to the supply end. What does the meter show for {asked}?'
        if pairs:
            asked = " ".join(f"{first}/{second}" for first, second in pairs[:AT_ONCE])
            return f'"{self.name}": pins of the load plug against each other. What does the meter show for {asked}?'
        if tested.verdict.outcome is Outcome.FAIL:
            return "Wiring fault. Keep both ends unplugged, repair it, then Enter: measure this cable again."
        if tested.verdict.missing:
            return f"{say(tested.verdict.missing[0])} Type the pins and the reading."
        if self.hand.unmended(Rung.CABLES) and not self._left():
            return self.hand.unmended(Rung.CABLES)
        return f'"{self.name}" has the right map. Pull at each crimp too; Enter goes on.'

    def _hint(self, wires: Sequence[tuple[str, str]], pairs: Sequence[tuple[str, str]]) -> str:
        more = "again · abort · cable NAME"
        if wires:
            return f"several on one line · OL where open · any two: 1>4 0.3 · file NAME · meter 0.2 · {more}"
        if pairs:
            joined = ", ".join(f"{first}/{second}" for first, second in self._sense(pairs))
            usual = f"{joined} must read joined, sense to COM; the others OL" if joined else "all OL: every one open"
            return f"several on one line · {usual} · any two: 1/5 OL · file NAME · {more}"
        return f"any two pins: 1>4 0.3 or 1/5 OL · meter 0.2 · {more}"

    def _sense(self, pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
        """Return those of the pairs that are asked now whose first pin is a sense pin."""
        nets = {pin.name: pin.net for pin in self._known.test.cable.connector.pins}
        return [pair for pair in pairs[:AT_ONCE] if nets.get(pair[0]) is Net.SENSE]

    # --- what a line does ------------------------------------------------------------------------------------

    def deed(self, text: str) -> Deed:
        """Return what a line does.

        Raises
        ------
        CommissionError
            If it cannot be understood.
        """
        refuse_renamed(text, {"anew": "again"})
        word, rest = command(text, _WORDS)
        tested = self._known
        match word:
            case "cable":
                return self._choose(rest)
            case "meter" if is_leads(rest):
                meter = read_meter(rest)
                told = f"leads {meter.lead_ohm:g} ohm" if meter.lead_ohm is not None else "four wires"
                return self._store(replace(tested.test, meter=meter), f"{self.name}: {told}")
            case "file":
                return self._file(rest)
            case "again" if not rest:
                return self._again(tested.test.cable)
            case "abort":
                return abort_deed(self.hand, self.name, text)
            case "done" if not rest:
                return self._done()
            case _:
                return self.hand.aside(text) or self._read(text, tested.test)

    def _file(self, text: str) -> Deed:
        path = named_file(text, "a table of readings: test, from, to, reading")

        def about(deed: Deed, why: str) -> Deed:
            def do() -> str:
                self.wanted, self.hand.chosen = self.name, Rung.CABLES
                return deed.done()

            return self.doubt.about(replace(deed, do=do), why)

        return cable_file_deed(self.hand, self.name, path, about, unplugged=False)

    def _aside(self, text: str) -> Deed:
        word, rest = command(text, ("done",))
        if word and not rest:
            return self._done()
        found = self.hand.aside(text)
        if found is None:
            raise InputError(f"type done, supply, describe or note{', or end' if self.hand.end_hint else ''}")
        return found

    def _read(self, text: str, test: CableTest) -> Deed:
        wires, pairs = wires_left(test), pairs_left(test)
        if (wires and "/" not in text) or ">" in text or "→" in text:
            new = read_wires(text, test.cable, wires)
            told = in_short([(f"{one.load}>{one.supply}", ohm_text(one.ohm)) for one in new], "wire")
            return self._store(test.joined(wires=new), told)
        short = read_shorts(text, test.cable.connector, pairs)
        told = in_short([(f"{one.first}/{one.second}", ohm_text(one.ohm)) for one in short], "pair")
        return self._store(test.joined(pairs=short), told)

    def _store(self, test: CableTest, told: str) -> Deed:
        def do() -> str:
            self.wanted, self.hand.chosen = self.name, Rung.CABLES
            verdict = self.hand.work.test_cable(self.hand.build_id, test)
            return f"{told} · {test.cable.name} {shown_so_far(verdict.outcome)}"

        return Deed(told=told, do=do)

    def _choose(self, text: str) -> Deed:
        if not text.strip():
            raise InputError(f"type the cable's name: {listed(self.names)}")
        name = one_of(plug_called(text, self.names), {each: each for each in self.names}, "cable made by hand")

        def do() -> None:
            self.wanted, self.form = name, None

        return Deed(told=f"go to cable {name}", do=do)

    def _again(self, cable: Cable) -> Deed:
        def do() -> None:
            self.form = CableForm(self.hand, cable.name, cable)

        return Deed(told=f"measure {cable.name} again: what was read on it before no longer counts", do=do)

    def _done(self) -> Deed:
        if self.names and not self._passed(self.name):
            raise InputError(f"{self.name} has not passed; measure what is missing, or end")
        left = self._left()
        if not left and self.hand.unmended(Rung.CABLES):
            raise InputError(self.hand.unmended(Rung.CABLES))

        def do() -> None:
            self.wanted = ""
            self.hand.chosen = None

        return Deed(told=f"go on to cable {left[0]}" if left else "go on to the supply alone", do=do)

    def _left(self) -> list[str]:
        """Return the cables that have not passed."""
        return [name for name in self.names if not self._passed(name)]

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the cable that is worked on, then all cables and rungs."""
        self._settle()
        rows = (*self._others(), *rung_figures(self.hand))
        if self.form is not None:
            figures, reasons = self.form.figures(), self.form.reasons()
            return replace(card, step="1 cables", figures=(*figures, *rows), reasons=reasons)
        tested = self.tested
        if tested is None:
            return replace(card, step="1 cables", figures=rows)
        verdict = tested.verdict
        said = [say(one) for one in (*verdict.faults, *verdict.missing, *verdict.notes) if one.code not in _UNREAD]
        first = "not every wire and every pair was measured yet."
        if verdict.outcome is Outcome.PASS:
            first = "every wire leads where it should, and nothing else connects."
        elif verdict.faults or not _left_text(tested.test):
            first, *said = said
        return replace(
            card,
            step="1 cables",
            verdict=VerdictLine(word=str(verdict.outcome), text=first, final=verdict.outcome is Outcome.FAIL),
            missing=_left_text(tested.test),
            figures=(*measured_rows(tested), *rows),
            reasons=(*said, *self.reasons),
        )

    @property
    def reasons(self) -> tuple[str, ...]:
        """What stands beside every cable."""
        tested = self.tested
        if tested is None:
            return ()
        return (*plug_text(tested.test.cable.connector), CABLE_CAUTION)

    def _others(self) -> tuple[Figure, ...]:
        others = [name for name in self.names if name != self.name]
        return tuple(cable_row(name, self.hand.power.cable(name)) for name in others)


def _left_text(test: CableTest) -> str:
    """Return what is still to be measured, counted."""
    counts = ((len(wires_left(test)), "wire"), (len(pairs_left(test)), "pair"))
    return " and ".join(counted(count, what) for count, what in counts if count)


def in_short(read: Sequence[tuple[str, str]], what: str) -> str:
    """Return what was read where, or only how much of it where many readings are one and the same.

    >>> in_short([("1/3", "open"), ("2/3", "0.3 ohm")], "pair")
    '1/3 open, 2/3 0.3 ohm'
    >>> in_short([(f"{n}/3", "open") for n in range(36)], "pair")
    '36 pairs, each open'
    """
    if len(read) > AT_ONCE and len({shown for _, shown in read}) == 1:
        return f"{counted(len(read), what)}, each {read[0][1]}"
    return ", ".join(f"{where} {shown}" for where, shown in read)
