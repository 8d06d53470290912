"""Which chain sat where on which day: moves in any order give one history."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.frozen import replace
from commission.record.machine.seats import Chain, Device, Drive, Feed, Header, Move, StopCause, seats


def test_a_question_about_last_week_gets_last_weeks_answer() -> None:
    moves = [
        Move(chain_id="front", header_id="CPU", at_ms=100, seq=1),
        Move(chain_id="rear", header_id="SYS1", at_ms=100, seq=2),
        Move(chain_id="front", header_id="SYS2", at_ms=500, seq=3, why="CPU did not control it"),
        Move(chain_id="rear", header_id=None, at_ms=900, seq=4),
    ]
    assert seats(moves, at_ms=99) == {}
    assert seats(moves, at_ms=100) == {"front": "CPU", "rear": "SYS1"}
    assert seats(moves, at_ms=500) == {"front": "SYS2", "rear": "SYS1"}
    assert seats(moves) == {"front": "SYS2"}


MOVES = st.lists(
    st.builds(
        Move,
        chain_id=st.sampled_from("abc"),
        header_id=st.sampled_from(("X", "Y", None)),
        at_ms=st.integers(0, 5),
        seq=st.integers(0, 10_000),
    ),
    max_size=12,
    unique_by=lambda move: move.seq,
)


@settings(deadline=None)
@given(MOVES, st.randoms(use_true_random=False))
def test_the_order_in_which_moves_were_typed_plays_no_role(moves: list[Move], rng: object) -> None:
    shuffled = list(moves)
    rng.shuffle(shuffled)  # type: ignore[attr-defined]
    for at in (None, 0, 2, 5):
        assert seats(shuffled, at_ms=at) == seats(moves, at_ms=at)


@settings(deadline=None)
@given(MOVES, st.integers(0, 5))
def test_a_chain_sits_where_its_last_move_put_it(moves: list[Move], at: int) -> None:
    found = seats(moves, at_ms=at)
    for chain in "abc":
        past = sorted((m for m in moves if m.chain_id == chain and m.at_ms <= at), key=lambda m: (m.at_ms, m.seq))
        assert found.get(chain) == (past[-1].header_id if past else None)


def test_a_header_that_anything_can_stop_may_stop_a_pump() -> None:
    def header(*, lock: bool, stops: tuple[StopCause, ...] = ()) -> Header:
        return Header(
            header_id="1", name="PUMP", pins=4, rating_ma=3000, rating_assumed=False, modes=(Drive.PWM,),
            full_speed_lock=lock, stops=stops,
        )  # fmt: skip

    assert header(lock=False).may_stop_a_pump
    assert header(lock=True, stops=(StopCause.FAN_STOP,)).may_stop_a_pump
    assert not header(lock=True).may_stop_a_pump


def test_currents_of_a_chain_add_up_in_whole_milliamperes() -> None:
    fan = Device(name="fan", wires=4, steady_ma=201)
    known = Device(name="fan", wires=4, steady_ma=200, start_ma=350)
    chain = Chain(chain_id="c", name="top", devices=(fan, known), drive=Drive.PWM)
    assert (chain.steady_ma, chain.start_known, chain.start_ma(), chain.start_ma(1.5)) == (401, False, 752, 652)


@pytest.mark.parametrize(
    ("name", "called"),
    [("pump", True), ("Pump 2", True), ("loop-pump", True), ("both pumps", True), ("front", False), ("pumpkin", False)],
)
def test_a_chain_whose_name_says_pump_is_called_one(name: str, called: bool) -> None:
    assert fans(name).called_a_pump is called
    assert fans("front", device=name).called_a_pump is called


@pytest.mark.parametrize(
    ("feed", "reports", "control_wanted", "needed"),
    [
        (Feed.SUPPLY, None, False, False),
        (Feed.SUPPLY, 1, False, True),  # its tach lead goes to a header
        (Feed.SUPPLY, None, True, True),  # and here the lead that sets its speed
        (Feed.HEADER, None, False, True),
    ],
)
def test_a_pump_needs_a_header_for_current_tach_or_control(
    feed: Feed, reports: int | None, control_wanted: bool, needed: bool
) -> None:
    there = fans("loop", feed=feed, reports=reports, control_wanted=control_wanted, pump=True)
    assert there.needs_header is needed


def fans(name: str, device: str = "fan", **changes: object) -> Chain:
    made = Chain(
        chain_id="c", name=name, devices=(Device(name=device, wires=4, steady_ma=200),), drive=Drive.PWM, reports=1
    )
    return replace(made, **changes)  # type: ignore[arg-type]
