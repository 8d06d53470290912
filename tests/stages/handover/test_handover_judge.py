"""What the years tell: loss, coolant above air per watt, what is due, what the coolant in the loop is.

Outside: NIST StRD NoInt1 (certified), scipy's weighted fit and its regression, arithmetic written beside each.
"""

import math
import random
from itertools import pairwise

import pytest

from commission.base.clock import ClockMark
from commission.base.verdict import Bounded
from commission.record.machine.over_years import Compared
from commission.stages.fill.model.fill import Drain, Movement
from commission.stages.fill.state import Moved
from commission.stages.handover.judge.due import due_items
from commission.stages.handover.judge.loss import evaluate_loss, through_origin
from commission.stages.handover.judge.per_watt import YEAR_S, evaluate_per_watt
from commission.stages.handover.model import Interval, LossWord, ServiceItem, SinceWord, Topped
from commission.stages.handover.state import present_coolant
from tests.data.read import expected, table
from tests.wet_builds import JUG, amount, poured

MONTH_S = YEAR_S / 12
ML = 1e-6
USUAL = 5 * ML / MONTH_S


def topped(*pairs: tuple[float, float]) -> list[Topped]:
    """Return top-ups from pairs of months since the one before and millilitres."""
    found, at = [], 0.0
    for months, ml in pairs:
        found.append(Topped(gone_m3=ml * ML, from_s=at * MONTH_S, to_s=(at + months) * MONTH_S))
        at += months
    return found


def test_a_line_through_the_origin_is_that_of_nist() -> None:
    data = table("strd_noint1")
    slope, sd = through_origin(data["x"], data["y"])
    b1, certified_sd = expected("strd_noint1", "certified B1")[0], expected("strd_noint1", "certified B1")[-1]
    assert slope == pytest.approx(b1, rel=1e-12)
    assert sd == pytest.approx(certified_sd, rel=1e-9)


def test_the_loss_and_its_interval_are_those_of_a_weighted_fit() -> None:
    """scipy.optimize.curve_fit with sigma = sqrt(time) fits the same; t of 4 degrees of freedom is 2.776445."""
    from scipy.optimize import curve_fit

    months, ml = (1.0, 3.0, 3.0, 4.0, 6.0), (4.0, 8.2, 10.1, 11.5, 19.4)
    loss = evaluate_loss(topped(*zip(months, ml, strict=True)), 1e-9, USUAL)
    assert loss is not None
    found, cov = curve_fit(lambda x, b: b * x, months, ml, p0=[1.0], sigma=[math.sqrt(each) for each in months])
    per_month = MONTH_S / ML
    assert loss.rate_m3_s * per_month == pytest.approx(float(found[0]), rel=1e-6)
    assert loss.rate_m3_s * per_month == pytest.approx(53.2 / 17, rel=1e-12)  # all that was lost over all the time
    half = 2.776445 * math.sqrt(float(cov[0][0]))
    assert loss.high_m3_s * per_month == pytest.approx(53.2 / 17 + half, rel=1e-6)
    assert loss.low_m3_s * per_month == pytest.approx(53.2 / 17 - half, rel=1e-6)


@pytest.mark.parametrize(
    ("pairs", "word"),
    [
        ([(1, 3.0)], LossWord.CANNOT_TELL),
        ([(3, 9.0), (3, 9.5)], LossWord.CANNOT_TELL),
        ([(3, 9.0), (3, 9.3), (3, 9.1), (3, 8.8), (3, 9.2)], LossWord.STEADY),
        ([(3, 3.0), (3, 6.1), (3, 9.0), (3, 12.1), (3, 15.0)], LossWord.GROWING),
        ([(3, 15.0), (3, 12.1), (3, 9.0), (3, 6.1), (3, 3.0)], LossWord.SHRINKING),
        ([(3, 2.0), (3, 30.0), (3, 1.0), (3, 25.0)], LossWord.CANNOT_TELL),
    ],
)
def test_how_a_loss_goes_on(pairs: list[tuple[float, float]], word: LossWord) -> None:
    loss = evaluate_loss(topped(*pairs), 1.6e-6, USUAL)
    assert loss is not None
    assert loss.word is word


def test_one_top_up_is_as_sure_as_its_two_marks() -> None:
    """3 mL in one month; 1.959964 · sqrt(2) · 1.6 mL = 4.4348 mL either way."""
    loss = evaluate_loss(topped((1, 3.0)), 1.6e-6, USUAL)
    assert loss is not None
    assert (loss.high_m3_s - loss.rate_m3_s) * MONTH_S / ML == pytest.approx(4.4348, rel=1e-4)
    assert evaluate_loss([], 1.6e-6, USUAL) is None
    assert evaluate_loss(topped((0.1, 3.0)), 1.6e-6, USUAL) is None  # three days: 30 mL a month of 3 mL would be told
    assert evaluate_loss(topped((0.3, 3.0)), 1.6e-6, USUAL) is not None


def test_the_interval_covers_the_loss_as_often_as_it_says() -> None:
    """Loss of 3 mL a month, marks off by 1.6 mL: 95 of 100 cover it; 400 runs scatter by 1.1 %, so four times that."""
    chance, covered = random.Random(20261128), 0
    for _ in range(400):
        marks = [chance.gauss(0.0, 1.6) for _ in range(7)]
        pairs = [(2.0, 6.0 + later - sooner) for sooner, later in pairwise(marks)]
        loss = evaluate_loss(topped(*pairs), 1.6e-6, USUAL)
        assert loss is not None
        covered += loss.low_m3_s <= 3 * ML / MONTH_S <= loss.high_m3_s
    assert covered / 400 > 0.95 - 0.044


def soak(years: float, value: float, half: float) -> Compared:
    """Return a soak so many years after handover with the half-width of its one-sided bounds [K/W]."""
    mark = ClockMark(wall_ms=round(years * YEAR_S * 1000), offset_min=0, mono_ms=0)
    bounds = Bounded(value=value, lower95=value - half, upper95=value + half)
    return Compared(seq=round(100 * years) + 1, mark=mark, k_per_w=bounds)


@pytest.mark.parametrize(
    ("last", "half", "word"),
    [
        (0.0250, 0.0010, SinceWord.SAME),
        (0.0300, 0.0010, SinceWord.WORSE),
        (0.0200, 0.0010, SinceWord.BETTER),
        (0.0260, 0.0040, SinceWord.CANNOT_TELL),
    ],
)
def test_coolant_above_air_per_watt_beside_that_at_handover(last: float, half: float, word: SinceWord) -> None:
    """u = half / 1.644854 each; change ± 1.959964 · (last/first) · sqrt((u/first)² + (u/last)²)."""
    found = evaluate_per_watt([soak(0, 0.025, half), soak(1, last, half)], 0, 0.2)
    assert found is not None
    u = half / 1.644854
    wide = 1.959964 * last / 0.025 * math.hypot(u / 0.025, u / last)
    assert found.change == pytest.approx(last / 0.025 - 1)
    assert found.high - found.change == pytest.approx(wide, rel=1e-5)
    assert found.word is word
    assert evaluate_per_watt([soak(0, 0.025, half)], 0, 0.2) is None


def test_three_soaks_tell_a_change_per_year() -> None:
    from scipy.optimize import curve_fit

    values = (0.0250, 0.0257, 0.0261, 0.0268)
    found = evaluate_per_watt([soak(year, value, 0.001) for year, value in enumerate(values)], 0, 0.2)
    assert found is not None
    fit, cov = curve_fit(lambda x, a, b: a + b * x, range(4), [value / 0.025 for value in values], p0=[1.0, 0.0])
    assert found.per_year == pytest.approx(float(fit[1]), rel=1e-6)
    half = 4.302653 * math.sqrt(float(cov[1][1]))  # t of 2 degrees of freedom
    assert found.u_per_year == pytest.approx(half, rel=1e-5)


def test_what_is_due_first_comes_first_and_what_was_never_done_is_not_planned() -> None:
    day = 86_400_000
    plan = (
        Interval(item=ServiceItem.LOOK, every_s=90 * 86400.0),
        Interval(item=ServiceItem.CLEANING, every_s=30 * 86400.0),
        Interval(item=ServiceItem.SOAK, every_s=86400.0),
    )
    found = due_items(plan, {ServiceItem.LOOK: 10 * day, ServiceItem.CLEANING: 0})
    assert [(one.item, one.due_ms // day) for one in found] == [(ServiceItem.CLEANING, 30), (ServiceItem.LOOK, 100)]


def test_the_coolant_in_the_loop_is_what_went_in_since_it_was_let_out() -> None:
    """1000 mL, 850 out leaves 150 mL, 15 % of it: changed. 700 out leaves 300 mL, 30 %: it is still there."""

    def moves(out: float) -> tuple[Moved, ...]:
        done: tuple[Movement, ...] = (
            poured(1000),
            poured(0.5),
            Drain(dose=amount(out)),
            poured(850, JUG),
            poured(4, JUG),
        )
        return tuple(Moved(seq=at, stage="fill", movement=one) for at, one in enumerate(done, 1))

    assert [one.seq for one in present_coolant(moves(850), 0.2)] == [4, 5]
    assert [one.seq for one in present_coolant(moves(700), 0.2)] == [1, 2, 3, 4, 5]
