"""What is in the loop after any row of pours and losses, against balances of mass worked by hand."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.stages.fill.judge.mixture import Running, fold_movements
from commission.stages.fill.model.coolant import EMPTY, Base, Bottle, CoolantState
from commission.stages.fill.model.fill import Drain, Evaporation, Movement, Pour, Spill, SyringeOut, Way
from tests.fills import EG_PREMIX, MYSTERY, PREMIX, READY, WATER, bottle, dose


def after(*moves: Movement) -> Running:
    return fold_movements(moves)[-1]


def state(*moves: Movement) -> CoolantState:
    return after(*moves).coolant


def test_bleeding_with_plain_water_thins_the_fill() -> None:
    # Source: balance of mass by hand: 812.4 g at .300, then 63.0, 21.5, 8.2 g of water. Status: computed.
    moves = [Pour(bottle=PREMIX, dose=dose(793.5, 812.4))]
    moves += [Pour(bottle=WATER, dose=dose(g, g)) for g in (63.0, 21.5, 8.2)]
    shares = [running.coolant.mass_fraction for running in fold_movements(moves)]
    assert shares == pytest.approx([0.300, 0.278410, 0.271736, 0.269274], abs=1e-6)


def test_bleeding_with_premix_keeps_it() -> None:
    moves = [Pour(bottle=PREMIX, dose=dose(g, g)) for g in (812.4, 63.0, 21.5, 8.2)]
    assert state(*moves).mass_fraction == pytest.approx(0.300)


def test_evaporation_and_drains_ask_for_different_top_ups() -> None:
    # Source: balance of mass by hand: 1000 g at .30 lose 40 g of water, then get 40 g. Status: computed.
    full = Pour(bottle=PREMIX, dose=dose(977, 1000))
    dry = Evaporation(dose=dose(40, 40))
    assert state(full, dry).mass_fraction == pytest.approx(0.312500, abs=1e-9)
    assert state(full, dry, Pour(bottle=PREMIX, dose=dose(39, 40))).mass_fraction == pytest.approx(0.312, abs=1e-9)
    assert state(full, dry, Pour(bottle=WATER, dose=dose(40, 40))).mass_fraction == pytest.approx(0.300, abs=1e-9)
    leak: list[Movement] = [Drain(dose=dose(39, 40)), Pour(bottle=WATER, dose=dose(40, 40))] * 5
    assert state(full, *leak).mass_fraction == pytest.approx(0.244612, abs=1e-6)


@pytest.mark.parametrize("lost", [Drain, SyringeOut, Spill])
def test_what_leaves_the_loop_leaves_the_fraction(lost: type[Drain | SyringeOut | Spill]) -> None:
    there = state(Pour(bottle=PREMIX, dose=dose(977, 1000)), lost(dose=dose(97.7, 100)))
    assert there.mass_fraction == pytest.approx(0.300)
    assert there.total_kg == pytest.approx(0.900)
    assert there.glycol_kg == pytest.approx(0.270)


def test_what_missed_the_filler_takes_the_bottles_own_fraction_back() -> None:
    # Source: balance of mass by hand: 1000 g of water and 100 g at .30, of which 50 g never got in: 15/1050.
    there = state(
        Pour(bottle=WATER, dose=dose(1002, 1000)),
        Pour(bottle=PREMIX, dose=dose(97.7, 100)),
        Spill(dose=dose(48.85, 50), bottle=PREMIX),
    )
    assert there.total_kg == pytest.approx(1.050)
    assert there.mass_fraction == pytest.approx(0.015 / 1.050)


@pytest.mark.parametrize(
    ("first", "second", "why"),
    [
        (PREMIX, EG_PREMIX, "propylene glycol and ethylene glycol are mixed"),
        (READY, WATER, "ready mix and water are mixed"),
        (PREMIX, READY, "propylene glycol and ready mix are mixed"),
        (READY, bottle(Base.READY_MIX, name="other", density_kg_m3=1010.0), "two different ready mixes are mixed"),
        (MYSTERY, WATER, "nobody knows what bottle of unknown is made of"),
        (WATER, MYSTERY, "nobody knows what bottle of unknown is made of"),
    ],
)
def test_of_a_mixture_of_unlike_things_no_fraction_can_be_stated(first: Bottle, second: Bottle, why: str) -> None:
    mixed = state(Pour(bottle=first, dose=dose(500)), Pour(bottle=second, dose=dose(100)))
    assert mixed.base is Base.UNKNOWN
    assert mixed.mass_fraction is None
    assert mixed.glycol_kg is None
    assert mixed.why == why
    still = state(*(Pour(bottle=b, dose=dose(500)) for b in (first, second, WATER, PREMIX)))
    assert still.mass_fraction is None


def test_the_volume_of_an_unknown_mixture_is_still_counted() -> None:
    there = after(Pour(bottle=MYSTERY, dose=dose(500)), Pour(bottle=PREMIX, dose=dose(100)), Drain(dose=dose(50)))
    assert there.volume_m3 * 1e6 == pytest.approx(550)
    assert there.coolant.total_kg is None


def test_a_ready_mix_by_itself_stays_one() -> None:
    there = after(Pour(bottle=READY, dose=dose(500)), Pour(bottle=READY, dose=dose(100)))
    assert there.coolant.base is Base.READY_MIX
    assert there.coolant.total_kg == pytest.approx(600e-6 * 1035)
    assert there.only == READY


def test_water_and_glycol_make_that_glycol_whichever_comes_first() -> None:
    # Source: balance of mass by hand: 30 g of glycol in 200 g.
    premix, water = Pour(bottle=PREMIX, dose=dose(97.7, 100)), Pour(bottle=WATER, dose=dose(100.2, 100))
    for moves in ((premix, water), (water, premix)):
        there = state(*moves)
        assert there.base is Base.PROPYLENE_GLYCOL
        assert there.mass_fraction == pytest.approx(0.150)


def test_draining_everything_clears_what_was_mixed() -> None:
    mixed: list[Movement] = [
        Pour(bottle=PREMIX, dose=dose(500)),
        Pour(bottle=EG_PREMIX, dose=dose(500)),
        Drain(dose=dose(1000)),
    ]
    assert state(*mixed) == EMPTY
    assert state(*mixed, Pour(bottle=WATER, dose=dose(100))).base is Base.WATER


def test_volumes_are_referred_to_one_temperature() -> None:
    # Source: MPG 0.30, 900 mL at 20 °C are 904.32366 mL at 30 °C (CoolProp 8.0.0). Status: computed.
    there = after(Pour(bottle=PREMIX, dose=dose(904.32366, at_k=303.15)))
    assert there.volume_m3 * 1e6 == pytest.approx(900.0, abs=2e-3)


@pytest.mark.parametrize(("base", "litres"), [(Base.ETHYLENE_GLYCOL, 1.97654), (Base.PROPYLENE_GLYCOL, 1.95715)])
def test_mixing_in_the_loop_takes_its_per_cent(base: Base, litres: float) -> None:
    # Source: 1 L of pure glycol and 1 L of water at 20 °C (thermo and CoolProp 8.0.0). Status: computed.
    pure = bottle(base, 1.0)
    there = after(Pour(bottle=WATER, dose=dose(1000)), Pour(bottle=pure, dose=dose(1000)))
    assert there.volume_m3 * 1e3 == pytest.approx(litres, rel=1e-3)
    assert there.contraction_m3 * 1e3 == pytest.approx(2 - litres, rel=0.02)
    same = after(Pour(bottle=PREMIX, dose=dose(500)), Pour(bottle=PREMIX, dose=dose(500)))
    assert same.contraction_m3 == 0


def test_doubts_of_one_bottle_add_up_and_readings_average_out() -> None:
    # Source: JCGM 100 5.2.2 by hand: shared 5 + 5 mL, readings 3 and 4 mL.
    pours = [
        Pour(bottle=PREMIX, dose=dose(500, u_ml=3.0, u_shared_m3=5e-6)),
        Pour(bottle=PREMIX, dose=dose(500, u_ml=4.0, u_shared_m3=5e-6)),
    ]
    assert after(*pours).u_volume_m3 * 1e6 == pytest.approx(math.sqrt(3**2 + 4**2 + 10**2))
    two = [pours[0], Pour(bottle=WATER, dose=dose(500, u_ml=4.0, u_shared_m3=5e-6))]
    assert after(*two).u_volume_m3 * 1e6 == pytest.approx(math.sqrt(3**2 + 4**2 + 5**2 + 5**2), rel=1e-6)


def test_the_error_of_one_cup_is_shared_whatever_it_measured() -> None:
    cup: list[Movement] = [Pour(bottle=b, dose=dose(500, way=Way.VOLUME, u_shared_m3=5e-6)) for b in (WATER, PREMIX)]
    assert after(*cup).u_volume_m3 * 1e6 == pytest.approx(10.0, rel=1e-6)
    back: list[Movement] = [*cup, Drain(dose=dose(400, way=Way.VOLUME, u_shared_m3=4e-6))]
    assert after(*back).u_volume_m3 * 1e6 == pytest.approx(6.0, rel=1e-3)


def test_more_out_than_in_is_kept_in_mind() -> None:
    there = after(Pour(bottle=WATER, dose=dose(500)), Drain(dose=dose(520)))
    assert there.lacking_m3 * 1e6 == pytest.approx(20.0, abs=0.1)
    assert there.volume_m3 == 0
    gone = after(Pour(bottle=PREMIX, dose=dose(500)), Evaporation(dose=dose(450)))
    assert gone.lacking_m3 * 1e6 == pytest.approx(450.0, rel=0.01)


BOTTLES = st.sampled_from([WATER, PREMIX, EG_PREMIX, READY, MYSTERY, bottle(Base.PROPYLENE_GLYCOL, 1.0)])
DOSES = st.builds(dose, st.floats(0.1, 800.0), u_ml=st.floats(0.0, 5.0))
MOVES = st.one_of(
    st.builds(lambda b, d: Pour(bottle=b, dose=d), BOTTLES, DOSES),
    st.builds(lambda d: Drain(dose=d), DOSES),
    st.builds(lambda d: SyringeOut(dose=d), DOSES),
    st.builds(lambda b, d: Spill(bottle=b, dose=d), st.none() | BOTTLES, DOSES),
    st.builds(lambda d: Evaporation(dose=d), DOSES),
)


@settings(deadline=None, max_examples=150)
@given(st.lists(MOVES, max_size=8))
def test_no_row_of_movements_breaks_the_books(moves: list[Movement]) -> None:
    # Source: conservation of mass; a share lies between 0 and 1.
    for running in fold_movements(moves):
        coolant = running.coolant
        assert running.volume_m3 >= 0
        assert math.isfinite(running.u_volume_m3)
        assert running.lacking_m3 >= 0
        assert coolant.mass_fraction is None or -1e-12 <= coolant.mass_fraction <= 1 + 1e-12
        assert coolant.total_kg is None or coolant.total_kg >= 0
        if coolant.base in (Base.UNKNOWN, Base.READY_MIX):
            assert coolant.mass_fraction is None
            assert coolant.why


@settings(deadline=None)
@given(st.lists(st.tuples(st.sampled_from([WATER, PREMIX]), st.floats(1.0, 500.0)), min_size=1, max_size=6))
def test_the_order_of_pours_does_not_matter(pours: list[tuple[Bottle, float]]) -> None:
    # Source: masses add up in any order; the volume is that of the mixture.
    forth = after(*(Pour(bottle=b, dose=dose(ml)) for b, ml in pours))
    back = after(*(Pour(bottle=b, dose=dose(ml)) for b, ml in reversed(pours)))
    assert forth.coolant.total_kg == pytest.approx(back.coolant.total_kg)
    assert forth.coolant.mass_fraction == pytest.approx(back.coolant.mass_fraction, abs=1e-12)
    assert forth.volume_m3 == pytest.approx(back.volume_m3, rel=1e-9)
