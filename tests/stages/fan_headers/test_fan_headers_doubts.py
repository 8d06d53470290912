"""A sweep with the speeds of another is asked about, and so is what was done after one failed; both stay told.

Speeds are invented; which word they get is argued in the tests of the judge.
"""

from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.base.verdict import Outcome
from commission.record.logbook import Logbook
from commission.record.machine.seats import Chain
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.entries import SweepSource
from commission.stages.fan_headers.rows.show_headers import headers_lines
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.text import headers_text
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.fan_headers.work.sweep_doubts import refuse_unanswered, same_speeds
from commission.units.show import say
from tests.stages.fan_headers.screen.headers_bench import DOWN_AND_UP, SWEEPING, plugged
from tests.stages.fan_headers.sweep_makers import once
from tests.stages.said_once import lines_of
from tests.ui.bench import asked, led

DUTIES = (100.0, 80.0, 60.0, 50.0, 40.0, 30.0)
FOLLOWS = tuple(map(float, DOWN_AND_UP[:6]))
INVERTED = tuple(map(str, (600, 750, 900, 1100, 1300, 1500, 1300, 1100, 900, 750, 600)))
"""Slower with more duty, down and up."""
REAR = ("header SYS2 4-pin 2 A pwm", "chain rear 3 fans 4-wire 0.2 A start 0.3 A 1500 rpm", "plug rear SYS2")


def named(flow: HeadersFlow, name: str) -> Chain:
    """A chain by its name."""
    return flow.hand.chain_named(name)[0]


def told(book: Logbook, build: str) -> tuple[list[str], list[str]]:
    """What the verdict on all chains says, and the lines of ``show``."""
    state = book.build(build)
    return [say(one) for one in book.work(FanHeaders).verdict(state).reasons], lines_of(headers_lines(book, state))


def test_a_file_that_served_another_chain_is_asked_about_on_the_screen_and_told_where_it_is_stored(
    tmp_path: Path,
) -> None:
    path = tmp_path / "front.csv"
    rows = zip(DUTIES, FOLLOWS, strict=True)
    path.write_text("duty [%],speed [rpm]\n" + "".join(f"{d:g},{n:g}\n" for d, n in rows), encoding="utf-8")
    flow, book, _, build = plugged(*REAR, *SWEEPING, f"file {path}", "sweep rear", f"file {path}")
    swept = '"front.csv" has the very speeds of an earlier sweep of front on SYS1, to the rpm. Is it right?'
    assert asked(flow) == swept
    assert len(book.build(build).of(FanHeadersState).sweeps) == 1
    led(flow, ["no"])
    assert len(book.build(build).of(FanHeadersState).sweeps) == 1
    led(flow, [f"file {path}", "yes"])
    taken = book.build(build).of(FanHeadersState).sweeps[-1].taken
    assert taken.same_as == "front on SYS1"
    said = "he very speeds of an earlier sweep of front on SYS1, said to be right"
    assert any(said in notice for notice in flow.card().notices)
    reasons, shown = told(book, build)
    assert any(said in reason for reason in reasons)
    assert any(line.startswith("sweep 2 remark") and said in line for line in shown)
    assert said in headers_text(taken)


@pytest.mark.parametrize(
    ("first", "second", "doubted"),
    [
        (FOLLOWS, FOLLOWS, True),
        (FOLLOWS, (1499.0, *FOLLOWS[1:]), False),
        ((*FOLLOWS[:4], 0.0, 0.0), (*FOLLOWS[:4], 0.0, 0.0), False),
    ],
    ids=["alike", "one rpm apart", "four that turn"],
)
def test_speeds_are_asked_about_where_five_rows_turn_and_all_are_alike(
    first: tuple[float, ...], second: tuple[float, ...], *, doubted: bool
) -> None:
    flow, book, _, build = plugged(*REAR, *SWEEPING, "abort", "")
    front, rear = named(flow, "front"), named(flow, "rear")
    work, readings = book.work(FanHeaders).sweeps, once(second, DUTIES).readings
    work.take_sweep(build, front.chain_id, once(first, DUTIES), SweepSource.FILE)
    state = book.build(build)
    assert same_speeds(state, readings) == ("front on SYS1" if doubted else "")
    if doubted:
        with pytest.raises(InputError, match=r"has the very speeds of an earlier sweep of front .* say so with --same"):
            refuse_unanswered(state, rear, readings, "x.csv", same=False, done="")
    refuse_unanswered(state, rear, readings, "x.csv", same=doubted, done="")


def test_a_sweep_that_failed_stays_told_and_what_was_done_is_asked_before_the_next() -> None:
    flow, book, _, build = plugged(*SWEEPING, *INVERTED, "")
    front, state = named(flow, "front"), book.build(build)
    failed = state.of(FanHeadersState).sweeps[-1]
    assert (failed.taken.verdict.outcome, failed.taken.verdict.said) == (Outcome.FAIL, "inverted")
    with pytest.raises(InputError, match=r"front failed here \(inverted\): say what was done since with --done"):
        refuse_unanswered(state, front, once(FOLLOWS, DUTIES).readings, "x.csv", same=False, done=" ")
    led(flow, ["sweep front"])
    assert asked(flow) == "The last sweep of front failed here (inverted). What was done since?"
    for line in ("1498", "file x.csv", "end"):
        with pytest.raises(InputError, match="say first what was done"):
            flow.answer(line)
    led(flow, ["lead seated again", *DOWN_AND_UP, ""])
    taken = book.build(build).of(FanHeadersState).sweeps[-1].taken
    assert (taken.verdict.outcome, taken.done) == (Outcome.PASS, "lead seated again")
    reasons, shown = told(book, build)
    before = f"front on SYS1 failed before, set as now (inverted, entry {failed.seq}). Done since: lead seated again."
    assert before in reasons
    assert f"fan headers reason: {before}" in shown
    assert "done since the last failed: lead seated again" in headers_text(taken)
    with pytest.raises(InputError, match="leave --done out"):
        refuse_unanswered(book.build(build), front, (), "x.csv", same=False, done="nothing")


def test_a_pass_after_a_fail_of_which_nobody_said_what_was_done_says_so() -> None:
    flow, book, _, build = plugged(*SWEEPING, *INVERTED, "")
    front = named(flow, "front")
    book.work(FanHeaders).sweeps.take_sweep(build, front.chain_id, once(FOLLOWS, DUTIES), SweepSource.FILE)
    assert any("Nobody said what was done since." in reason for reason in told(book, build)[0])
