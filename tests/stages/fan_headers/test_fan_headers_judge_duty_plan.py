"""The duty plan against worked figures, always marked as an estimate."""

import pytest

from commission.base.frozen import replace
from commission.stages.fan_headers.judge.duties import plan_duties
from commission.stages.fan_headers.model.duties import DutyLeft

TOP = DutyLeft(
    chain="top", zone="radiator", duty_pct=70, rpm=1050, full_rpm=1500, fans=6, level_db=24.0, minimum_pct=40
)
REAR = DutyLeft(chain="rear", zone="board", duty_pct=40, rpm=600, full_rpm=1200, fans=1, level_db=28.0)


def test_six_fans_at_seven_tenths() -> None:
    # Source: fan laws; 24 + 7.78 − 7.75 by hand, 50 log10 common practice, 55 log10 from memory. Status: computed.
    plan = plan_duties([TOP])
    top = plan.sound[0]
    assert top.change_db == pytest.approx(-7.75, abs=0.005)
    assert top.change_high_db == pytest.approx(-8.52, abs=0.005)
    assert top.flow_share == pytest.approx(0.7, abs=1e-9)
    assert top.level_db == pytest.approx(24.04, abs=0.01)
    assert plan.notes[0].code == "estimate_only"
    assert "common practice, no source" in plan.notes[0].template


def test_chains_add_up_where_every_label_is_known() -> None:
    # 24.04 dB and 28 − 15.05 = 12.95 dB: 10 log10(10^2.404 + 10^1.295) = 24.36. Status: computed.
    assert plan_duties([TOP, REAR]).total_db == pytest.approx(24.36, abs=0.01)
    assert plan_duties([TOP, replace(REAR, level_db=None)]).total_db is None
    assert plan_duties([]).total_db is None


def test_without_speeds_nothing_is_estimated_from_the_duty() -> None:
    plan = plan_duties([replace(TOP, rpm=None), replace(REAR, full_rpm=None)])
    assert (plan.sound, plan.notes, plan.total_db) == ((), (), None)


def test_a_duty_below_the_advised_minimum_warns() -> None:
    low = replace(TOP, duty_pct=30)
    assert [warning.code for warning in plan_duties([TOP, low]).warnings] == ["below_minimum"]
    assert [warning.code for warning in plan_duties([replace(REAR, rpm=0)]).warnings] == ["left_standing"]
