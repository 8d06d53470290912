"""Current of a pin, drop and heat of power cables, against worked figures."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.electrical import cable_drop, current_per_pin, wire_heat


@pytest.mark.parametrize(("amperes", "pins", "each"), [(150 / 12, 3, 4.16667), (600 / 12, 6, 8.33333), (26, 4, 6.5)])
def test_the_current_of_a_pin(amperes: float, pins: int, each: float) -> None:
    # Source: division; connector powers by the ATX version 3 design guide, tables 5-5 and 5-7. Status: computed.
    assert current_per_pin(amperes, pins) == pytest.approx(each, abs=1e-5)


def test_a_processor_cable_loses_a_sixth_of_a_volt() -> None:
    # Source: 26 A, 4 + 4 wires, 0.65 m; gauge formula and IACS copper (from memory). Status: computed.
    assert cable_drop(26, 4, 18, 0.65) * 1e3 == pytest.approx(177.009, rel=1e-4)
    assert cable_drop(26, 4, 18, 0.65, temperature_k=333.15) * 1e3 == pytest.approx(204.834, rel=1e-4)
    assert cable_drop(26, 4, 16, 0.65) * 1e3 == pytest.approx(111.322, rel=1e-4)
    assert wire_heat(6.5, 18, 0.65) == pytest.approx(0.575278, rel=1e-5)


def test_a_graphics_cable_loses_most_in_its_contacts() -> None:
    # Source: 150 W, 3 pairs, 0.6 m of AWG 18, two contacts of 10 mΩ (largest initial, from memory). Status: computed.
    wire = cable_drop(12.5, 3, 18, 0.6)
    assert wire * 1e3 == pytest.approx(104.739, rel=1e-4)
    with_contacts = cable_drop(12.5, 3, 18, 0.6, contacts=2, contact_ohm=0.010)
    assert (with_contacts - wire) * 1e3 == pytest.approx(166.667, rel=1e-4)
    assert with_contacts * 1e3 == pytest.approx(271.406, rel=1e-4)


def test_the_twelve_way_cable_at_six_hundred_watts() -> None:
    # Source: 600 W, 6 pairs, 0.6 m of AWG 16. Status: computed.
    assert cable_drop(50, 6, 16, 0.6) * 1e3 == pytest.approx(131.742, rel=1e-4)


@settings(deadline=None)
@given(st.floats(0.0, 60.0), st.integers(1, 12), st.integers(12, 26), st.floats(0.1, 2.0))
def test_more_pairs_lose_less(current: float, pairs: int, gauge: int, length: float) -> None:
    drop = cable_drop(current, pairs, gauge, length)
    assert cable_drop(current, pairs + 1, gauge, length) <= drop
    assert cable_drop(2 * current, pairs, gauge, length) == pytest.approx(2 * drop, rel=1e-12)


def test_what_is_no_cable_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: current_per_pin(-1.0, 3), "current_a"),
        (lambda: current_per_pin(1.0, 0), "pins"),
        (lambda: cable_drop(1.0, 25, 18, 0.5), "pins"),
        (lambda: wire_heat(-1.0, 18, 0.5), "current_a"),
        (lambda: wire_heat(1.0, 50, 0.5), "gauge"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
