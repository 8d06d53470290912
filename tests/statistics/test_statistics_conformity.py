"""Guard bands against the table of JCGM 106 and hand calculations."""

import pytest

from commission.statistics.conformity import guard_band


def test_the_bounds_of_the_leak_examples() -> None:
    # Source: 1.644854·1.5e-4 by hand. Status: computed.
    width = guard_band(1.5e-4)
    assert 2.0e-4 + width == pytest.approx(4.46728e-4, rel=1e-6)
    assert 8.0e-4 + width == pytest.approx(1.046728e-3, rel=1e-6)
    assert 1.3e-3 - width == pytest.approx(1.053272e-3, rel=1e-6)


@pytest.mark.parametrize(
    ("confidence", "z"),
    [(0.80, 0.841621), (0.90, 1.281552), (0.95, 1.644854), (0.99, 2.326348), (0.999, 3.090232)],
)
def test_the_guard_band_for_the_usual_probabilities(confidence: float, z: float) -> None:
    # Source: JCGM 106:2012 Table 1 tabulates z; digits computed with scipy.
    assert guard_band(1.0, confidence=confidence) == pytest.approx(z, abs=5e-7)


def test_no_uncertainty_or_an_even_chance_needs_no_guard_band() -> None:
    # Source: w = z·u with u = 0, and z = 0 for 50 % (JCGM 106:2012, simple acceptance).
    assert guard_band(0.0) == 0.0
    assert guard_band(1.0, confidence=0.5) == 0.0


@pytest.mark.parametrize("wrong", [{"u": -1.0}, {"u": float("inf")}, {"confidence": 0.4}])
def test_impossible_figures_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="u must be 0 or more"):
        guard_band(**({"u": 1.0} | wrong))
