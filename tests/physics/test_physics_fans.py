"""The flow of a fan at another speed, against the fan laws."""

import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.fans import flow_ratio


def shown_by_two(first: float, second: float, low_share: float, seed: int) -> float:
    """Return the mean speed that counting low-going edges of two ANDed tachs shows over a minute at two pulses a turn.

    A stdlib simulation: each output pulls low for a share of its period; the line is low while either is.
    """
    edges = []
    rng = random.Random(seed)
    for speed in (first, second):
        period = 60 / (2 * speed)
        phase = rng.random() * period
        t = phase - period
        while t < 60:
            edges += [(t, +1), (t + low_share * period, -1)]
            t += period
    low = count = 0
    for at, change in sorted(edges):
        count += low == 0 and change > 0 and 0 <= at < 60
        low += change
    return count * 60 / (2 * 60)


def test_the_fan_laws_at_seven_tenths() -> None:
    # Source: fan laws, two secondary engineering texts. Status: computed.
    assert flow_ratio(0.7) == pytest.approx(0.7)


@settings(deadline=None)
@given(st.floats(0.1, 3.0), st.floats(0.1, 3.0))
def test_the_fan_laws_go_one_after_the_other(first: float, second: float) -> None:
    assert flow_ratio(first) * flow_ratio(second) == pytest.approx(flow_ratio(first * second), rel=1e-12)


def test_what_no_fan_can_do_is_refused_by_name() -> None:
    refused: list[tuple[Callable[[], object], str]] = [
        (lambda: flow_ratio(-0.1), "speed_ratio"),
    ]
    for call, name in refused:
        with pytest.raises(ValueError, match=name):
            call()
