"""Where a soak settles, against closed formulas.

Outside: T(t) = end - step exp(-t/tau) is the exact solution of C dT/dt = Q - T/R; what a rule of 1 K/h leaves to come,
and the error of a slope from evenly spaced readings, are worked out beside each test.
"""

import math

import numpy as np
import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.stage_ids import THERMAL_SOAK
from commission.record.machine.joints import Paper
from commission.stages.thermal_soak.judge.approach import fit_approach
from commission.stages.thermal_soak.judge.hot_joints import not_dry_while_hot
from commission.stages.thermal_soak.judge.reasons import too_warm_now, warm_room
from commission.stages.thermal_soak.judge.steady import judge_steady, slope_error
from commission.stages.thermal_soak.judge.verdict import evaluate_thermal_soak
from commission.stages.thermal_soak.judge.worse import climb_behind_bend, fall_of_flow
from commission.stages.thermal_soak.model import (
    HotLook,
    HotWatch,
    Limits,
    Named,
    PartLimit,
    SoakPlan,
    SoakVerdict,
    SteadyWord,
)
from commission.units.show import say
from tests.soaks import AIR_K, RULE, course

PLAN = SoakPlan()
USUAL = {
    limit.id: limit.value
    for limit in load_procedure(default_toml()).stage(THERMAL_SOAK).limits
    if limit.id in ("memory_most_k", "drive_most_k", "regulator_most_k")
}
HOUR = 3600.0


def judged(*readings: object, **more: object) -> SoakVerdict:
    """Judge a course."""
    return evaluate_thermal_soak(readings, PLAN, RULE, **more)  # type: ignore[arg-type]


# --- the approach ----------------------------------------------------------------------------------------------------


def test_three_time_constants_give_end_and_time_constant() -> None:
    """From 20 to 36 with 600 s: 16 (1 - e^-1) = 10.1139 and so on, so the end is 36 and tau 600 s by construction."""
    t = np.arange(0.0, 1801.0, 30.0)
    found = fit_approach(t, 36 - 16 * np.exp(-t / 600), 0.1)
    assert found is not None
    assert found.end_k == pytest.approx(36.0, abs=0.01)
    assert found.time_constant_s == pytest.approx(600.0, rel=0.01)
    assert found.low_k is not None
    assert found.high_k is not None
    assert found.low_k < 36 < found.high_k


def test_a_heat_store_shows_its_own_time_constant() -> None:
    """1 L of water at 30 degC (995.651 kg/m3, 4179.85 J/kg K by IAPWS), 1.5 kg copper (385), 0.5 kg aluminium (900):
    C = 5189.1 J/K; at 0.025 K/W that is 129.73 s."""
    tau = 0.025 * (0.995651 * 4179.85 + 1.5 * 385 + 0.5 * 900)
    assert tau == pytest.approx(129.728, abs=0.05)
    t = np.arange(0.0, 900.0, 10.0)
    found = fit_approach(t, 10 - 10 * np.exp(-t / tau), 0.1)
    assert found is not None
    assert found.time_constant_s == pytest.approx(tau, rel=0.01)


@pytest.mark.parametrize("minutes", [10, 20, 40])
def test_each_bound_misses_the_end_in_about_one_of_twenty_soaks(minutes: int) -> None:
    """Binomial, n = 200, p = 0.05: more than 21 happen once in 2000 times (scipy.stats.binom.sf(21, 200, 0.05))."""
    t = np.arange(0.0, 60 * minutes, 10.0)
    below = above = 0
    for seed in range(200):
        noise = np.random.default_rng(seed).normal(0, 0.1, t.size)
        found = fit_approach(t, np.round(10 - 10 * np.exp(-t / 600) + noise, 1), 0.1)
        assert found is not None
        below += found.low_k is not None and found.low_k > 10
        above += found.high_k is not None and found.high_k < 10
    assert below <= 21
    assert above <= 21


def test_a_straight_climb_has_no_upper_bound() -> None:
    t = np.arange(0.0, 1200.0, 10.0)
    found = fit_approach(t, 5 * t / HOUR, 0.1)
    assert found is not None
    assert found.high_k is None


# --- steady ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("n", "expected"), [(60, 0.268365), (180, 0.051641)])
def test_the_error_of_a_slope_is_that_of_evenly_spaced_readings(n: int, expected: float) -> None:
    """u = s/(dt sqrt(n (n² - 1)/12)), s 0.1 K, dt 10 s: 0.268365 and 0.051641 K/h."""
    t = np.arange(0.0, 10.0 * n, 10.0)
    rest = 0.1 * np.cos(np.pi * t / 10)  # alternates: no serial correlation is believed
    assert slope_error(t, rest, 0.1, 0.01) * HOUR == pytest.approx(expected, rel=1e-4)


def test_a_display_that_never_moves_proves_one_step_over_the_window() -> None:
    """0.1 K over 600 s is 0.6 K/h, within 1 K/h; 0.5 K over 600 s is 3 K/h, which proves nothing."""
    t = np.arange(0.0, 601.0, 10.0)
    rule = replace(RULE, flat_s=600.0)
    words = [judge_steady(t, np.full(t.size, 10.0), None, step, rule) for step in (0.1, 0.5)]
    assert [one.word for one in words if one is not None] == [SteadyWord.STEADY, SteadyWord.CANNOT_TELL]


@pytest.mark.parametrize(("at_s", "word"), [(2322.72, SteadyWord.NOT_STEADY), (5400.0, SteadyWord.STEADY)])
def test_steady_begins_where_the_slope_over_two_time_constants_is_small(at_s: float, word: SteadyWord) -> None:
    """16 K, tau 600 s: at 2322.72 s the slope is 2 K/h and 0.333 K are to come. Over the 1200 s before an instant t
    the line through it has a slope above that at t: at 5400 s it is below (e^(1200/600) - 1) 16 e^-9/1200 s = 0.038
    K/h."""
    t = np.arange(0.0, at_s, 10.0)
    found = judge_steady(t, 36 - 16 * np.exp(-t / 600), 600.0, 0.1, RULE)
    assert found is not None
    assert found.word is word


# --- what gets worse -------------------------------------------------------------------------------------------------


def test_a_flow_that_falls_is_told_by_at_most_what_it_fell() -> None:
    t = np.arange(0.0, 3600.0, 30.0)
    falling = 200 * (1 - 0.3 * t / 3570)
    assert 0.29 < fall_of_flow(t, falling) <= 0.3 + 1e-9
    assert fall_of_flow(t, np.full(t.size, 200.0)) == 0.0
    assert fall_of_flow(t, falling[::-1]) == 0.0


def test_a_climb_behind_the_bend_is_no_slow_approach() -> None:
    t = np.arange(0.0, 7200.0, 30.0)
    bend = 10 - 10 * np.exp(-t / 600)
    assert climb_behind_bend(t, bend + 4 * t / HOUR, 0.1) * HOUR == pytest.approx(4.0, abs=0.2)
    assert climb_behind_bend(t, bend, 0.1) == 0.0
    assert climb_behind_bend(t, 10 - 10 * np.exp(-t / 4000), 0.1) == 0.0


# --- the verdict -----------------------------------------------------------------------------------------------------


def test_a_settled_soak_passes_with_its_figure_and_its_heat() -> None:
    """10 K over 400 W is 25 mK/W; 200 L/h by 1.7 K at 33.15 degC mean carry 392.4 W (IAPWS: 994.68 kg/m3, 4179.3)."""
    verdict = judged(*course(90))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.PASS, "steady")
    assert verdict.end is not None
    assert verdict.end.value == pytest.approx(10.0, abs=0.02)
    assert verdict.k_per_w is not None
    assert verdict.k_per_w.value == pytest.approx(0.025, rel=0.01)
    assert verdict.k_per_w.lower95 < 0.025 < verdict.k_per_w.upper95
    assert verdict.heat_w == pytest.approx(392.5, abs=0.5)
    (cpu,) = verdict.components
    assert cpu.end.value == pytest.approx(303.15 + 10 + 32, abs=0.05)  # the room that the rule asks, 30 degC


def test_the_sensors_own_error_is_in_the_bounds() -> None:
    """Coolant and air, 0.3 K each: 1.645 sqrt(2) 0.3 K = 0.698 K to each side at least."""
    end = judged(*course(120)).end
    assert end is not None
    assert end.upper95 - end.value >= 0.697
    assert end.value - end.lower95 >= 0.697


@pytest.mark.parametrize(
    ("minutes", "outcome", "code"),
    [
        (8, Outcome.INCONCLUSIVE, "too_soon_to_foresee"),
        (25, Outcome.PASS, "foreseen_within"),
        (90, Outcome.PASS, "steady"),
    ],
)
def test_a_soak_may_end_early_once_two_time_constants_were_seen(minutes: int, outcome: Outcome, code: str) -> None:
    verdict = judged(*course(minutes))
    assert (verdict.outcome, verdict.reasons[0].code) == (outcome, code)


def test_one_that_settles_above_its_limit_fails_before_it_gets_there() -> None:
    """30 K at the end; after 15 min (1.5 time constants) it stands at 23.3 K, and its lower bound is above 20 K."""
    verdict = judged(*course(15, end_k=30.0))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, "settles_above_air")


def test_a_reading_above_its_limit_fails_with_the_stop_rule() -> None:
    hot = judged(*course(5, cpu_k=75.0))
    assert (hot.outcome, hot.reasons[0].code) == (Outcome.FAIL, "above_limit_now")
    assert "full duty" in hot.reasons[0].template
    assert "load off" in hot.reasons[0].template


def test_a_limit_is_told_in_tenths_of_a_degree_and_a_name_is_no_place_of_an_amount() -> None:
    """368.15 K are 95 degC, which is what the procedure says; rounded in kelvins it would be told as 94.95."""
    assert say(too_warm_now("gpu {1}", 397.16, 368.15)).startswith("The gpu {1} reached 124 °C, above 95 °C: ")
    assert "59.3 °C" in say(warm_room("coolant", 332.45, 303.15, 333.15))


def test_a_component_too_hot_in_a_warm_room_fails_though_it_is_not_today() -> None:
    """22 + 10 + 60 = 92 degC today, and 100 in a room of 30 degC, where 95 is the limit."""
    verdict = judged(*course(90, cpu_k=60.0))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, "too_warm_in_a_warm_room")


def test_only_what_came_since_the_last_change_counts() -> None:
    first = course(30)
    later = course(10, end_k=8.0, start_k=9.5, load_w=320.0)
    shifted = tuple(replace(one, elapsed_s=one.elapsed_s + 1860) for one in later)
    verdict = judged(*first, *shifted)
    assert verdict.counts_s == 600.0
    assert "load_changed" in [phrase.code for phrase in verdict.reasons]


def test_a_changed_duty_counts_as_a_change_too() -> None:
    def at(duty: float, since: float) -> list[object]:
        return [
            replace(one, elapsed_s=one.elapsed_s + since, duties=(Named(name="fans", value=duty),))
            for one in course(20, load_w=None)
        ]

    assert judged(*at(0.5, 0.0), *at(0.8, 1260.0)).counts_s == 1200.0
    assert judged(*at(0.5, 0.0), *at(0.51, 1260.0)).counts_s == 2460.0


@pytest.mark.parametrize("resting", [20, 60])
def test_a_loop_that_was_warm_at_the_start_must_stand_still_for_half_an_hour(resting: int) -> None:
    verdict = judged(*course(resting, start_k=10.0))
    assert verdict.time_constant_s is None
    assert verdict.outcome is (Outcome.PASS if resting > 30 else Outcome.INCONCLUSIVE)


def test_nothing_passes_unwatched_or_without_watts() -> None:
    assert judged(*course(90), watch=HotWatch()).reasons[0].code == "joints_not_looked_at"
    blind = judged(*course(90, load_w=None, flow_m3_s=None))
    assert (blind.outcome, blind.reasons[0].code) == (Outcome.INCONCLUSIVE, "no_load")


@pytest.mark.parametrize(
    ("name", "own", "outcome", "most_degc"),
    [
        ("cpu", None, Outcome.PASS, 95),
        ("cpu", 71, Outcome.FAIL, 71),
        ("cpu", 72.3, Outcome.INCONCLUSIVE, 72.3),
        ("nvme 1", None, Outcome.FAIL, 70),
        ("nvme 1", 85, Outcome.PASS, 85),
        ("memory", None, Outcome.PASS, 85),
        ("vrm", None, Outcome.PASS, 105),
    ],
)
def test_each_component_has_a_limit_of_its_own(
    name: str, own: float | None, outcome: Outcome, most_degc: float
) -> None:
    """10 K above air and 32 K above coolant are 72 degC in a room of 30 degC, known to 1.645 * 0.3 K or about 0.5 K."""
    readings = [
        replace(one, components=tuple(Named(name=name, value=part.value) for part in one.components))
        for one in course(90)
    ]
    typed = () if own is None else (PartLimit(name=name.upper(), most_k=own + 273.15, source="data sheet"),)
    verdict = judged(*readings, limits=Limits(own=typed, usual=USUAL))
    assert verdict.outcome is outcome
    (limit,) = verdict.limits
    assert limit.most_k == pytest.approx(most_degc + 273.15)
    assert (limit.source == "data sheet") is (own is not None)


def test_a_component_with_a_limit_that_was_not_read_is_no_pass() -> None:
    gpu = PartLimit(name="gpu", most_k=358.15, source="data sheet")
    assert judged(*course(90), limits=Limits(own=(gpu,))).reasons[0].code == "limit_not_read"


def test_a_joint_counts_where_it_was_dry_while_hot() -> None:
    """1 - exp(-t/600 s) is four fifths at 600 ln 5 = 966 s; behind the last reading ten minutes are let be."""
    t = np.arange(0.0, 5401.0, 60.0)
    above = 10 * (1 - np.exp(-t / 600))

    def left(*looks: tuple[str, Paper, float]) -> tuple[str, ...]:
        seen = [HotLook(joint=joint, paper=paper, elapsed_s=at) for joint, paper, at in looks]
        return not_dry_while_hot(("block in", "drain"), seen, t, above)

    drain = ("drain", Paper.DRY, 5990.0)
    assert left(("block in", Paper.DRY, 959.0), drain) == ("block in",)
    assert left(("block in", Paper.DRY, 1025.0), drain) == ()
    assert left(("block in", Paper.DRY, 1025.0), ("drain", Paper.DRY, 6010.0)) == ("drain",)
    assert left(("block in", Paper.DAMP, 2000.0), drain) == ("block in",)
    assert left(("block in", Paper.DAMP, 2000.0), ("block in", Paper.DRY, 2600.0), drain) == ()
    assert left(("block in", Paper.DRY, 2000.0), ("block in", Paper.DAMP, 2600.0), drain) == ("block in",)


def test_a_wet_joint_fails_whatever_the_temperatures_are() -> None:
    wet = HotLook(joint="drain", paper=Paper.WET, elapsed_s=3000.0)
    verdict = judged(*course(90), watch=HotWatch(joints=("drain", "block in"), looks=(wet,)))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, "joint_wet_while_hot")


@pytest.mark.parametrize(
    ("papers", "outcome", "code"),
    [
        ((Paper.DAMP, Paper.DRY), Outcome.PASS, "joint_damp_while_hot"),
        ((Paper.DAMP, Paper.DRY, Paper.DAMP, Paper.DRY), Outcome.FAIL, "joint_weeps_while_hot"),
        ((Paper.WET, Paper.DRY), Outcome.FAIL, "joint_wet_while_hot"),
    ],
)
def test_paper_that_was_not_dry_counts_after_a_dry_look_too(
    papers: tuple[Paper, ...], outcome: Outcome, code: str
) -> None:
    looks = tuple(HotLook(joint="drain", paper=one, elapsed_s=5000.0 + 60 * n) for n, one in enumerate(papers))
    verdict = judged(*course(90), watch=HotWatch(joints=("drain",), looks=looks))
    assert verdict.outcome is outcome
    assert code in {reason.code for reason in verdict.reasons}


def test_a_course_that_was_seen_at_its_ends_alone_is_no_pass() -> None:
    """An hour and a half, of which all but the first and last ten minutes was read by nobody."""
    whole = course(90)
    seen = (*(one for one in whole if one.elapsed_s <= 600 or one.elapsed_s >= 4800),)
    verdict = judged(*seen)
    assert judged(*whole).outcome is Outcome.PASS
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "nothing_read_between")


def test_swapped_sensors_and_coolant_below_air_bear_no_verdict() -> None:
    assert judged(*course(60, drop_k=-1.7)).reasons[0].code == "sides_swapped"
    below = judged(*course(60, end_k=-5.0))
    assert (below.outcome, below.reasons[0].code) == (Outcome.INVALID, "colder_than_air")


def test_a_balance_that_cannot_close_is_told() -> None:
    """8 K by 200 L/h are 1850 W of 400 W."""
    assert "more_heat_than_load" in [phrase.code for phrase in judged(*course(60, drop_k=8.0)).reasons]


def test_no_and_few_readings() -> None:
    assert judged().outcome is Outcome.INVALID
    assert judged(running=True).outcome is Outcome.INCONCLUSIVE
    assert judged(*course(3)).reasons[0].code == "too_few_readings"
    assert judged(*course(10)[::-1]).outcome is Outcome.INVALID


def test_an_empty_cell_is_no_reading() -> None:
    """Air and one side are enough; a component that was read in half of the rows is judged by those."""
    rows = [
        replace(one, warm_k=None, flow_m3_s=None, components=one.components if at % 2 else ())
        for at, one in enumerate(course(90))
    ]
    verdict = judged(*rows)
    assert verdict.outcome is Outcome.PASS
    assert verdict.heat_w is None
    assert verdict.end is not None
    assert verdict.end.value == pytest.approx(10 - 0.85, abs=0.02)
    assert len(verdict.components) == 1


def test_a_picture_has_the_readings_and_the_course_and_no_more_points_than_a_screen() -> None:
    picture = judged(*course(90, every_s=1.0)).picture
    assert picture is not None
    assert len(picture.elapsed_s) == len(picture.above_k) <= 240
    assert len(picture.fit_s) == len(picture.fit_k) > 0
    assert picture.fit_k[-1] == pytest.approx(10.0, abs=0.05)


def test_air_that_drifts_is_taken_out() -> None:
    """Coolant above air is judged, so that a room that warms by 3 K changes nothing."""
    rows = [
        replace(
            one,
            air_k=AIR_K + 3 * one.elapsed_s / 5400,
            warm_k=None,
            cool_k=(one.cool_k or math.nan) + 3 * one.elapsed_s / 5400,
            components=(),
        )
        for one in course(90)
    ]
    verdict = judged(*rows)
    assert verdict.outcome is Outcome.PASS
    assert verdict.end is not None
    assert verdict.end.value == pytest.approx(10 - 0.85, abs=0.02)
