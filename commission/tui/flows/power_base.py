"""What every rung of the first power-on knows: the build, its power state, the verdict so far."""

from typing import TYPE_CHECKING

from commission.domain.errors import InputError
from commission.domain.first_power import FirstPowerVerdict, Rung, RungState
from commission.logbook.book import Logbook
from commission.procedure.model import When
from commission.tui.flows.ask import command
from commission.tui.flows.fill_deed import Deed
from commission.tui.flows.fill_stage import CoolantStage
from commission.tui.widgets.bench_card import Figure
from commission.units.show import say

if TYPE_CHECKING:
    from commission.domain.power_state import PowerState

LETTERS = dict(zip(Rung, "abcd", strict=True))
"""How the rungs are lettered on the card."""
WORDS = {"cables": Rung.CABLES, "supply": Rung.SUPPLY, "pump": Rung.PUMP, "machine": Rung.MACHINE}
"""Words that go to a rung."""
CAUTIONS = {
    Rung.CABLES: (When.BEFORE_POWER,),
    Rung.SUPPLY: (When.BEFORE_POWER,),
    Rung.PUMP: (When.BEFORE_POWER, When.BEFORE_PUMP),
    Rung.MACHINE: (When.BEFORE_POWER, When.BEFORE_PUMP, When.BEFORE_MACHINE),
}
"""Moments whose cautions must have been answered before a rung."""


class PowerBase(CoolantStage):
    """The build and its first power-on as last read."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.chosen: Rung | None = None
        """The rung that was asked for; None for the one whose turn it is."""
        super().__init__(book, build_id, book.power)

    def forget(self) -> None:
        """Forget what was computed from the record as it was."""
        self._verdict: FirstPowerVerdict | None = None

    @property
    def power(self) -> "PowerState":
        """Supply, cables and looks as the record tells them."""
        return self.state.power

    @property
    def verdict(self) -> FirstPowerVerdict:
        """The ladder as it stands."""
        if self._verdict is None:
            self._verdict = self.book.power.verdict(self.state)
        return self._verdict

    def standing(self, rung: Rung) -> RungState:
        """Return where a rung stands."""
        return next(one for one in self.verdict.rungs if one.rung is rung)

    @property
    def at(self) -> Rung | None:
        """The rung that is climbed now; None where all have passed, or the next one is locked."""
        if self.power.pump_since is not None:
            return Rung.PUMP
        if self.power.supply is None:
            return Rung.CABLES
        return self.chosen or self.verdict.next_rung

    @property
    def barred(self) -> RungState | None:
        """The rung whose lock bars the way; None where none does."""
        if self.at is not None:
            return None
        return next((one for one in self.verdict.rungs if one.outcome != "pass" and one.locked is not None), None)

    @property
    def moment(self) -> When | None:
        """The first moment whose cautions are unanswered before the rung at hand; None where all are answered."""
        rung = self.at or Rung.CABLES
        return next((when for when in CAUTIONS[rung] if self.work.missing_cautions(self.state, when)), None)

    def go_to(self, text: str) -> Deed | None:
        """Return what a line does that names a rung; None where it names none.

        Raises
        ------
        InputError
            If the rung is locked, or nothing can be skipped: the message says what it waits for.
        """
        word, rest = command(text, ("skip", *WORDS))
        if not word or (rest and word != "skip"):
            return None
        if word == "skip":
            raise InputError("no rung is skipped: each one keeps a mistake below from costing what is above it")
        rung = WORDS[word]
        state = self.standing(rung)
        if state.locked is not None:
            raise InputError(f'"{rung}" is locked. {say(state.locked)}')

        def do() -> str:
            self.chosen = rung
            return ""

        return Deed(told=f"go to {LETTERS[rung]}, {rung}: what was measured there is measured again", do=do)

    def rung_figures(self) -> tuple[Figure, ...]:
        """Return a row for each rung: its outcome, or what it waits for."""
        rows = []
        for state in self.verdict.rungs:
            here = state.rung is self.at
            word = str(state.outcome).upper() if state.outcome else "now" if here else "locked" if state.locked else "-"
            waits = say(state.locked) if state.locked is not None and not here else ""
            if state.rung is Rung.CABLES and not state.outcome and not here:
                word = "open"
            rows.append(Figure(label=f"{LETTERS[state.rung]} {state.rung}", value=word, bounds="", remark=waits))
        return tuple(rows)
