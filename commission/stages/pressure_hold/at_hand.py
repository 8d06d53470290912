"""The pressure hold that is worked on: the build as last read, and the plan and volume that are not stored yet."""

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.bench.at_hand import StageAtHand
from commission.bench.figures import energy, pressure
from commission.procedure.model import Caution, When
from commission.record.logbook import Logbook
from commission.record.machine.loop import LoopVolume, rating_text
from commission.stages.pressure_hold.entries import HoldPlan, HoldPlanned
from commission.stages.pressure_hold.state.attempt import HoldAttempt, hold_of, judged_hold
from commission.stages.pressure_hold.work.holds import Holds
from commission.units.worded import worded

LARGE_LOOP_M3 = 2e-3
"""Volume by which the stored energy is told while no part is known [m3]; our choice: a large loop, so that the
energy is not told too small."""


class HoldAtHand(StageAtHand[Holds]):
    """The hold of a build as last read, and the drafts that are not stored yet.

    Parameters
    ----------
    book, build_id
        The logbook and the build.
    """

    def __init__(self, book: Logbook, build_id: str) -> None:
        self.plan_open = False
        """Whether the stored plan is being changed."""
        self.plan_draft: HoldPlan | None = None
        """The plan as it stands, not stored yet."""
        self.volume_draft: LoopVolume | None = None
        """The volume that was chosen, not stored yet."""
        super().__init__(book, build_id, book.work(Holds))

    def forget(self) -> None:
        """Take the attempt that is prepared or runs out of the record as it is now."""
        self.hold: HoldAttempt = hold_of(self.state)

    @property
    def plan(self) -> HoldPlan:
        """The plan that it is prepared for or runs under; raises NotAllowed where there is none."""
        plan = self.hold.plan
        if plan is None:
            raise NotAllowed("the hold has no plan")
        return plan

    @property
    def shows_judged(self) -> bool:
        """Whether the hold that was judged last is shown: nothing was prepared since."""
        return self.hold.plan is None and self.judged_before(When.BEFORE_PRESSURE)

    @property
    def last_plan(self) -> HoldPlan | None:
        """The plan of this attempt, else of the one before."""
        return self.hold.plan or self.plan_before

    @property
    def plan_before(self) -> HoldPlan | None:
        """The plan of the attempt before, with its pressure and its time as planned; None where there was none.

        A file that is read as planned records its first reading as the pressure: that was pumped up, not planned.
        """
        judged = judged_hold(self.state)
        if judged is None or judged.plan is None:
            return None
        begun = judged.begun_plan or judged.plan  # an extension was for that attempt, after its readings
        if judged.began_ms is None:
            return begun
        payloads = (one.payload for one in self.book.entries(self.build_id) if one.seq <= judged.planned_seq)
        plans = [one.plan for one in payloads if isinstance(one, HoldPlanned) and one.attempt == judged.attempt]
        planned = plans[-2] if len(plans) > 1 else begun
        same = replace(begun, target_gauge_pa=planned.target_gauge_pa)
        return same if replace(planned, hold_s=same.hold_s) == same else begun

    @property
    def extended_to_s(self) -> float | None:
        """How long the attempt before was extended to [s]; None where it was not."""
        judged = judged_hold(self.state)
        if judged is None or judged.plan is None or judged.begun_plan is None:
            return None
        return judged.plan.hold_s if judged.plan.hold_s != judged.begun_plan.hold_s else None

    def reopen_plan(self) -> None:
        """Go back to the plan that was accepted already; nothing is recorded."""
        self.plan_open, self.plan_draft = True, self.hold.plan

    def try_again(self) -> None:
        """Prepare another attempt; nothing is recorded."""
        self.plan_draft = self.volume_draft = None
        super().try_again()

    def rests_text(self) -> str:
        """Return what the hold rests on and nobody has written down yet: the parts."""
        if not self.state.parts and self.state.volume is None:
            return "the parts list, which is still empty (F2)"
        return ""

    def caution_text(self, caution: Caution) -> str:
        """Return a caution with this loop's energy, rating and pressure in it."""
        text, plan = worded(caution.text), self.last_plan
        target = plan.target_gauge_pa if plan else self.stage.limit("target_gauge_pa")
        if "{energy}" in text:
            text = text.replace("{energy}", self._energy(target))
        if "{rating}" in text:
            text = text.replace("{rating}", rating_text(self.state.tested_parts))
        return text.replace("{pressure}", pressure(target, plan.gauge.unit if plan else "bar"))

    def _energy(self, target: float) -> str:
        plan, loop = self.hold.plan, self.state.tested_volume
        if plan is not None:
            return energy(stored_joule(plan.volume_m3, target))
        if loop is not None:
            return energy(stored_joule(loop.volume_m3 + 2 * loop.u_volume_m3, target))
        return worded(f"{energy(stored_joule(LARGE_LOOP_M3, target))}, if the loop holds 2 L")


def stored_joule(volume_m3: float, target_gauge_pa: float) -> float:
    """Return the energy that the loop will hold [J]."""
    from commission.physics.stored_energy import PCC2_ATMOSPHERE_PA, stored_energy

    return stored_energy(PCC2_ATMOSPHERE_PA + target_gauge_pa, volume_m3)
