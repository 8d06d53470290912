"""Mixing and the books of a loop against hand calculations, and conservation of mass."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.glycol import Glycol, freezing_point
from commission.physics.mixing import Books, after_adding, after_evaporating, after_removing, blend, pearson_square

PG = Glycol.PROPYLENE


def test_two_kilograms_at_thirty_per_cent_from_a_premix_and_water() -> None:
    # Source: Pearson's square by hand. Status: computed.
    rich, lean = pearson_square(0.30, 0.45, 0.0, 2.0)
    assert rich == pytest.approx(1.33333, rel=1e-5)
    assert lean == pytest.approx(0.66667, rel=1e-5)


@settings(deadline=None)
@given(st.floats(0.0, 0.5), st.floats(0.001, 0.5), st.floats(0.0, 1.0), st.floats(1e-3, 10.0))
def test_the_square_keeps_the_mass_of_glycol(lean: float, gap: float, share: float, total: float) -> None:
    # Source: balance of mass.
    rich = lean + gap
    target = min(lean + share * gap, rich)
    rich_kg, lean_kg = pearson_square(target, rich, lean, total)
    assert min(rich_kg, lean_kg) >= -1e-9
    assert rich_kg + lean_kg == pytest.approx(total)
    assert rich_kg * rich + lean_kg * lean == pytest.approx(total * target, abs=1e-9)


@pytest.mark.parametrize(
    ("target", "rich", "lean", "total"),
    [
        (0.5, 0.45, 0.0, 1.0),
        (0.1, 0.45, 0.2, 1.0),
        (0.3, 0.3, 0.3, 1.0),
        (0.3, 45.0, 0.0, 1.0),
        (0.3, 0.45, 0.0, 0.0),
        (float("nan"), 0.45, 0.0, 1.0),
    ],
)
def test_a_target_outside_of_what_is_mixed_is_refused(target: float, rich: float, lean: float, total: float) -> None:
    with pytest.raises(ValueError, match="must be"):
        pearson_square(target, rich, lean, total)


@pytest.mark.parametrize(
    ("which", "pure_kg_m3", "litres", "x", "less"),
    [
        (Glycol.ETHYLENE, 1113.389, 1.97654, 0.527274, 0.0117),
        (Glycol.PROPYLENE, 1036.383, 1.95715, 0.50938, 0.0214),
    ],
)
def test_a_litre_of_glycol_and_a_litre_of_water_are_less_than_two(
    which: Glycol, pure_kg_m3: float, litres: float, x: float, less: float
) -> None:
    # Source: pure density from thermo 0.6.1, mixture from CoolProp 8.0.0, 20 °C. Status: computed.
    masses = (pure_kg_m3 * 1e-3, 998.2072e-3)
    made = blend(which, masses, (1.0, 0.0), (pure_kg_m3, 998.2072), 293.15)
    assert masses[0] / sum(masses) == pytest.approx(x, rel=1e-5)
    assert made.mixed_m3 * 1e3 == pytest.approx(litres, rel=2e-3)
    assert made.mixed_m3 * 1e3 == pytest.approx(litres, rel=1e-5)
    assert made.contraction == pytest.approx(less, abs=1e-4)


def test_topping_up_with_plain_water_thins_the_coolant() -> None:
    # Source: balance of mass by hand; freezing points from CoolProp 8.0.0. Status: computed.
    books = Books(0.8124 * 0.300, 0.8124)
    assert books.glycol_kg == pytest.approx(0.243720)
    for water_kg, x in ((0.063, 0.278410), (0.0215, 0.271736), (0.0082, 0.269274)):
        books = after_adding(books, water_kg, 0.0)
        assert books.mass_fraction == pytest.approx(x, abs=1e-6)
    assert freezing_point(PG, books.mass_fraction) - 273.15 == pytest.approx(-10.891, abs=1e-3)


def test_topping_up_with_premix_keeps_the_coolant() -> None:
    books = Books(0.8124 * 0.300, 0.8124)
    for mix_kg in (0.063, 0.0215, 0.0082):
        books = after_adding(books, mix_kg, 0.300)
    assert books.mass_fraction == pytest.approx(0.300)


def test_water_that_evaporated_is_replaced_by_water_and_not_by_premix() -> None:
    # Source: balance of mass by hand. Status: computed.
    dry = after_evaporating(Books(0.3, 1.0), 0.040)
    assert dry.mass_fraction == pytest.approx(0.312500, abs=1e-9)
    assert after_adding(dry, 0.040, 0.0).mass_fraction == pytest.approx(0.300000, abs=1e-9)
    assert after_adding(dry, 0.040, 0.300).mass_fraction == pytest.approx(0.312000, abs=1e-9)


def test_a_leak_topped_up_with_water_washes_the_glycol_out() -> None:
    # Source: .30·0.96^5 by hand. Status: computed.
    books = Books(0.3, 1.0)
    for _ in range(5):
        books = after_adding(after_removing(books, 0.040), 0.040, 0.0)
    assert books.mass_fraction == pytest.approx(0.244612, abs=1e-6)


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(["add", "remove", "evaporate"]), st.floats(0.0, 0.5), st.floats(0.0, 1.0))),
)
def test_mass_is_kept_whatever_is_done(moves: list[tuple[str, float, float]]) -> None:
    # Source: conservation of mass.
    books, came, went = Books(0.3, 1.0), 1.0, 0.0
    for move, kg, x in moves:
        if move == "add":
            books, came = after_adding(books, kg, x), came + kg
        elif move == "remove" and kg <= books.total_kg:
            before = books.mass_fraction
            books, went = after_removing(books, kg), went + kg
            assert books.total_kg == 0 or books.mass_fraction == pytest.approx(before)
        elif move == "evaporate" and kg <= books.total_kg - books.glycol_kg:
            before = books.mass_fraction
            books, went = after_evaporating(books, kg), went + kg
            assert books.total_kg == 0 or books.mass_fraction >= before - 1e-12
    assert books.total_kg == pytest.approx(came - went, abs=1e-9)
    assert 0 <= books.mass_fraction <= 1


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: after_removing(Books(0.3, 1.0), 1.1), "mass_kg must be between 0 and 1, not 1.1"),
        (lambda: after_evaporating(Books(0.3, 1.0), 0.71), "water_kg must be between 0 and 0.7"),
        (lambda: after_adding(Books(0.3, 1.0), -0.1, 0.3), "mass_kg must be 0 or more"),
        (lambda: after_adding(Books(0.3, 1.0), 0.1, 30.0), "mass_fraction must be between"),
        (lambda: after_adding(Books(1.3, 1.0), 0.1, 0.3), "glycol_kg must be between"),
        (lambda: after_removing(Books(0.3, 1.0), float("nan")), "must be a finite number"),
        (lambda: blend(PG, (0.0, 0.0), (1.0, 0.0), (1036.0, 998.0), 293.15), "total_kg must be above 0"),
        (lambda: blend(PG, (1.0, 0.1), (1.0, 0.0), (1036.0, 998.0), 293.15), "mass_fraction must be between"),
        (lambda: blend(PG, (1.0, 1.0), (1.0, 0.0), (0.0, 998.0), 293.15), "rich_density must be above 0"),
    ],
)
def test_what_cannot_be_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()


def test_an_empty_loop_has_no_glycol() -> None:
    assert after_removing(Books(0.3, 1.0), 1.0).mass_fraction == 0
    assert after_adding(Books(0.0, 0.0), 0.5, 0.3).mass_fraction == pytest.approx(0.3)
