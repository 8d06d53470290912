"""What a bottle's label must say, and that everything of a fill and a bleed can stand in the log."""

import pytest

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.record.machine.loop import LoopVolume
from commission.stages.bleed.judge.verdict import evaluate_bleed
from commission.stages.bleed.model import BleedRule, SqueezeCheck
from commission.stages.fill.judge.verdict import evaluate_fill
from commission.stages.fill.model.coolant import EMPTY, Base, Basis, Bottle, CoolantState, check_bottle
from commission.stages.fill.model.fill import Drain, Evaporation, FillSetup, Pour, Reservoir, Spill, SyringeOut
from commission.storage.codec import decode, encode
from tests.fills import MYSTERY, PREMIX, READY, WATER, bottle, cycle, cycles, dose


@pytest.mark.parametrize("good", [WATER, PREMIX, READY, MYSTERY, bottle(Base.ETHYLENE_GLYCOL, 1.0)])
def test_a_plain_label_is_taken(good: Bottle) -> None:
    check_bottle(good)


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (bottle(Base.PROPYLENE_GLYCOL), "type its share of glycol and whether it is by mass or by volume"),
        (bottle(Base.PROPYLENE_GLYCOL, 0.3, basis=None), "30 % glycol: type whether that is by mass or by volume"),
        (bottle(Base.PROPYLENE_GLYCOL, 30.0), "3000 % is no share"),
        (bottle(Base.PROPYLENE_GLYCOL, 0.0), "0 % is no share"),
        (bottle(Base.PROPYLENE_GLYCOL, float("nan")), "nan % is no share"),
        (bottle(Base.PROPYLENE_GLYCOL, 0.3, u_fraction=0.6), "uncertainty of its share"),
        (bottle(Base.WATER, 0.3), "a share of glycol means nothing"),
        (bottle(Base.READY_MIX), "type the density of its data sheet"),
        (bottle(Base.READY_MIX, density_kg_m3=1.035), r"1\.035 kg/m3 is no density of a coolant"),
        (bottle(size_m3=0.0), "needs a size above 0"),
    ],
)
def test_a_label_that_contradicts_itself_is_refused_with_what_to_type(bad: Bottle, words: str) -> None:
    with pytest.raises(InputError, match=words) as refused:
        check_bottle(bad)
    assert "\n" not in str(refused.value)


def test_bottles_of_one_product_are_the_same_to_mix() -> None:
    one = bottle(Base.READY_MIX, name="first", product="Blue  No. 1")
    other = bottle(Base.READY_MIX, name="second", product="blue no. 1")
    assert one.kind == other.kind != READY.kind
    assert bottle(name="Tap").kind == bottle(name=" tap ").kind


def test_a_ready_mix_that_nobody_named_goes_by_its_density() -> None:
    one = bottle(Base.READY_MIX, name="ready mix", density_kg_m3=1035.0)
    assert one.kind == replace(one, name="ready mix 2").kind
    assert one.kind != replace(one, name="ready mix 2", density_kg_m3=1010.0).kind
    assert one.kind != replace(one, name="red can").kind
    assert one.kind != replace(one, product="Red").kind


def test_an_unknown_mixture_states_no_fraction() -> None:
    assert EMPTY.mass_fraction is None
    assert CoolantState(base=Base.UNKNOWN, glycol_kg=None, total_kg=1.0).mass_fraction is None
    assert CoolantState(base=Base.PROPYLENE_GLYCOL, glycol_kg=0.3, total_kg=None).mass_fraction is None
    assert CoolantState(base=Base.PROPYLENE_GLYCOL, glycol_kg=0.3, total_kg=1.2).mass_fraction == pytest.approx(0.25)


RECORDS = [
    WATER,
    bottle(Base.ETHYLENE_GLYCOL, 0.5, basis=Basis.VOLUME, lot="7", opened_on="2026-01-05"),
    Pour(bottle=PREMIX, dose=dose(100, 102.4)),
    Drain(dose=dose(50)),
    Spill(dose=dose(5), bottle=PREMIX),
    Spill(dose=dose(5)),
    SyringeOut(dose=dose(5)),
    Evaporation(dose=dose(5, 5)),
    Reservoir(bore_m=0.06, height_m=0.2),
    cycle(1, 3.0).cycle,
    BleedRule(last_cycles=3, span_s=3600.0, top_up_m3=2e-6),
    SqueezeCheck(
        first_pa=1e5,
        u_first_pa=10.0,
        second_pa=1.2e5,
        u_second_pa=10.0,
        fall_m3=1e-6,
        u_fall_m3=1e-7,
        compliance_m3_pa=0.0,
        u_compliance_m3_pa=0.0,
        liquid_m3=1e-3,
        liquid_k=293.15,
    ),
    evaluate_fill(
        [Pour(bottle=PREMIX, dose=dose(800, u_ml=2)), Pour(bottle=WATER, dose=dose(60))],
        FillSetup(
            expected=LoopVolume(volume_m3=9e-4, u_volume_m3=3e-5, basis="parts"),
            missing_share=0.3,
        ),
    ),
    evaluate_fill([Pour(bottle=MYSTERY, dose=dose(800))], FillSetup(expected=None, missing_share=0.3)),
    evaluate_bleed(cycles(40, 12, 4, 1), BleedRule(last_cycles=3, span_s=3600.0, top_up_m3=2e-6)),
    evaluate_bleed([], BleedRule(last_cycles=3, span_s=3600.0, top_up_m3=2e-6)),
]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: type(record).__name__)
def test_each_record_can_stand_in_the_log_and_be_read_back(record: object) -> None:
    written: object = encode(record)
    assert decode(type(record), written) == record
