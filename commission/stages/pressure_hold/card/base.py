"""What every part of the pressure hold knows: the record of the build, and what is not in the record yet."""

from commission.bench.ask import Flow
from commission.bench.figures import energy, pressure
from commission.procedure.model import Caution
from commission.record.ladder import StageState
from commission.record.logbook import Logbook
from commission.record.machine.loop import LoopVolume, rating_text
from commission.stages.pressure_hold.card.plan import stored_joule
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.state.attempt import hold_of, judged_hold

STAGE = "pressure_hold"
LARGE_LOOP_M3 = 2e-3
"""Volume by which the stored energy is told while no part is known [m3]; our choice: a large loop, so that the
energy is not told too small."""


class HoldBase(Flow):
    """The build and its stage as last read, and the drafts that are not stored yet."""

    def __init__(self, book: Logbook, build_id: str) -> None:
        super().__init__()
        self.book = book
        self.build_id = build_id
        self._head = -1
        self.again = False
        """Whether another attempt was asked for after the last one was judged."""
        self.plan_open = False
        """Whether the stored plan is being changed."""
        self.plan_draft: HoldPlan | None = None
        """The plan as it stands, not stored yet."""
        self.volume_draft: LoopVolume | None = None
        """The volume that was chosen, not stored yet."""
        self.refresh()

    def refresh(self) -> None:
        """Read the record again, where anything was added to it."""
        head = self.book.head().seq
        if head == self._head:
            return
        self._head = head
        self.state = self.book.build(self.build_id)
        self.shop = self.book.shop()
        self.stage = self.book.procedure(self.state).stage(STAGE)

    def ladder(self) -> tuple[StageState, ...]:
        """Return the stages of the build, each with the word for its state."""
        return self.book.ladder(self.state)

    @property
    def last_plan(self) -> HoldPlan | None:
        """The plan of this attempt, else of the one before."""
        judged = judged_hold(self.state)
        return hold_of(self.state).plan or (judged.plan if judged else None)

    def reopen_plan(self) -> None:
        """Go back to the plan that was accepted already."""
        self.plan_open, self.plan_draft = True, hold_of(self.state).plan

    def begin_again(self) -> None:
        """Prepare another attempt."""
        self.again, self.plan_draft, self.volume_draft = True, None, None

    def caution_text(self, caution: Caution) -> str:
        """Return a caution with this loop's energy, rating and pressure in it."""
        plan = self.last_plan
        target = plan.target_gauge_pa if plan else self.stage.limit("target_gauge_pa")
        unit = plan.gauge.unit if plan else "bar"
        text = caution.text.replace("{energy}", self._energy(target))
        return text.replace("{rating}", rating_text(self.state.tested_parts)).replace(
            "{pressure}", pressure(target, unit)
        )

    def _energy(self, target: float) -> str:
        plan, loop = hold_of(self.state).plan, self.state.tested_volume
        if plan is not None:
            return energy(stored_joule(plan.volume_m3, target))
        if loop is not None:
            return energy(stored_joule(loop.volume_m3 + 2 * loop.u_volume_m3, target))
        return f"{energy(stored_joule(LARGE_LOOP_M3, target))}, if the loop holds 2 L"
