"""The first power-on, one thing to do at a time: cautions, supply, cables, voltages, pump, machine, verdict."""

from enum import StrEnum
from typing import Protocol

from commission.base.frozen import replace
from commission.bench.ask import Flow, Question
from commission.bench.attempts import attempt_title
from commission.bench.card import CardContent
from commission.bench.clock_times import ClockTimes
from commission.procedure.model import When
from commission.procedure.stage_ids import FIRST_POWER
from commission.record.logbook import Logbook
from commission.record.machine.rungs import Rung
from commission.stages.first_power.at_hand import BLEED_GOES_ON, PowerAtHand
from commission.stages.first_power.card.aborting import ASKED
from commission.stages.first_power.card.after import PowerAfter
from commission.stages.first_power.card.cables import CablesRung
from commission.stages.first_power.card.gates import LadderEnd, LockedRung
from commission.stages.first_power.card.joints import JointsForm
from commission.stages.first_power.card.machine import MachineRung
from commission.stages.first_power.card.rails import SupplyRung
from commission.stages.first_power.card.supply import SupplyForm
from commission.stages.first_power.card.watch import Watching
from commission.stages.first_power.rows.ladder import rung_figures


class Phase(StrEnum):
    """Where on the ladder one is."""

    LOCKED = "locked"
    CAUTIONS = "cautions"
    DESCRIBE = "describe"
    CABLES = "cables"
    SUPPLY = "supply"
    JOINTS = "joints"
    WATCH = "watch"
    MACHINE = "machine"
    END = "end"
    AFTER = "after"


class _Part(Protocol):
    """What is asked and shown in one phase."""

    def question(self) -> Question: ...
    def card(self, card: CardContent) -> CardContent: ...


_SHOWN = {
    Phase.DESCRIBE: (When.MEASURING_CABLES,),
    Phase.CABLES: (When.MEASURING_CABLES,),
    Phase.SUPPLY: (When.SUPPLY_ALONE,),
    Phase.JOINTS: (When.SUPPLY_ALONE,),
    Phase.MACHINE: (When.FIRST_START,),
}
"""The moments whose cautions are shown and not asked."""


class FirstPowerFlow(Flow):
    """The way through the first power-on of one build; it can be left and taken up again at any point."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.hand = PowerAtHand(book, build_id)
        """The build as last read, and which rung is climbed."""
        super().__init__(self.hand)
        self.describe = SupplyForm(self.hand)
        self.cables = CablesRung(self.hand)
        self.supply = SupplyRung(self.hand)
        self.joints = JointsForm(self.hand)
        self.watching = Watching(self.hand)
        self.machine = MachineRung(self.hand)
        self.end = LadderEnd(self.hand)
        self._parts: dict[Phase, _Part] = {
            Phase.LOCKED: LockedRung(self.hand),
            Phase.DESCRIBE: self.describe,
            Phase.CABLES: self.cables,
            Phase.SUPPLY: self.supply,
            Phase.JOINTS: self.joints,
            Phase.WATCH: self.watching,
            Phase.MACHINE: self.machine,
            Phase.END: self.end,
            Phase.AFTER: PowerAfter(self.hand),
        }

    # --- where one is ----------------------------------------------------------------------------------------

    @property
    def phase(self) -> Phase:
        """Where on the ladder one is, from the record and from what was asked for in this window."""
        fresh = self.hand.run.started is None and not (self.hand.run.acknowledged | self.hand.run.printed)
        if self.hand.state.judged_run(FIRST_POWER) is not None and fresh and not self.hand.again:
            return Phase.AFTER
        if self.hand.power.pump_since is not None:
            return Phase.WATCH
        if self.hand.asking == "end":
            return Phase.END
        if self.hand.barred is not None:
            return Phase.LOCKED
        if self.hand.moment is not None:
            return Phase.CAUTIONS
        return self._working()

    def _working(self) -> Phase:
        if self.hand.power.supply is None or self.hand.asking == "describe":
            return Phase.DESCRIBE
        match self.hand.at:
            case None:
                return Phase.END
            case Rung.CABLES:
                return Phase.CABLES
            case Rung.SUPPLY:
                return Phase.SUPPLY
            case Rung.PUMP:
                return Phase.END if self.hand.failed else Phase.JOINTS
            case Rung.MACHINE:
                return Phase.END if self.hand.failed and not self.machine.off_due else Phase.MACHINE

    def title(self) -> str:
        """Return the build's name and where in it this is."""
        return attempt_title(self.hand.state, FIRST_POWER, "first power-on", after=self.phase is Phase.AFTER)

    def times(self) -> ClockTimes | None:
        """Return the times of the watch while the pump runs."""
        return self.watching.times() if self.phase is Phase.WATCH else None

    def look(self) -> bool:
        """Ask again where a look has come due; return whether one has."""
        return self.phase is Phase.WATCH and self.watching.turned()

    # --- what is asked ---------------------------------------------------------------------------------------

    def question(self) -> Question | None:
        """Return what is asked now."""
        phase = self.phase
        if phase is Phase.CAUTIONS:
            return self.hand.ask_caution(self.hand.moment or When.BEFORE_POWER)
        return self._parts[phase].question()

    def back(self) -> bool:
        """Leave a half-answered form, a question about the end, or a rung that was asked for."""
        if self.hand.asking == ASKED:
            self.hand.asking = ""
            return True
        match self.phase:
            case Phase.AFTER:
                return False
            case Phase.WATCH:
                return self.watching.back()
            case Phase.DESCRIBE:
                return self.describe.back()
            case Phase.SUPPLY | Phase.JOINTS as part:
                return (self.supply if part is Phase.SUPPLY else self.joints).back() or self._unchoose()
            case Phase.CABLES:
                return self.cables.back() or self._unchoose()
            case Phase.END:
                return self.end.back() or self._unchoose()
            case _:
                return self._unchoose()

    def _unchoose(self) -> bool:
        before, self.hand.chosen = self.hand.at, None
        return self.hand.at is not before

    # --- the card --------------------------------------------------------------------------------------------

    def card(self) -> CardContent:
        """Return everything that is known of the first power-on."""
        phase = self.phase
        cautions, in_full = self._cautions(phase)
        card = self.hand.card(cautions, in_full=in_full)
        if phase is not Phase.AFTER and self.hand.bleeding:
            card = replace(card, notices=(*card.notices, BLEED_GOES_ON))
        if phase is Phase.CAUTIONS:
            step = self.hand.caution_step(self.hand.moment or When.BEFORE_POWER)
            return replace(card, step=step, figures=rung_figures(self.hand))
        return self.hand.shown_at(self._parts[phase].card(card), *_SHOWN.get(phase, ()))

    def _cautions(self, phase: Phase) -> tuple[When | None, bool]:
        match phase:
            case Phase.LOCKED | Phase.AFTER:
                return None, False
            case Phase.CAUTIONS:
                return self.hand.moment or When.BEFORE_POWER, True
            case _:
                return self.hand.shown_moment, False
