"""A coolant on its own: properties and mixing, as they are asked for on a command line."""

import time
from collections.abc import Callable

import pytest

from commission.base.errors import InputError
from commission.physics.loop_volume import Uncertain
from commission.record.machine.loop import LoopVolume
from commission.stages.bleed.judge.tail import remaining_air
from commission.stages.bleed.judge.verdict import evaluate_bleed
from commission.stages.bleed.model import BleedLoop, BleedRule
from commission.stages.fill.judge.answers import coolant_properties, mix_to_target
from commission.stages.fill.judge.headspace import HeadspaceCase, evaluate_headspace
from commission.stages.fill.judge.liquid import WATER
from commission.stages.fill.judge.verdict import evaluate_fill
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.model.fill import FillSetup, Pour
from tests.fills import PREMIX, cycles, dose

PG, EG = Base.PROPYLENE_GLYCOL, Base.ETHYLENE_GLYCOL


def test_the_coolant_of_the_bench() -> None:
    # Source: CoolProp 8.0.0, MPG 0.30: 22 °C 1022.855 kg/m3, freezing −12.7891 °C; 653.4 g are 638.800 mL. Status:
    # computed.
    found = coolant_properties(PG, 0.30, 295.15, weight_kg=0.6534)
    assert found.density_kg_m3 == pytest.approx(1022.855, abs=1e-3)
    assert found.freezing_k == pytest.approx(260.3609, abs=1e-4)
    assert found.volume_m3 == pytest.approx(638.800e-6, abs=1e-9)


def test_water_has_the_properties_of_water() -> None:
    # Source: IAPWS-95 and R12-08 at 20 °C: 998.2072 kg/m3, 4184.05 J/(kg K), 1.00160 mPa s. Status: computed.
    found = coolant_properties(Base.WATER, 0.0, 293.15)
    assert found.density_kg_m3 == pytest.approx(998.2072, abs=0.01)
    assert found.heat_capacity_j_kg_k == pytest.approx(4184.05, abs=0.5)
    assert found.viscosity_pa_s == pytest.approx(1.00160e-3, rel=5e-4)
    assert found.freezing_k == 273.15
    assert found.volume_m3 is None


def test_two_kilograms_from_premix_and_water() -> None:
    # Source: Pearson's square by hand. Status: computed.
    made = mix_to_target(PG, 0.30, rich=0.45, total_kg=2.0)
    assert (made.rich_kg, made.lean_kg) == pytest.approx((1.33333, 0.66667), rel=1e-5)
    assert 0 < made.contraction < 0.02


def test_a_litre_from_pure_glycol() -> None:
    # Source: balance of mass by hand: 1 L of MEG 0.30 weighs 1038.046 g (CoolProp), 311.41 g of it glycol, which at
    # 1113.389 kg/m3 (thermo) are 279.70 mL. Status: computed.
    made = mix_to_target(EG, 0.30, rich=1.0, total_m3=1e-3)
    assert made.rich_kg == pytest.approx(0.3 * 1.038046, rel=1e-5)
    assert made.rich_m3 == pytest.approx(279.70e-6, rel=1e-3)
    assert made.mixed_m3 == pytest.approx(1e-3, rel=1e-9)
    assert made.rich_m3 + made.lean_m3 > made.mixed_m3


def test_a_concentrate_needs_its_data_sheet() -> None:
    with pytest.raises(InputError, match=r"no density is published for 93 % by mass; type that of the concentrate"):
        mix_to_target(EG, 0.30, rich=0.93, total_kg=1.0)
    made = mix_to_target(EG, 0.30, rich=0.93, total_kg=1.0, rich_density_kg_m3=1115.0)
    assert made.rich_m3 == pytest.approx(0.30 / 0.93 / 1115.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: coolant_properties(PG, 0.61, 293.15), "61 % by mass is outside the published range, 0 to 60 %"),
        (lambda: coolant_properties(PG, 30.0, 293.15), "3000 % by mass is outside"),
        (lambda: coolant_properties(PG, -0.1, 293.15), "-10 % by mass is outside"),
        (lambda: coolant_properties(PG, float("nan"), 293.15), "nan % by mass is outside"),
        (lambda: coolant_properties(PG, 0.3, 250.0), "-23.15 °C is below the freezing point of this liquid, -12.8 °C"),
        (lambda: coolant_properties(PG, 0.3, 380.0), "above 100 °C"),
        (lambda: coolant_properties(PG, 0.3, 293.15, weight_kg=0.0), "a weight must be above 0"),
        (lambda: coolant_properties(Base.WATER, 0.3, 293.15), "water holds no glycol"),
        (lambda: coolant_properties(Base.READY_MIX, 0.3, 293.15), "no properties are published for ready mix"),
        (lambda: coolant_properties(Base.UNKNOWN, 0.0, 293.15), "no properties are published for unknown"),
        (lambda: mix_to_target(Base.WATER, 0.0, rich=1.0, total_kg=1.0), "water is not mixed to a target"),
        (lambda: mix_to_target(PG, 0.5, rich=0.45, total_kg=1.0), "50 % cannot be mixed from 45 % and 0 %"),
        (lambda: mix_to_target(PG, 0.3, rich=0.45), "by weight or by volume, one of both"),
        (lambda: mix_to_target(PG, 0.3, rich=0.45, total_kg=1.0, total_m3=1.0), "one of both"),
        (lambda: mix_to_target(PG, 0.3, rich=0.45, total_kg=-1.0), "amount must be above 0"),
        (lambda: mix_to_target(PG, 0.7, rich=1.0, total_kg=1.0), "70 % by mass is outside"),
        (lambda: mix_to_target(PG, 0.3, rich=0.45, total_kg=1.0, at_k=268.15), "-5 °C is below the freezing point"),
    ],
)
def test_what_is_not_published_is_refused_in_words(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(InputError, match=words) as refused:
        call()
    assert "\n" not in str(refused.value)


def a_headspace() -> object:
    air = Uncertain(100e-6, 5e-6)
    return evaluate_headspace(
        HeadspaceCase(liquid_m3=950e-6, headspace_m3=air, liquid=WATER, closed_k=293.15, hot_k=333.15)
    )


def twenty_pours() -> object:
    loop = LoopVolume(volume_m3=1e-3, u_volume_m3=3e-5, basis="parts")
    pours = [Pour(bottle=PREMIX, dose=dose(50, u_ml=1)) for _ in range(20)]
    return evaluate_fill(pours, FillSetup(expected=loop, missing_share=0.3))


def thirty_cycles() -> object:
    rule = BleedRule(last_cycles=3, span_s=3600.0, top_up_m3=2e-6)
    loop = BleedLoop(liquid_m3=1e-3, fill_k=293.15, hot_k=323.15)
    return evaluate_bleed(cycles(*(100 * 0.7**k for k in range(30))), rule, loop)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: coolant_properties(PG, 0.30, 295.15, weight_kg=0.6534),
        lambda: mix_to_target(EG, 0.30, rich=1.0, total_m3=1e-3),
        lambda: remaining_air([120.0, 42.0, 15.0, 5.2], 2.0),
        a_headspace,
        twenty_pours,
        thirty_cycles,
    ],
)
def test_an_answer_takes_less_than_five_milliseconds(ask: Callable[[], object]) -> None:
    # The best of many runs by the processor's time, so that no other program decides; the first one imports.
    def once() -> float:
        begin = time.process_time()
        ask()
        return time.process_time() - begin

    assert min(once() for _ in range(30)) < 5e-3
