"""Every entry about coolant says what it is about, in one line."""

import pytest

from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Bounded
from commission.record.payload import Payload
from commission.stages.bleed.entries import AirSqueezed, BleedCycleDone, BleedStarted
from commission.stages.bleed.model import AirTail, SqueezeResult, TailState
from commission.stages.bleed.text import tail_text
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    LevelRead,
    ReservoirDescribed,
    WaterLost,
)
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.model.fill import Drain, Evaporation, Pour, Reservoir, Spill, SyringeOut, Way
from commission.stages.pressure_hold.entries import PressureLetDown
from tests.fills import ML, READY, SQUEEZE, WATER, bottle, cycle, dose
from tests.registered import tell

TYPED = Measured(quantity=Quantity.VOLUME, si=250 * ML, typed="250 ml")
AMOUNT = dose(250, u_ml=2.5, way=Way.VOLUME, inputs=(TYPED,))
BARE = dose(20, u_ml=2.5, way=Way.ESTIMATED)
CAN = replace(READY, name="can", product="Sky", lot="A12", opened_on="2026-03-31")
LEVEL = Measured(quantity=Quantity.LENGTH, si=0.12, typed="120 mm")
WARM = Measured(quantity=Quantity.TEMPERATURE, si=295.15, typed="22 degC")
ZERO = Measured(quantity=Quantity.GAUGE_PRESSURE, si=0.0, typed="0.0 mbar")


@pytest.mark.parametrize(
    ("payload", "told"),
    [
        (
            BottleAdded(bottle=CAN),
            "can, ready mix, 1 L, 1.035 g/mL at 20 °C, freezes at -18 °C, product Sky, lot A12, opened 2026-03-31",
        ),
        (
            BottleAdded(bottle=bottle(Base.ETHYLENE_GLYCOL, 0.5, name="red")),
            "red, ethylene glycol 50 % by mass, 1 L",
        ),
        (BottleRetired(bottle_id="x", reason="empty"), "empty"),
        (
            CoolantPoured(stage="fill", pour=Pour(bottle=WATER, dose=AMOUNT, note="slowly")),
            "250 mL ± 5 mL at 20 °C, by volume (250 ml), from bottle of water (slowly)",
        ),
        (CoolantDrained(stage="fill", drain=Drain(dose=BARE)), "20 mL ± 5 mL at 20 °C, estimated, drained"),
        (
            CoolantSpilled(stage="fill", spill=Spill(dose=BARE)),
            "20 mL ± 5 mL at 20 °C, estimated, spilled out of the loop",
        ),
        (
            CoolantSpilled(stage="fill", spill=Spill(dose=BARE, bottle=WATER)),
            "20 mL ± 5 mL at 20 °C, estimated, of bottle of water spilled beside the filler",
        ),
        (CoolantDrawn(stage="fill", drawn=SyringeOut(dose=BARE)), "20 mL ± 5 mL at 20 °C, estimated, drawn off"),
        (WaterLost(stage="fill", lost=Evaporation(dose=BARE)), "20 mL ± 5 mL at 20 °C, estimated, of water lost"),
        (
            ReservoirDescribed(reservoir=Reservoir(bore_m=0.06, height_m=0.2, insert_m=0.012, above_m3=1e-5)),
            "bore 60 mm, height 200 mm, tube in it 12 mm, 10 mL above it",
        ),
        (LevelRead(stage="fill", level=LEVEL, coolant=WARM, note="cold"), "120 mm at 22 degC (cold)"),
        (LevelRead(stage="fill", level=LEVEL, coolant=None), "120 mm"),
        (BleedStarted(attempt=2), "attempt 2"),
        (
            BleedCycleDone(attempt=1, cycle=cycle(1, 12).cycle, pour=None),
            "attempt 1: 12 mL (top-up to the mark, within 1 mL), pump running for 30 min, upright, bubbles none, "
            "noise quiet",
        ),
        (
            AirSqueezed(
                attempt=1,
                check=SQUEEZE,
                result=SqueezeResult(air=Bounded(value=20 * ML, lower95=15 * ML, upper95=25 * ML), walls_m3=0),
            ),
            "attempt 1: 20 mL of air, at least 15 mL, at most 25 mL",
        ),
        (PressureLetDown(attempt=2, gauge=ZERO), "attempt 2: gauge 0.0 mbar"),
    ],
    ids=lambda value: str(getattr(value, "KIND", "")) or None,
)
def test_an_entry_about_coolant_tells_its_figures(payload: Payload, told: str) -> None:
    assert tell(payload) == told


def test_a_cycle_tells_its_top_up() -> None:
    told = tell(BleedCycleDone(attempt=1, cycle=cycle(1, 12).cycle, pour=Pour(bottle=WATER, dose=BARE)))
    assert told.endswith("; 20 mL ± 5 mL at 20 °C, estimated, from bottle of water")


def test_a_tail_that_cannot_be_bounded_has_no_figures() -> None:
    assert tail_text(AirTail(state=TailState.NOT_CONVERGING)) == "air left: not converging"
    known = AirTail(state=TailState.CONVERGING, low_m3=0.0, best_m3=1 * ML, high_m3=3 * ML)
    assert tail_text(known) == "air left: 1 mL, at least 0 mL, at most 3 mL"
