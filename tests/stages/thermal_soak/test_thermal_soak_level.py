"""The level after cooling: what is missing, at one temperature of the coolant.

Outside: arithmetic written out, with densities of water from IAPWS-95 (998.207 kg/m3 at 20 degC, 997.047 at 25 degC)
and of propylene glycol, 30 % by mass, from CoolProp 8.0.0's MPG (1023.785 at 20 degC, 1018.8901 at 30 degC).
"""

import pytest

from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.physics.glycol import Glycol
from commission.physics.loop_volume import Uncertain
from commission.stages.fill.model.fill import Drain, Reservoir
from commission.stages.fill.state import FillState, Moved
from commission.stages.fill.work.fills import Fills
from commission.stages.fill.work.levels import moved_between
from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.judge.cold_level import evaluate_cold_level
from commission.stages.thermal_soak.model import SoakPlan
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from commission.units.parse import parse
from tests.fakes import new_book
from tests.soaks import course, soaking
from tests.wet_builds import amount, poured

MM = 2.827433e-6
"""A millimetre in a bore of 60 mm [m3]: pi/4 times 60 mm squared times 1 mm."""


def test_both_levels_are_told_at_one_temperature() -> None:
    # 5 mm less is 14.137 mL; 1 L of water widens by 998.207/997.047 - 1 = 1.1634e-3, or 1.163 mL, from 20 to 25 degC,
    # so 15.301 mL are missing at 25 degC, which are 15.301/1.0011634 = 15.283 mL at 20 degC. Half a millimetre twice
    # is 1.414 * sqrt(2) = 1.999 mL; half a kelvin twice at 2.33e-4/K is 0.165 mL; the walls 1.2e-4 * 5 * 1 L =
    # 0.6 mL; a tenth of 1.163 mL is 0.116 mL: together 2.097 mL, times 1.6449 is 3.45 mL.
    half = MM / 2
    found = evaluate_cold_level(
        Uncertain(120 * MM, half),
        293.15,
        Uncertain(115 * MM, half),
        298.15,
        moved_m3=Uncertain(0.0),
        content_m3=1e-3,
        plan=SoakPlan(),
    )
    assert found.missing.value == pytest.approx(15.283e-6, abs=0.01e-6)
    assert found.missing.lower95 == pytest.approx(11.83e-6, abs=0.03e-6)
    assert found.missing.upper95 == pytest.approx(18.73e-6, abs=0.03e-6)


def test_a_loop_that_only_widened_lacks_nothing_and_a_top_up_counts() -> None:
    mass = 1023.785 * 1e-3  # of a full litre at 20 degC; 10 mL of it at 30 degC were poured between
    after = (mass + 1018.8901 * 10e-6) / 1018.8901 - 0.7e-3  # the rest of the loop holds 0.7 L
    found = evaluate_cold_level(
        Uncertain(0.3e-3),
        293.15,
        Uncertain(after),
        303.15,
        moved_m3=Uncertain(10e-6),
        content_m3=1e-3,
        plan=SoakPlan(base=Glycol.PROPYLENE, mass_fraction=0.3),
    )
    assert found.missing.value == pytest.approx(0.0, abs=0.02e-6)


def _mm(level: float) -> Measured:
    return parse(f"{level} mm", Quantity.LENGTH)


@pytest.mark.parametrize(("level", "outcome"), [(119, Outcome.PASS), (112, Outcome.INCONCLUSIVE)])
def test_what_is_missing_once_cold_leaves_no_pass(level: float, outcome: Outcome) -> None:
    # 1 mm is 2.8 mL, within 3.3 mL; 8 mm are 22.6 mL
    book, _, clock = new_book()
    build = soaking(book, clock)
    work, fills, cold = book.work(Soaks), book.work(Fills), parse("22 degC", Quantity.TEMPERATURE)
    fills.describe_reservoir(build, Reservoir(bore_m=0.06, height_m=0.15))
    fills.read_level(build, _mm(120), cold, stage="thermal_soak")
    clock.run(3600)
    work.read(build, course(60))
    clock.run(3500)
    work.do_step(build, JOINTS_HOT)
    flow = SoakFlow(book, build)
    question = flow.question()
    assert question is not None
    assert "read the level again" in question.prompt.ask
    clock.run(3600)
    assert question.deed(f"level {level} mm 22 degC").told.startswith(f"level {level} mm")
    assert flow.answer(f"level {level} mm 22 degC").startswith("entry")
    asked = SoakFlow(book, build).question()
    assert asked is not None
    assert ("Leave the load off" in asked.prompt.ask) is (outcome is Outcome.INCONCLUSIVE)
    verdict = work.close(build)
    assert verdict.outcome == outcome
    assert verdict.level is not None
    assert verdict.level.missing.value == pytest.approx((120 - level) * MM, abs=0.1e-6)
    if verdict.outcome is Outcome.INCONCLUSIVE:
        assert verdict.reasons[0].code == "missing_when_cold"
        assert "Look for it before you top up" in str(SoakFlow(book, build).question())
    assert work.verdict(book.build(build)).level == verdict.level
    assert book.verify() == []


def test_what_was_poured_or_taken_between_the_levels_counts() -> None:
    moves = ((3, poured(20)), (5, poured(4)), (6, Drain(dose=amount(1))), (8, poured(7)))
    fill = FillState(moves=tuple(Moved(seq=seq, stage="bleed", movement=one) for seq, one in moves))
    assert moved_between(fill, 3, 8).value == pytest.approx(3e-6)  # 4 mL in, 1 mL out


def test_a_level_read_once_cold_counts_also_where_the_table_is_filed_behind_it() -> None:
    # 8 mm in a bore of 60 mm are 22.6 mL, missing whichever of the two is written down first
    book, _, clock = new_book()
    build = soaking(book, clock)
    work, fills, cold = book.work(Soaks), book.work(Fills), parse("22 degC", Quantity.TEMPERATURE)
    fills.describe_reservoir(build, Reservoir(bore_m=0.06, height_m=0.15))
    fills.read_level(build, _mm(120), cold, stage="thermal_soak")
    clock.run(7200)
    fills.read_level(build, _mm(112), cold, stage="thermal_soak")
    work.read(build, course(60))
    work.do_step(build, JOINTS_HOT)
    verdict = work.close(build)
    assert verdict.level is not None
    assert verdict.level.missing.value == pytest.approx(8 * MM, abs=0.1e-6)
    assert verdict.outcome == Outcome.INCONCLUSIVE
