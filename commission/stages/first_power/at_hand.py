"""What every rung of the first power-on shares: the build, its power state, the verdict so far, the way on it."""

from functools import cached_property
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.bench.ask import command, some_text
from commission.bench.at_hand import StageAtHand
from commission.bench.deed import Deed, said
from commission.bench.words_here import NOTE, refuse_renamed
from commission.procedure.model import When
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.logbook import Logbook
from commission.record.machine.proof import Proof
from commission.record.machine.rungs import Rung
from commission.stages.first_power.model.ladder import FirstPowerVerdict, RungState
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import MOMENTS, FirstPower
from commission.units.show import say

if TYPE_CHECKING:
    from commission.procedure.model import Caution
    from commission.record.build_state import StageRun

NUMBERS = dict(zip(Rung, "1234", strict=True))
"""How the rungs are numbered on the card."""
WORDS = {"cables": Rung.CABLES, "supply": Rung.SUPPLY, "pump": Rung.PUMP, "machine": Rung.MACHINE}
"""Words that go to a rung."""
_CAUTIONS = {
    Rung.CABLES: (When.BEFORE_POWER,),
    Rung.SUPPLY: (When.BEFORE_POWER,),
    Rung.PUMP: (When.BEFORE_POWER, When.BEFORE_PUMP),
    Rung.MACHINE: (When.BEFORE_POWER, When.BEFORE_MACHINE),
}
"""Moments whose cautions are asked for before a rung."""


BLEED_GOES_ON = "Warning: by this log the bleed goes on: end it before the mains plug goes in."
"""Shown while the bleed of the same build runs, whose caution keeps that plug out."""

_ASIDE = {
    "skip": "",
    **NOTE,
    "end": "end: the first power-on is ended and judged",
    "describe": "describe: the supply and its hand-made cables again",
    "meter": "meter NAME: which multimeter reads cables and voltages",
    "repaired": "repaired WHAT: what was done about a failure",
    "slip": "slip: a figure that failed was mistyped",
    "cables": "cables: goes to 1, cables unplugged",
    "supply": "supply: goes to 2, supply alone",
    "pump": "pump: goes to 3, pump only",
    "machine": "machine: goes to 4, whole machine",
}
"""Words that mean the same on every rung."""


class PowerAtHand(StageAtHand[FirstPower]):
    """The build and its first power-on as last read."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.chosen: Rung | None = None
        """The rung that was asked for; None for the one whose turn it is."""
        self.beyond_supply = False
        """Whether the voltages were declared done in this window."""
        self.asking = ""
        """``end`` while it is asked whether to end the ladder, ``describe`` while the supply is described again,
        ``abort`` while it is asked why a test is aborted."""
        super().__init__(book, build_id, book.work(FirstPower))

    @property
    def bleeding(self) -> bool:
        """Whether a bleed of this build goes on by the record: its mains plug stays out."""
        return self.state.run(self.state.stage_of(Proof.BLED)).running

    @property
    def power(self) -> "FirstPowerState":
        """Supply, cables and looks as the record tells them."""
        return self.state.of(FirstPowerState)

    @property
    def run(self) -> "StageRun":
        """The attempt that is worked on."""
        return self.state.run(FIRST_POWER)

    @cached_property
    def verdict(self) -> FirstPowerVerdict:
        """The ladder as it stands."""
        return self.work.verdict(self.state)

    def standing(self, rung: Rung) -> RungState:
        """Return where a rung stands."""
        return next(one for one in self.verdict.rungs if one.rung is rung)

    def caution_text(self, caution: "Caution") -> str:
        """Return a caution with the time in it within which the pump must turn."""
        within = f"{self.stage.limit('pump_within_s'):g} s"
        return super().caution_text(caution).replace("{seconds}", within)

    def passed(self, rung: Rung) -> bool:
        """Return whether a rung has passed."""
        return self.standing(rung).outcome is Outcome.PASS

    def lock_of(self, rung: Rung) -> Phrase | None:
        """Return why a rung may not be climbed yet; None where it may."""
        return self.work.locked(self.state, rung)

    # --- where one is ----------------------------------------------------------------------------------------

    @property
    def at(self) -> Rung | None:
        """The rung that is climbed now; None where all have passed."""
        if self.power.pump_since is not None:
            return Rung.PUMP
        if self.power.supply is None:
            return Rung.CABLES
        if self.chosen is not None:
            return self.chosen
        if self.passed(Rung.CABLES) and not self._supply_done():
            return Rung.SUPPLY
        return next((rung for rung in Rung if not self.passed(rung)), None)

    def _supply_done(self) -> bool:
        """Return whether the voltages are behind us: by the record where the pump was prepared, else as declared."""
        if not self.passed(Rung.SUPPLY):
            return False
        pump = {caution.id for caution in self.work.cautions(self.state, When.BEFORE_PUMP)}
        prepared = bool(pump & (self.run.acknowledged | self.run.printed))
        return self.beyond_supply or prepared or self.power.wet is not None

    @property
    def barred(self) -> Phrase | None:
        """Why the rung whose turn it is may not be climbed; None where it may."""
        if self.at is None or self.power.pump_since is not None or self.power.supply is None:
            return None
        return self.lock_of(self.at)

    @property
    def failed(self) -> Rung | None:
        """The rung that failed in this attempt and is not climbed again; None where none is."""
        here = self.at
        tried = here in (Rung.PUMP, Rung.MACHINE) and self.power.pump_since is None and self.chosen is None
        if not tried or here is None or not self.run.running:
            return None
        return here if self.standing(here).outcome is Outcome.FAIL else None

    @property
    def moment(self) -> When | None:
        """The first moment whose cautions are unanswered before the rung worked on; None where all are answered."""
        if self.power.pump_since is not None or self.at is None:
            return None
        moments = _CAUTIONS[self.at]
        return next((when for when in moments if self.work.missing_cautions(self.state, when)), None)

    @property
    def shown_moment(self) -> When:
        """The moment whose cautions are counted on the card while none is asked."""
        return MOMENTS[self.at or Rung.MACHINE]

    # --- words that mean the same on every rung --------------------------------------------------------------

    def aside(self, text: str) -> Deed | None:
        """Return what a line does that belongs to no rung: another rung, a note, the end; None where it is none.

        Raises
        ------
        InputError
            If the rung is locked, or nothing can be skipped: the message says what it waits for.
        """
        refuse_renamed(text, {"mended": "repaired"})
        word, rest = command(text, _ASIDE)
        match word:
            case "":
                return None
            case "skip":
                raise InputError("no step is skipped: each protects what comes after it")
            case "note" | "repaired" | "meter":
                deed_of = {"note": self.note_deed, "repaired": self._repaired, "meter": self.multimeter_deed}
                return deed_of[word](rest)
            case _ if rest:
                return None
            case "slip":
                return self._slip()
            case "end":
                if not self.run.running:
                    raise InputError("nothing was done in this attempt yet; there is nothing to end. Esc goes back")
                return Deed(told="end the first power-on and judge it as it stands", do=lambda: self.ask("end"))
            case "describe":
                told = "describe the supply and its hand-made cables again; voltages and pump are then read again"
                return Deed(told=told, do=lambda: self.ask("describe"))
            case _:
                return self._to(WORDS[word])

    def multimeter_deed(self, text: str) -> Deed:
        """Return what naming the multimeter does, such as ``bench meter``; raises where there is no name."""
        name = some_text("which multimeter, by the name on it, such as meter bench meter", 60)(text)
        return said(f"cables and voltages are read with {name}", lambda: self.work.name_multimeter(self.build_id, name))

    def _to(self, rung: Rung) -> Deed:
        locked = self.lock_of(rung)
        if locked is not None:
            raise InputError(f'"{rung}" is locked. {say(locked)}')

        def do() -> None:
            self.chosen = rung

        again = ": what is done there takes away what was done above it" if self.standing(rung).outcome else ""
        return Deed(told=f"go to {NUMBERS[rung]}, {rung}{again}", do=do)

    @property
    def end_hint(self) -> str:
        """The word that ends the ladder, for a hint; nothing while there is nothing to end."""
        return " · end" if self.run.running else ""

    def ask(self, what: str) -> None:
        """Ask something before it is done."""
        self.asking = what

    def unmended(self, rung: Rung) -> str:
        """Return what failed on a rung and asks what was done about it; empty where nothing does."""
        fault = next((each for each in self.power.open_faults if each.rung is rung), None)
        if fault is None:
            return ""
        loop = rung is Rung.PUMP
        example = ("new seal" if fault.what.startswith("joint ") else "bled again") if loop else "new crimp"
        return (
            f"{fault.what} failed before: what was done about it? Type repaired and what, such as: repaired {example}."
            f"{'' if loop else ' Mistyped: slip.'}"
        )

    def _slip(self) -> Deed:
        """Say of what failed that it was mistyped; it counts once it was typed again, and nothing there fails now."""
        fault = next((one for one in self.power.open_faults if one.rung in (Rung.CABLES, Rung.SUPPLY)), None)
        if fault is None:
            raise InputError("no reading of a cable or a plug that failed is open; there is no slip to tell")
        if self.standing(fault.rung).outcome is Outcome.FAIL:
            raise InputError(f"{fault.what} still stands there as it failed: type what the meter shows, then slip")
        return said(
            f"{fault.what} was mistyped before; nothing was repaired",
            lambda: self.work.findings.mend(
                self.build_id, fault.what, "nothing: the reading was mistyped, and typed again"
            ),
            answer=f"{fault.what}: mistyped before",
        )

    def _repaired(self, text: str) -> Deed:
        if not self.power.open_faults:
            raise InputError("nothing that failed is open; there is nothing to repair")
        fault, done = self.power.open_faults[0], some_text("what was done after the word repaired", 400)(text)
        return said(
            f"{fault.what} failed before; done about it: {done}",
            lambda: self.work.findings.mend(self.build_id, fault.what, done),
            answer=f"{fault.what} repaired: {done}",
        )
