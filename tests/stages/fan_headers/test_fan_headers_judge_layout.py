"""The best layout against every layout counted, against SciPy's milp, and against the worked example."""

import statistics
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.frozen import replace
from commission.record.machine.seats import Drive
from commission.stages.fan_headers.judge.layout import best_layout
from commission.stages.fan_headers.model.layout import Change, LayoutAnswer, LayoutProblem, Rule, Seat
from tests.stages.fan_headers.layout_examples import (
    BASE,
    PWM,
    VOLTAGE,
    chain,
    every_layout,
    header,
    milp_cost,
    with_chain,
    with_header,
)

V1 = with_header(BASE, "SYS1", rating_ma=1200)
V2 = with_chain(V1, "B", start_ma=1150)
V3 = with_chain(V1, "R", drive=PWM)


def placed(answer: LayoutAnswer) -> dict[str, str]:
    assert answer.best is not None
    return {seat.chain: seat.header for seat in answer.best.seats}


# Source of the worked example: every layout counted elsewhere, the base also by milp. Status: computed.


@pytest.mark.parametrize(
    ("problem", "cost", "seats", "next_cost"),
    [
        (BASE, 98, {"P": "PUMP", "A": "SYS1", "B": "CPU", "R": "SYS2", "F": "SYS1"}, 118),
        (V1, 118, {"P": "PUMP", "A": "CPU", "B": "CPU", "R": "SYS2", "F": "SYS1"}, 126),
        (V2, 126, {"P": "PUMP", "A": "SYS1", "B": "CPU", "R": "SYS2", "F": "CPU"}, 176),
        (V3, 118, {"P": "PUMP", "A": "CPU", "B": "CPU", "R": "SYS2", "F": "SYS1"}, 126),
    ],
    ids=["base", "smaller SYS1", "B starts harder", "R by PWM"],
)
def test_the_worked_example(problem: LayoutProblem, cost: int, seats: dict[str, str], next_cost: int) -> None:
    answer = best_layout(problem)
    assert answer.best is not None
    assert answer.runner_up is not None
    assert (answer.status, answer.best.cost, answer.optima_count) == ("optimal", cost, 1)
    assert placed(answer) == seats
    assert answer.runner_up.cost == next_cost
    assert milp_cost(problem) == cost
    assert milp_cost(problem, above=cost) == next_cost


@pytest.mark.parametrize(("problem", "possible"), [(BASE, 8), (V1, 5), (V2, 3), (V3, 19)])
def test_the_oracle_counts_as_many_layouts_as_were_counted_elsewhere(problem: LayoutProblem, possible: int) -> None:
    assert len(list(every_layout(problem))) == possible


def test_loads_are_whole_milliamperes() -> None:
    best = best_layout(BASE).best
    assert best is not None
    assert {load.header: (load.steady_ma, load.start_ma) for load in best.loads} == {
        "PUMP": (1500, 2000),
        "CPU": (750, 1050),
        "SYS1": (1000, 1500),
        "SYS2": (150, 300),
    }
    assert next(load.chains for load in best.loads if load.header == "SYS1") == ("A", "F")


def test_three_fifths_of_an_ampere_fit_where_floats_would_doubt() -> None:
    # 3 x .2 A in floats is .6000000000000001; 80 % of 750 mA is 600 mA exactly
    fans = tuple(chain(name, PWM, 200, 200) for name in "abc")
    answer = best_layout(LayoutProblem(headers=(header("X", 750, PWM),), chains=fans))
    assert answer.status == "optimal"
    less = LayoutProblem(headers=(header("X", 749, PWM),), chains=fans)
    assert best_layout(less).status == "infeasible"


def test_a_chain_is_never_left_out_as_a_plain_assignment_would() -> None:
    # Source: scipy.optimize.linear_sum_assignment: five rows and four columns leave a row out, total 33.
    from scipy.optimize import linear_sum_assignment

    forbidden = 10_000
    costs = [[forbidden] * 4 for _ in BASE.chains]
    for i, one in enumerate(BASE.chains):
        for j, to in enumerate(BASE.headers):
            if (
                one.drive in to.modes
                and (to.full_speed_lock or not one.pump)
                and one.steady_ma * 100 <= 80 * to.rating_ma
            ):
                costs[i][j] = one.reach[j].cable_cm
    rows, columns = linear_sum_assignment(costs)
    assert (len(rows), sum(costs[i][j] for i, j in zip(rows, columns, strict=True))) == (4, 33)
    assert len(placed(best_layout(BASE))) == 5


# --- refusals and relaxations -----------------------------------------------------------------------------------------


def test_every_impossible_seat_names_its_rule() -> None:
    refused = {(r.chain, r.header): r.rule for r in best_layout(BASE).refusals}
    assert refused == {
        ("P", "CPU"): Rule.PUMP,
        ("P", "SYS1"): Rule.PUMP,
        ("P", "SYS2"): Rule.PUMP,
        ("R", "PUMP"): Rule.DRIVE,
        ("R", "CPU"): Rule.DRIVE,
        ("B", "SYS2"): Rule.START,
    }


def test_rules_in_order_of_gravity() -> None:
    one = with_chain(BASE, "A", steady_ma=900, start_ma=900)
    assert {(r.chain, r.header): r.rule for r in best_layout(one).refusals}["A", "SYS2"] is Rule.STEADY
    near = replace(BASE, chains=(chain("N", PWM, 100, 100, 5, 6, 7, 8),))
    far = with_chain(near, "N", reach=near.chains[0].reach[:2])
    assert {r.header: r.rule for r in best_layout(far).refusals} == {"SYS1": Rule.REACH, "SYS2": Rule.REACH}
    barred = replace(near, barred=(Seat(chain="N", header="PUMP"),))
    answer = best_layout(barred)
    assert {r.header: r.rule for r in answer.refusals} == {"PUMP": Rule.BARRED}
    assert placed(answer) == {"N": "CPU"}


def test_a_pump_without_a_lock_is_blocked_and_the_lock_is_the_cure() -> None:
    answer = best_layout(with_header(BASE, "PUMP", full_speed_lock=False))
    assert (answer.status, answer.best, answer.optima_count) == ("infeasible", None, 0)
    assert {r.rule for r in answer.refusals if r.chain == "P"} == {Rule.PUMP}
    assert (answer.relaxations[0].changes, answer.relaxations[0].header) == ((Change.LOCK,), "PUMP")
    assert answer.relaxations[-1].chains == ("P",)


def test_headers_too_small_name_the_rating_that_would_do() -> None:
    # CPU and SYS1 of 1000 mA: A, B and F have 1750 mA in all, and SYS2 cannot start B
    small = with_header(with_header(BASE, "CPU", rating_ma=1000), "SYS1", rating_ma=1000)
    answer = best_layout(small)
    assert answer.status == "infeasible"
    assert answer.relaxations
    for relaxation in answer.relaxations[:-1]:
        assert relaxation.changes in ((Change.RATING,), (Change.START,), (Change.MODE,), (Change.CABLE,))
        if relaxation.changes == (Change.RATING,):
            enough = with_header(small, relaxation.header, rating_ma=relaxation.rating_ma)
            assert best_layout(enough).status == "optimal"
            assert min(every_layout(enough))[0] > 0
    without = replace(small, chains=tuple(c for c in small.chains if c.name not in answer.relaxations[-1].chains))
    assert best_layout(without).status == "optimal"
    assert len(answer.relaxations[-1].chains) == 1


def test_the_rating_named_is_the_smallest_that_helps() -> None:
    one = LayoutProblem(headers=(header("X", 700, PWM),), chains=(chain("a", PWM, 600, 700),))
    relaxation = best_layout(one).relaxations[0]
    assert (relaxation.changes, relaxation.rating_ma) == ((Change.RATING,), 750)
    assert best_layout(with_header(one, "X", rating_ma=750)).status == "optimal"
    assert best_layout(with_header(one, "X", rating_ma=749)).status == "infeasible"


def test_a_start_current_may_be_overridden_and_a_steady_one_not() -> None:
    # 3 x 200 mA, start unknown: 1200 mA by default on a header of 1000 mA
    one = LayoutProblem(headers=(header("X", 1000, PWM),), chains=(chain("a", PWM, 600, None),))
    answer = best_layout(one)
    assert [r.rule for r in answer.refusals] == [Rule.START]
    assert "default: 2.0 x steady" in answer.refusals[0].why.template
    assert answer.relaxations[0].changes == (Change.START,)
    assert [note.code for note in answer.notes] == ["start_by_default"]
    assert best_layout(replace(one, start_override=True)).status == "optimal"
    five = replace(one, chains=(chain("a", PWM, 1000, 1000),), start_override=True)
    assert [r.rule for r in best_layout(five).refusals] == [Rule.STEADY]


def test_moves_cost_only_where_a_chain_moves() -> None:
    chains = tuple(chain(name, PWM, 100, 100) for name in "ab")
    headers = tuple(header(name, 1000, PWM) for name in ("X", "Y"))
    now = (Seat(chain="a", header="Y"), Seat(chain="b", header="X"))
    answer = best_layout(LayoutProblem(headers=headers, chains=chains, share_penalty=5, now=now, move_penalty=10))
    assert placed(answer) == {"a": "Y", "b": "X"}
    assert answer.optima_count == 1
    blocked = replace(
        LayoutProblem(headers=headers, chains=chains, share_penalty=50, now=now, move_penalty=10), barred=now[:1]
    )
    assert placed(best_layout(blocked)) == {"a": "X", "b": "Y"}


def test_sharing_is_told_with_its_tach_and_its_signal() -> None:
    codes = [note.code for note in best_layout(BASE).notes]
    assert codes == ["one_tach", "signal_fan_out"]


def test_equal_layouts_are_counted_and_listed_in_one_order() -> None:
    chains = tuple(chain(name, PWM, 100, 100) for name in "abc")
    headers = tuple(header(name, 1000, PWM) for name in ("X", "Y", "Z"))
    answer = best_layout(LayoutProblem(headers=headers, chains=chains, share_penalty=50))
    assert (answer.optima_count, len(answer.optima)) == (6, 6)
    assert placed(answer) == {"a": "X", "b": "Y", "c": "Z"}
    free = best_layout(LayoutProblem(headers=headers, chains=chains))
    assert (free.optima_count, len(free.optima)) == (27, 24)
    assert placed(free) == {"a": "X", "b": "Y", "c": "Z"}  # fewest shared headers first
    assert free.runner_up is None


def test_a_wrong_question_is_refused_with_its_name() -> None:
    for problem, why in (
        (replace(BASE, headers=(*BASE.headers, BASE.headers[0])), 'header "PUMP" stands twice'),
        (replace(BASE, chains=(*BASE.chains, BASE.chains[0])), 'chain "P" stands twice'),
        (replace(BASE, headers=()), "no header"),
        (replace(BASE, share_penalty=-1), "share_penalty"),
        (with_header(BASE, "CPU", rating_ma=0), "rating"),
        (with_header(BASE, "CPU", modes=()), "mode"),
        (with_chain(BASE, "A", steady_ma=-5), "steady"),
        (with_chain(BASE, "A", start_ma=500), "start"),
        (replace(BASE, chains=tuple(chain(f"c{i}", PWM, 10, 10) for i in range(13))), "13 chains"),
        (replace(BASE, headers=BASE.headers[:3]), 'no header "SYS2"'),
    ):
        with pytest.raises(ValueError, match=why):
            best_layout(problem)


# --- properties -----------------------------------------------------------------------------------------------------


@st.composite
def problems(draw: st.DrawFn) -> LayoutProblem:
    headers = tuple(
        header(
            name,
            draw(st.sampled_from((500, 1000, 1500, 2000))),
            *draw(st.sampled_from(((PWM,), (VOLTAGE,), (PWM, VOLTAGE)))),
            lock=draw(st.booleans()),
        )
        for name in ("PUMP", "CPU", "SYS1", "SYS2")[: draw(st.integers(1, 4))]
    )
    chains = tuple(
        chain(
            f"c{i}",
            draw(st.sampled_from((PWM, PWM, VOLTAGE))),
            steady := draw(st.integers(1, 8)) * 100,
            draw(st.sampled_from((None, steady, steady + 150))),
            *(draw(st.integers(0, 40)) for _ in headers),
            pump=draw(st.integers(0, 4)) == 0,
        )
        for i in range(draw(st.integers(1, 4)))
    )
    return LayoutProblem(headers=headers, chains=chains, share_penalty=draw(st.sampled_from((0, 10, 50))))


@settings(deadline=None, max_examples=150)
@given(problems())
def test_it_finds_what_trying_everything_finds(problem: LayoutProblem) -> None:
    every = list(every_layout(problem))
    answer = best_layout(problem)
    if not every:
        assert answer.status == "infeasible"
        assert answer.relaxations
        return
    costs = sorted({cost for cost, _ in every})
    assert answer.best is not None
    assert answer.best.cost == costs[0]
    assert answer.optima_count == sum(cost == costs[0] for cost, _ in every)
    names = [one.name for one in problem.chains]
    wanted = {tuple(zip(names, where, strict=True)) for cost, where in every if cost == costs[0]}
    found = {tuple((seat.chain, seat.header) for seat in layout.seats) for layout in answer.optima}
    assert found <= wanted
    assert len(found) == min(24, len(wanted))
    assert (answer.runner_up.cost if answer.runner_up else None) == (costs[1] if len(costs) > 1 else None)


@settings(deadline=None, max_examples=25)
@given(problems())
def test_it_finds_what_milp_finds(problem: LayoutProblem) -> None:
    best = best_layout(problem).best
    assert (best.cost if best else None) == milp_cost(problem)


@settings(deadline=None, max_examples=60)
@given(st.permutations(BASE.headers), st.permutations(BASE.chains), st.sampled_from((BASE, V1, V2, V3)))
def test_the_order_of_headers_and_chains_plays_no_role(
    headers: list[object], chains: list[object], problem: LayoutProblem
) -> None:
    place = {name: i for i, name in enumerate(one.name for one in headers)}  # type: ignore[attr-defined]
    seat = {name: i for i, name in enumerate(one.name for one in chains)}  # type: ignore[attr-defined]
    shuffled = replace(
        problem,
        headers=tuple(sorted(problem.headers, key=lambda one: place[one.name])),
        chains=tuple(sorted(problem.chains, key=lambda one: seat[one.name])),
    )
    assert best_layout(shuffled) == best_layout(problem)


@settings(deadline=None, max_examples=80)
@given(problems(), st.integers(0, 3), st.integers(1, 400))
def test_more_current_never_makes_an_impossible_layout_possible(problem: LayoutProblem, which: int, more: int) -> None:
    one = problem.chains[which % len(problem.chains)]
    start = None if one.start_ma is None else one.start_ma + more
    heavier = with_chain(problem, one.name, steady_ma=one.steady_ma + more, start_ma=start)
    before, after = best_layout(problem).best, best_layout(heavier).best
    assert after is None or (before is not None and before.cost <= after.cost)


@settings(deadline=None, max_examples=80)
@given(problems())
def test_a_relaxation_really_makes_a_layout_possible(problem: LayoutProblem) -> None:
    answer = best_layout(problem)
    for relaxation in answer.relaxations:
        relaxed = problem
        if relaxation.changes == (Change.FEED,):
            left = tuple(one for one in problem.chains if one.name not in relaxation.chains)
            if left:
                assert best_layout(replace(problem, chains=left)).status == "optimal"
            continue
        for change in relaxation.changes:
            match change:
                case Change.LOCK:
                    relaxed = with_header(relaxed, relaxation.header, full_speed_lock=True)
                case Change.MODE:
                    relaxed = with_header(relaxed, relaxation.header, modes=tuple(Drive))
                case Change.RATING:
                    relaxed = with_header(relaxed, relaxation.header, rating_ma=relaxation.rating_ma)
                case Change.START:
                    relaxed = replace(relaxed, start_override=True)
                case _:
                    raise AssertionError(change)
        assert best_layout(relaxed).status == "optimal"


# --- speed ----------------------------------------------------------------------------------------------------------


def crowd(rating_ma: int, penalty: int, *, alike: bool) -> LayoutProblem:
    names = [f"H{j}" for j in range(8)]
    chains = tuple(
        replace(
            chain(f"C{i}", PWM, 100, 150),
            reach=() if alike else tuple(replace(BASE.chains[0].reach[0], header=name, cable_cm=(7 * i + 13 * j) % 41)
                                         for j, name in enumerate(names)),
        )
        for i in range(8)
    )  # fmt: skip
    headers = tuple(header(name, rating_ma, PWM) for name in names)
    return LayoutProblem(headers=headers, chains=chains, share_penalty=penalty)


@pytest.mark.parametrize(
    "problem",
    [crowd(1000, 50, alike=True), crowd(3000, 0, alike=True), crowd(3000, 50, alike=False), crowd(100, 50, alike=True)],
    ids=["40320 equal ones", "16.8 million equal ones", "all different", "impossible"],
)
def test_eight_chains_on_eight_headers_take_less_than_two_tenths_of_a_second(problem: LayoutProblem) -> None:
    best_layout(problem)
    spent = []
    for _ in range(3):
        start = process_time()
        answer = best_layout(problem)
        spent.append(process_time() - start)
    assert statistics.median(spent) < 0.2
    if problem.share_penalty == 0:
        assert answer.optima_count == 8**8
