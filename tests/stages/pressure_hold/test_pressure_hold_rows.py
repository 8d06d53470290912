"""A hold is put into words once: card, ``show`` and ``judge`` say the same, in digits that mean something."""

import math
from collections.abc import Iterator

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card.hold import HoldFlow
from commission.stages.pressure_hold.model import HoldVerdict, LeakRate
from commission.stages.pressure_hold.rows.rate_digits import places, rate_text
from commission.stages.pressure_hold.rows.show import hold_lines
from commission.stages.pressure_hold.rows.verdict import figures_of
from commission.stages.pressure_hold.rows.verdict_text import verdict_lines
from commission.stages.pressure_hold.state.attempt import judged_hold
from tests.holds import GAUGE
from tests.registered import sample_logbook
from tests.stages.said_once import WHEN, unsaid


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """The demo's logbook; not to be written to."""
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    yield opened.book
    opened.book.close()


def test_card_and_show_and_judge_say_the_same_figures_of_a_hold(book: Logbook) -> None:
    seen = 0
    for build in book.builds():
        state = book.build(build.build_id)
        hold = judged_hold(state)
        if hold is None or hold.verdict_entry is None or hold.plan is None:
            continue
        attempts = {f"attempt {number}" for number in range(1, hold.attempt + 1)}
        figures = [one for one in HoldFlow(book, state.build_id).content().figures if one.label not in attempts]
        if not any(figure.label == WHEN for figure in figures):
            continue  # another attempt is prepared or runs: its card speaks of that one
        assert list(unsaid(figures, hold_lines(book, state), f"hold {hold.attempt}")) == []
        assert list(unsaid(figures, verdict_lines(hold.verdict_entry.verdict, hold.plan), "")) == []
        seen += len(figures)
    assert seen > 10


LIMIT = 1e-3
"""The class called watertight, 1e-2 mbar·L/s [Pa·m3/s]: 1 Pa·m3/s is 10 mbar·L/s."""


def verdict(value: float, low: float, high: float) -> HoldVerdict:
    """A verdict with such a leak rate [Pa·m3/s]."""
    return HoldVerdict(
        outcome=Outcome.PASS,
        leak_rate=LeakRate(value=value, lower95=low, upper95=high),
        limit_pa_m3_s=LIMIT,
        reference_k=293.15,
        start_gauge_pa=50_000.0,
        drop_pa=60.0,
        duration_s=600.0,
        settling_s=0.0,
        readings=2,
        smallest_detectable=None,
        hold_needed_s=None,
    )


@pytest.mark.parametrize(
    ("high", "told"),
    [
        (6.0e-4, ["0.001", "0", "0.006", "0.010"]),  # two digits of the limit
        (9.97e-4, ["0.00120", "0", "0.00997", "0.01000"]),  # with fewer the bound would read as the limit
    ],
)
def test_all_leak_rates_have_the_places_that_tell_them_from_the_limit(high: float, told: list[str]) -> None:
    judged = verdict(1.2e-4, -3.6e-4, high)
    text = rate_text(places(judged))
    assert [text(si) for si in (1.2e-4, -3.6e-4, high, LIMIT)] == told


@pytest.mark.parametrize(("found", "said"), [(1.2e-3, True), (8e-4, False)])
def test_a_pass_finer_than_its_detection_limit_says_what_it_rests_on(found: float, said: bool) -> None:
    judged = replace(verdict(1.2e-4, -3.6e-4, 6.0e-4), smallest_detectable=found)
    (limit,) = (one for one in figures_of(judged, GAUGE) if one.label == "detection limit")
    assert limit.remark.startswith("above the limit: this pass rests on") == said


def test_a_bound_that_nobody_knows_is_said_in_words() -> None:
    rows = figures_of(verdict(1.2e-4, 0.0, math.inf), GAUGE)
    assert rows[0].bounds.startswith("0 to unbounded")
