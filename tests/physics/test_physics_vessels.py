"""Volumes of levels against geometry worked by hand."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.glycol import Glycol
from commission.physics.vessels import level_volume, ring_area

PG = Glycol.PROPYLENE


def test_a_round_reservoir() -> None:
    # Source: π(D² − d²)/4000 mL a millimetre for 60 mm, bare and with a 12 mm tube in it. Status: computed.
    assert ring_area(0.060) * 1e3 == pytest.approx(2.827433, rel=1e-6)
    assert ring_area(0.060, 0.012) * 1e3 == pytest.approx(2.714336, rel=1e-6)
    assert level_volume(0.150, 0.200, 0.060) * 1e6 == pytest.approx(424.1150, rel=1e-6)


@settings(deadline=None)
@given(st.floats(0.01, 0.2), st.floats(0.0, 0.9), st.floats(0.05, 0.5), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_higher_level_is_more(bore: float, share: float, height: float, one: float, other: float) -> None:
    low, high = sorted((one * height, other * height))
    insert = share * bore
    assert level_volume(low, height, bore, insert) <= level_volume(high, height, bore, insert)
    assert level_volume(height, height, bore, insert) <= math.pi / 4 * bore**2 * height * (1 + 1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: level_volume(0.201, 0.200, 0.060), "level_m must be between 0 and 0.2, not 0.201"),
        (lambda: level_volume(-0.001, 0.200, 0.060), "level_m must be between"),
        (lambda: ring_area(0.012, 0.012), "gap_m must be above 0"),
        (lambda: ring_area(0.0), "bore_m must be above 0"),
    ],
)
def test_what_no_vessel_is_like_is_refused(call: object, words: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=words):
        call()
