"""What entries about headers and chains add up to: moves with history, and sweeps that go stale."""

import pytest

from commission.base.clock import ClockMark
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.machine.seats import Chain, Device, Drive, Feed, Header, StopCause
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersEntry,
    HeaderSet,
    LayoutChosen,
    SweepSource,
    SweepTaken,
)
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.judge.verdict import evaluate_header_stage
from commission.stages.fan_headers.model.all_chains import HeadersVerdict
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.layout import Layout
from commission.stages.fan_headers.model.sweep import Sweep, SweepReading, SweepSetup
from commission.stages.fan_headers.state import FanHeadersState, apply_headers

DAY_MS = 86_400_000


def header(name: str, **changes: object) -> Header:
    made = Header(
        header_id=name.lower(), name=name, pins=4, rating_ma=2000, rating_assumed=False,
        modes=(Drive.PWM, Drive.VOLTAGE), set_to=Drive.PWM,
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def chain(name: str, **changes: object) -> Chain:
    fan = Device(name="fan", wires=4, steady_ma=200, start_ma=300)
    made = Chain(chain_id=name.lower(), name=name, devices=(fan,) * 3, drive=Drive.PWM)
    return replace(made, **changes)  # type: ignore[arg-type]


def sweep(chain_id: str, header_id: str, *, flat: bool = False) -> SweepTaken:
    speeds = {duty: 1500.0 if flat else 15.0 * duty for duty in (100, 80, 60, 50, 40, 30)}
    taken = Sweep(readings=tuple(SweepReading(duty_pct=duty, rpm=rpm) for duty, rpm in speeds.items()))
    setup = SweepSetup(wires=4, mode=Drive.PWM, fans=3)
    return SweepTaken(
        chain_id=chain_id, header_id=header_id, source=SweepSource.TYPED, sweep=taken, setup=setup,
        verdict=evaluate_fan_headers(taken, setup), program="0",
    )  # fmt: skip


def folded(*payloads: HeadersEntry, start: BuildState | None = None, first: int = 1) -> BuildState:
    """Return the build after entries of one day each."""
    state = start or BuildState(build_id="a")
    for seq, payload in enumerate(payloads, first):
        state = apply_headers(state, logged(seq, payload), payload)
    return state


def logged(seq: int, payload: HeadersEntry, *, observed_ms: int | None = None) -> Logged:
    """Return an entry that was typed on the day of its number."""
    mark = ClockMark(wall_ms=seq * DAY_MS, offset_min=0, mono_ms=seq * DAY_MS)
    return Logged(
        seq=seq, uid="", build="a", operator="", mark=mark, observed_ms=observed_ms, payload=payload, digest=""
    )


def moved(chain_id: str, header_id: str | None) -> ChainMoved:
    return ChainMoved(chain_id=chain_id, header_id=header_id, why="")


TWO = (HeaderAdded(header=header("CPU")), HeaderAdded(header=header("SYS1")), ChainAdded(chain=chain("Top")))


def test_what_sat_where_last_week_is_answered() -> None:
    state = folded(*TWO, moved("top", "cpu"), moved("top", "sys1"))
    assert state.plugged.seats(4 * DAY_MS) == {"top": "cpu"}
    assert state.plugged.seats() == {"top": "sys1"}
    assert state.plugged.seats(3 * DAY_MS) == {}


def test_a_move_that_was_typed_later_counts_from_when_it_was_seen() -> None:
    state = folded(*TWO, moved("top", "cpu"))
    late = moved("top", "sys1")
    state = apply_headers(state, logged(9, late, observed_ms=2 * DAY_MS), late)
    assert state.plugged.seats() == {"top": "cpu"}  # it was there before the move that was typed first
    assert state.plugged.seats(2 * DAY_MS) == {"top": "sys1"}


@pytest.mark.parametrize(
    "change",
    [
        moved("top", "sys1"),
        moved("top", None),
        moved("rear", "cpu"),
        ChainRemoved(chain_id="top", reason="sold"),
        HeaderRemoved(header_id="cpu", reason="broken"),
        HeaderSet(header_id="cpu", set_to=Drive.VOLTAGE, full_speed_lock=False, stops=(), why="tried"),
    ],
)
def test_a_sweep_is_stale_when_its_chain_or_header_changed(change: HeadersEntry) -> None:
    before = folded(*TWO, ChainAdded(chain=chain("Rear")), moved("top", "cpu"), sweep("top", "cpu"))
    assert before.of(FanHeadersState).sweep_of("top") is not None
    after = folded(change, start=before, first=7)
    assert after.of(FanHeadersState).sweep_of("top") is None
    assert after.of(FanHeadersState).sweeps[0].stale_by == 7
    again = folded(moved("top", "cpu"), sweep("top", "cpu"), start=after, first=8)
    assert again.of(FanHeadersState).sweep_of("top") is not None
    assert again.of(FanHeadersState).sweeps[0].stale_by == 7  # the first reason stays


def test_what_happens_elsewhere_leaves_a_sweep_alone() -> None:
    before = folded(*TWO, ChainAdded(chain=chain("Rear")), moved("top", "cpu"), sweep("top", "cpu"))
    state = folded(
        moved("rear", "sys1"),
        HeaderSet(header_id="sys1", set_to=Drive.VOLTAGE, full_speed_lock=False, stops=(), why=""),
        start=before,
        first=7,
    )
    assert state.of(FanHeadersState).sweep_of("top") is not None


def test_a_header_that_goes_leaves_its_chain_unplugged() -> None:
    state = folded(*TWO, moved("top", "cpu"), HeaderRemoved(header_id="cpu", reason="broken"))
    assert state.plugged.seats() == {}
    assert [h.name for h in state.plugged.headers] == ["SYS1"]


def test_a_setting_has_its_history_in_the_header() -> None:
    set_ = HeaderSet(
        header_id="cpu", set_to=Drive.VOLTAGE, full_speed_lock=True, stops=(StopCause.FAN_STOP,), why="trial"
    )
    state = folded(*TWO, set_)
    cpu = state.plugged.headers[0]
    assert (cpu.set_to, cpu.full_speed_lock, cpu.stops) == (Drive.VOLTAGE, True, (StopCause.FAN_STOP,))


def test_layout_and_duties_keep_the_last_word() -> None:
    low, high = (DutyLeft(chain="Top", zone="", duty_pct=d, rpm=None, full_rpm=None) for d in (40, 60))
    first, second = (Layout(cost=c, seats=(), loads=()) for c in (98, 118))
    state = folded(
        LayoutChosen(layout=first, why=""), LayoutChosen(layout=second, why=""),
        DutyNoted(chain_id="top", left=low), DutyNoted(chain_id="rear", left=low), DutyNoted(chain_id="top", left=high),
    )  # fmt: skip
    assert state.of(FanHeadersState).layout == second
    assert dict(state.of(FanHeadersState).duties) == {"rear": low, "top": high}


def stage_judged(state: BuildState) -> HeadersVerdict:
    return evaluate_header_stage(state.plugged, state.of(FanHeadersState), steady_percent=80, start_factor=2.0)


PUMP = chain(
    "Pump", devices=(Device(name="pump", wires=4, steady_ma=1500, start_ma=2000),), pump=True, control_wanted=False
)
LOCKED = header("PUMP", rating_ma=3000, full_speed_lock=True)


def test_the_stage_passes_when_every_chain_is_proven_where_it_sits() -> None:
    state = folded(*TWO, moved("top", "cpu"), sweep("top", "cpu"))
    verdict = stage_judged(state)
    assert (verdict.outcome, verdict.chains[0].said) == (Outcome.INCONCLUSIVE, "controlled")
    assert [reason.code for reason in verdict.reasons] == ["no_pump"]
    with_pump = folded(HeaderAdded(header=LOCKED), ChainAdded(chain=PUMP), moved("pump", "pump"), start=state, first=20)
    assert stage_judged(with_pump).outcome is Outcome.PASS


def test_what_keeps_the_stage_open() -> None:
    assert stage_judged(BuildState(build_id="a")).reasons[0].code == "no_chains"
    nowhere = stage_judged(folded(*TWO))
    assert (nowhere.outcome, nowhere.chains[0].said) == (Outcome.INCONCLUSIVE, "not plugged in")
    unswept = stage_judged(folded(*TWO, moved("top", "cpu")))
    assert (unswept.outcome, unswept.chains[0].header) == (Outcome.INCONCLUSIVE, "CPU")
    replugged = stage_judged(folded(*TWO, moved("top", "cpu"), sweep("top", "cpu"), moved("top", "sys1")))
    assert (replugged.outcome, replugged.chains[0].outcome) == (Outcome.INCONCLUSIVE, None)


def test_a_chain_that_ignores_its_header_fails_the_stage() -> None:
    verdict = stage_judged(folded(*TWO, moved("top", "cpu"), sweep("top", "cpu", flat=True)))
    assert verdict.outcome is Outcome.FAIL
    assert verdict.reasons[0].template == "Top on CPU: ignores control."


@pytest.mark.parametrize(
    ("seat", "code"),
    [
        (replace(LOCKED, full_speed_lock=False), "pump_can_stop"),
        (replace(LOCKED, rating_ma=1400), "steady_over"),
    ],
)
def test_a_header_that_may_stop_its_pump_or_is_overloaded_fails_it(seat: Header, code: str) -> None:
    state = folded(HeaderAdded(header=seat), ChainAdded(chain=PUMP), moved("pump", "pump"))
    verdict = stage_judged(state)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, code)
    fed = folded(ChainAdded(chain=replace(PUMP, feed=Feed.SUPPLY)), start=state, first=20)
    assert stage_judged(fed).outcome is Outcome.PASS
