"""Any row of movements against a plain balance of two masses, kept beside the logbook.

Outside: the balance in this file, with CoolProp's densities at 20 °C (water 998.207, MPG 0.30 1023.785 kg/m3).
"""

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from commission.base.errors import CommissionError
from commission.stages.fill.judge.mixture import fold_movements
from commission.stages.fill.model.fill import Drain, Evaporation, Movement, Spill, SyringeOut
from commission.stages.fill.state import FillState
from commission.stages.fill.work.fills import Fills
from commission.stages.fill.work.losses import evaporates_m3
from tests.fakes import new_book
from tests.fills import ML
from tests.reference import coolprop
from tests.wet_builds import (
    CAN,
    JUG,
    amount,
    poured,
    pouring_build,
)

WATER_KG_M3 = 998.207
PREMIX_KG_M3 = 1023.785


class Balance(RuleBasedStateMachine):
    """Moves coolant through the logbook and through a plain balance of two masses, and compares them."""

    def __init__(self) -> None:
        super().__init__()
        self.book, self.log, clock = new_book()
        self.build = pouring_build(self.book, clock)
        self.glycol_kg = 0.0
        self.total_kg = 0.0
        self.left_ml = {CAN.bottle_id: 3000.0, JUG.bottle_id: 3000.0}
        self.undo: tuple[int, float, float, str, float] | None = None

    @initialize(ml=st.floats(50, 400))
    def first(self, ml: float) -> None:
        self._pour(JUG, ml)

    @rule(ml=st.floats(1, 400))
    def premix(self, ml: float) -> None:
        self._pour(JUG, ml)

    @rule(ml=st.floats(1, 400))
    def water(self, ml: float) -> None:
        self._pour(CAN, ml)

    @rule(grams=st.floats(1, 300), way=st.sampled_from([Drain, Spill, SyringeOut]))
    def out(self, grams: float, way: type[Drain] | type[Spill] | type[SyringeOut]) -> None:
        if self.total_kg <= 0:
            return
        grams = min(grams, 20.0) if way is Spill else grams  # more is an event
        share = self.glycol_kg / self.total_kg
        density = float(coolprop("D", "T", 293.15, "P", 101_325, f"INCOMP::MPG[{share!r}]"))
        movement = way(dose=amount(grams * 1000 / density, u_ml=0.1, grams=grams))
        if not self._takes(movement, grams):
            return
        self._keep(movement)
        self.total_kg -= grams / 1000
        self.glycol_kg = share * self.total_kg

    @rule(grams=st.floats(0.1, 6))
    def evaporate(self, grams: float) -> None:
        movement = Evaporation(dose=amount(grams * 1000 / WATER_KG_M3, u_ml=0.1, grams=grams))
        if movement.dose.volume_m3 > evaporates_m3(self.book.build(self.build), self.book.past.moment()):
            self._refused(movement)
            return
        if self.glycol_kg > 0.55 * (self.total_kg - grams / 1000) or not self._takes(movement, grams):
            return
        self._keep(movement)
        self.total_kg -= grams / 1000

    @rule()
    def withdraw_the_last(self) -> None:
        if self.undo is None:
            return
        seq, self.glycol_kg, self.total_kg, bottle, ml = self.undo
        self.book.withdraw(seq, "wrong")
        if bottle:
            self.left_ml[bottle] += ml
        self.undo = None

    def _pour(self, bottle: object, ml: float) -> None:
        assert bottle in (CAN, JUG)
        one = JUG if bottle == JUG else CAN
        if ml > self.left_ml[one.bottle_id] * 1.02 + 2:
            self._refused(poured(ml, one))
            return
        before = (self.glycol_kg, self.total_kg)
        logged = self.book.work(Fills).move(self.build, poured(ml, one))
        kg = ml * ML * (PREMIX_KG_M3 if one is JUG else WATER_KG_M3)
        self.total_kg += kg
        self.glycol_kg += 0.30 * kg if one is JUG else 0.0
        self.left_ml[one.bottle_id] -= ml
        self.undo = (logged.seq, *before, one.bottle_id, ml)

    def _takes(self, movement: Movement, grams: float) -> bool:
        """Return whether there is enough to take; where there clearly is not, see that it is refused."""
        if grams / 1000 > 1.3 * self.total_kg + 0.01:
            self._refused(movement)
        # volumes are kept beside the masses and drift by what evaporation does to mixing: keep clear of the bottom
        return grams / 1000 < 0.5 * self.total_kg and self.total_kg - grams / 1000 > 0.05

    def _keep(self, movement: Movement) -> None:
        before = (self.glycol_kg, self.total_kg)
        self.undo = (self.book.work(Fills).move(self.build, movement).seq, *before, "", 0.0)

    def _refused(self, movement: Movement) -> None:
        head = self.log.head()
        with pytest.raises(CommissionError):
            self.book.work(Fills).move(self.build, movement)
        assert self.log.head() == head

    @invariant()
    def the_books_agree(self) -> None:
        state = self.book.build(self.build)
        if self.total_kg < 1e-6 or not state.of(FillState).moves:
            return
        running = fold_movements(state.of(FillState).movements)[-1]
        coolant, share = running.coolant, self.glycol_kg / self.total_kg
        density = float(coolprop("D", "T", 293.15, "P", 101_325, f"INCOMP::MPG[{share!r}]"))
        assert running.volume_m3 == pytest.approx(self.total_kg / density, rel=0.01, abs=2 * ML)
        assert coolant.total_kg == pytest.approx(self.total_kg, rel=1e-5, abs=1e-6)
        assert coolant.glycol_kg == pytest.approx(self.glycol_kg, rel=1e-5, abs=1e-6)
        for bottle in (CAN, JUG):
            assert self.book.work(Fills).remaining_m3(bottle) == pytest.approx(
                self.left_ml[bottle.bottle_id] * ML, abs=1e-9
            )


TestBalance = Balance.TestCase
TestBalance.settings = settings(
    max_examples=20, stateful_step_count=15, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
