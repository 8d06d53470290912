"""The flow of a fan at another speed, against the fan laws."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.physics.fans import flow_ratio


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
