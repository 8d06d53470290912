"""Sweeps exactly at the edges of the rules, where < and <= part."""

import pytest

from commission.record.machine.seats import Drive
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.judge.sweep_levels import Level, Noise, Visit, standard_error
from commission.stages.fan_headers.judge.sweep_word import cv_of
from commission.stages.fan_headers.model.sweep import (
    Direction,
    Sweep,
    SweepReading,
    SweepSetup,
    SweepVerdict,
    SweepWord,
)
from tests.stages.fan_headers.sweep_makers import SIX, both_ways, once, sampled

PLAIN = SweepSetup()
W = SweepWord

# The rules themselves are proposals of our own; these cases follow from their wording.


def judged(sweep: Sweep, setup: SweepSetup = PLAIN) -> SweepVerdict:
    return evaluate_fan_headers(sweep, setup)


def codes(verdict: SweepVerdict) -> set[str]:
    return {phrase.code for phrase in (*verdict.reasons, *verdict.findings, *verdict.causes)}


@pytest.mark.parametrize(("lowest", "word"), [(50, W.CONTROLLED), (51, W.INSUFFICIENT)])
def test_fifty_points_of_duty_are_enough(lowest: float, word: SweepWord) -> None:
    duties = (lowest, 60, 70, 80, 90, 100)
    assert judged(sampled([15 * duty for duty in duties], duties)).word is word


@pytest.mark.parametrize(("low", "word"), [(1200, W.CONTROLLED), (1201, W.WEAK)])
def test_a_fifth_of_change_is_control(low: float, word: SweepWord) -> None:
    centres = (low, 1260, 1320, 1380, 1440, 1500)
    assert judged(sampled(centres, scatter=(-2, 1, 0, 1, -2))).word is word


@pytest.mark.parametrize(("full", "word"), [(1200, W.INVERTED), (1201, W.INCONCLUSIVE)])
def test_a_fifth_of_change_the_other_way_is_inverted(full: float, word: SweepWord) -> None:
    centres = (1500, 1440, 1380, 1320, 1260, full)
    assert judged(sampled(centres, scatter=(-2, 1, 0, 1, -2))).word is word


@pytest.mark.parametrize(("low", "word"), [(1350, W.WEAK), (1351, W.IGNORES)])
def test_below_a_tenth_of_change_the_duty_is_ignored(low: float, word: SweepWord) -> None:
    # three ranks: low, 1420, 1500
    centres = (low, low, 1420, 1420, 1500, 1500)
    assert judged(sampled(centres, scatter=(-2, 1, 0, 1, -2))).word is word


def test_four_ranks_are_not_flat_even_within_a_tenth() -> None:
    # p of six in order is below .05: weak, not ignored
    assert judged(sampled((1370, 1405, 1440, 1480, 1480, 1500), scatter=(0, 0, 0, 0, 0))).word is not W.IGNORES


@pytest.mark.parametrize(("reads", "word"), [(2, W.INSUFFICIENT), (3, W.INCONCLUSIVE)])
def test_three_readings_a_level_are_not_too_few(reads: int, word: SweepWord) -> None:
    jumping = (1300, 1450, 1210, 1480, 1250, 1400)
    assert judged(sampled(jumping, scatter=(0, 2, -2)[:reads])).word is word


@pytest.mark.parametrize(("stop", "suspected"), [(30, False), (31, True)])
def test_a_stop_at_thirty_per_cent_keeps_to_the_specification(stop: float, suspected: bool) -> None:
    # Source: Intel 4-wire specification rev 1.3, p. 13: the lowest speed is at most 30 % of the highest.
    sweep = sampled((0, 600, 750, 900, 1200, 1500), (stop, 40, 50, 60, 80, 100))
    assert ("voltage_drive_suspected" in codes(judged(sweep))) == suspected


def test_a_fan_that_starts_where_it_still_ran_has_no_hysteresis() -> None:
    down = [(100, 1500), (80, 1200), (60, 900), (50, 750), (40, 600), (30, 0)]
    up = [(30, 0), (40, 602), (50, 751), (60, 898), (80, 1203), (100, 1500)]
    stops = judged(both_ways(down, up)).stops
    assert (stops.stop_pct, stops.runs_pct, stops.start_pct, stops.starts_later) == (30, 40, 40, False)
    assert stops.minimum_pct == 50


def test_a_fan_that_never_starts_again_gets_no_minimum() -> None:
    down = [(100, 1500), (80, 1200), (60, 900), (50, 750), (40, 600), (30, 0)]
    stops = judged(both_ways(down, [(40, 0), (50, 0), (60, 0)])).stops
    assert (stops.start_pct, stops.minimum_pct) == (None, None)


@pytest.mark.parametrize(("back", "found"), [(855, False), (854, True)])
def test_a_difference_of_the_ways_up_to_three_per_cent_is_fine(back: float, found: bool) -> None:
    # 3 % of 1500 rpm is 45 rpm
    down = [(100, 1500), (80, 1200), (60, 900), (50, 750), (40, 600), (30, 450)]
    up = [(40, 600), (50, 750), (60, back), (80, 1200), (100, 1500)]
    verdict = judged(both_ways(down, up))
    assert verdict.agree_rpm == pytest.approx(45.0)
    assert ("ways_differ" in codes(verdict)) == found


@pytest.mark.parametrize(("back", "repeats"), [(971, True), (970, False)])
def test_a_full_speed_that_differs_by_up_to_three_per_cent_repeats(back: float, repeats: bool) -> None:
    # full speed is the median of both readings: 3 % of 985.5 is 29.57 rpm, of 985 29.55 rpm
    down = [(100, 1000), (80, 800), (60, 600), (50, 500), (40, 400), (30, 300)]
    up = [(40, 400), (50, 500), (60, 600), (80, 800), (100, back)]
    verdict = judged(both_ways(down, up))
    assert verdict.agree_rpm == pytest.approx(0.03 * (1000 + back) / 2)
    assert ("not_repeatable" in codes(verdict)) == (not repeats)


@pytest.mark.parametrize(
    "setup", [SweepSetup(), SweepSetup(wires=4), SweepSetup(mode=Drive.PWM), SweepSetup(wires=3, mode=Drive.PWM)]
)
def test_the_specifications_curve_is_for_4_wire_fans_under_pwm_only(setup: SweepSetup) -> None:
    sweep = sampled((450, 600, 750, 900, 1200, 1500))
    assert judged(sweep, setup).curve_points is None
    assert judged(sweep, SweepSetup(wires=4, mode=Drive.PWM)).curve_points is not None


def test_a_standstill_is_no_deviation_from_the_specifications_curve() -> None:
    # type B and C fans stand at low duty (Intel 4-wire specification rev 1.3, pp. 15-16)
    sweep = sampled((0, 300, 600, 750, 1200, 1500), (10, 20, 40, 50, 80, 100))
    assert judged(sweep, SweepSetup(wires=4, mode=Drive.PWM)).curve_points == pytest.approx(0.0, abs=0.5)


def test_a_steady_tach_at_part_duty_is_not_chopped() -> None:
    steady = sampled((455, 604, 752, 899, 1201, 1497))
    assert "tach_chopped" not in codes(judged(steady))
    restless = sampled((1497,), (100,), scatter=(-45, 40, 0, 50, -35))  # above 2 % at full duty already
    part = sampled((455, 604, 752, 899, 1201), SIX[:5], scatter=(-90, 80, 0, 100, -70))
    assert "tach_chopped" not in codes(judged(Sweep(readings=part.readings + restless.readings)))


def test_a_hub_of_several_fans_is_told_that_the_others_are_unseen_only_while_something_turns() -> None:
    silent = once((0, 0, 0, 0, 0, 0), SIX)
    assert "others_unseen" not in codes(judged(silent, SweepSetup(fans=3)))


def test_the_fastest_reading_that_is_allowed() -> None:
    assert judged(once((60_000,) * 6, SIX)).word is W.IGNORES


def test_nothing_read_at_all_has_no_picture() -> None:
    nothing = Sweep(readings=tuple(SweepReading(duty_pct=duty, rpm=None) for duty in SIX))
    assert judged(nothing).picture is None
    assert judged(nothing).word is W.SENSOR_ERROR
    picture = judged(both_ways([(100, 1500), (60, 900)], [(100, 1498)])).picture
    assert picture is not None
    assert list(picture.rpm) == [1500, 900, 1498]
    assert list(picture.direction) == [Direction.DOWN, Direction.DOWN, Direction.UP]


def test_a_level_that_stands_does_not_count_for_the_fewest_readings() -> None:
    # one reading at a standstill, four where it runs: the error is that of four
    def level(duty: float, *rpm: float) -> Level:
        return Level(duty_pct=duty, visits=(Visit(duty_pct=duty, direction=Direction.DOWN, rpm=rpm, failed=0),))

    noise = Noise(sigma_rpm=10.0, repeated=True)
    both = [level(30, 0.0), level(60, 900, 901, 899, 900)]
    assert standard_error(both, noise) == pytest.approx(1.2533 * 10 / 2, rel=1e-4)
    assert [cv_of(level) is None for level in both] == [True, False]
