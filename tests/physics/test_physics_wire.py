"""Copper wire by its gauge, against published tables."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.wire import resistance_per_metre, wire_area, wire_diameter, wire_resistance

FEET_1000_M = 304.8  # exact


@pytest.mark.parametrize(
    ("gauge", "d_mm", "a_mm2", "milliohm"),
    [
        (14, 1.62773, 2.080908, 8.28533),
        (16, 1.29085, 1.308696, 13.17419),
        (18, 1.02369, 0.823047, 20.94778),
        (20, 0.81182, 0.517619, 33.30827),
        (22, 0.64380, 0.325534, 52.96222),
        (24, 0.51056, 0.204730, 84.21323),
        (26, 0.40489, 0.128756, 133.90428),
        (28, 0.32109, 0.080976, 212.91614),
    ],
)
def test_the_gauges_of_hand_made_cables(gauge: int, d_mm: float, a_mm2: float, milliohm: float) -> None:
    # Source: the gauge's formula (ASTM B258) and IACS copper (from memory), worked elsewhere. Status: computed.
    assert wire_diameter(gauge) * 1e3 == pytest.approx(d_mm, abs=6e-6)
    assert wire_area(gauge) * 1e6 == pytest.approx(a_mm2, abs=6e-7)
    assert resistance_per_metre(gauge) * 1e3 == pytest.approx(milliohm, rel=1e-6)


@pytest.mark.parametrize(("gauge", "table"), [(16, 4.016), (18, 6.385), (20, 10.15), (22, 16.14)])
def test_the_published_table_in_ohm_a_thousand_feet(gauge: int, table: float) -> None:
    # Source: AWG table of GSU HyperPhysics and two commercial tables. Status: read.
    assert resistance_per_metre(gauge) * FEET_1000_M == pytest.approx(table, rel=1e-3)


def test_warm_wire_has_more_resistance() -> None:
    # Source: IACS coefficient 0.00393 (from memory); AWG 18 at 60 °C. Status: computed.
    assert resistance_per_metre(18, 333.15) * 1e3 == pytest.approx(24.24077, rel=1e-6)


def test_a_wire_with_two_contacts() -> None:
    # Source: 0.6 m of AWG 18 and 2 × 10 mΩ (contact from memory). Status: computed.
    assert wire_resistance(18, 0.6, contacts=2, contact_ohm=0.010) * 1e3 == pytest.approx(32.569, rel=1e-3)


@settings(deadline=None)
@given(st.integers(-3, 34))
def test_six_gauges_finer_is_half_the_diameter(gauge: int) -> None:
    # Source: 92^(6/39) = 2.0050, the rule of thumb of the trade.
    assert wire_diameter(gauge) / wire_diameter(gauge + 6) == pytest.approx(2.0050, abs=1e-4)


@settings(deadline=None)
@given(st.integers(10, 30), st.floats(0.05, 5.0), st.floats(1.01, 3.0))
def test_resistance_grows_with_length_and_with_a_finer_gauge(gauge: int, length: float, factor: float) -> None:
    ohm = wire_resistance(gauge, length)
    assert wire_resistance(gauge, length * factor) == pytest.approx(ohm * factor, rel=1e-12)
    assert wire_resistance(gauge + 1, length) > ohm


def test_what_is_no_wire_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: wire_diameter(41), "gauge"),
        (lambda: wire_area(-4), "gauge"),
        (lambda: resistance_per_metre(18, 60.0), "temperature_k"),
        (lambda: wire_resistance(18, 0.0), "length_m"),
        (lambda: wire_resistance(18, 101.0), "length_m"),
        (lambda: wire_resistance(18, 1.0, contacts=-1), "contacts"),
        (lambda: wire_resistance(18, 1.0, contact_ohm=2.0), "contact_ohm"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
