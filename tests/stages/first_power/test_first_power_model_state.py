"""What entries about power add up to: moves with history, sweeps that go stale, rungs that take others away."""

from dataclasses import replace

import pytest

from commission.base.clock import ClockMark
from commission.base.verdict import Outcome
from commission.procedure.pins import Connector
from commission.record.machine.seats import Chain, Device, Drive, Feed, Header, StopCause
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersClosed,
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
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    FirstPowerEntry,
    JointLooked,
    MachineStarted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.judge.ladder import evaluate_first_power
from commission.stages.first_power.model.cables import Cable, CableTest, CableVerdict, Meter
from commission.stages.first_power.model.rails import RailsVerdict, Revision
from commission.stages.first_power.model.rungs import (
    FirstPowerVerdict,
    MachineStart,
    MachineVerdict,
    Paper,
    PumpSign,
    WetLook,
    WetVerdict,
    WetWatch,
)
from commission.stages.first_power.state.power import PowerState, apply_power

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


def folded(*payloads: FirstPowerEntry | HeadersEntry, start: PowerState | None = None, first: int = 1) -> PowerState:
    """Return the state after entries of one day each."""
    state = start or PowerState()
    for seq, payload in enumerate(payloads, first):
        mark = ClockMark(wall_ms=seq * DAY_MS, offset_min=0, mono_ms=seq * DAY_MS)
        state = apply_power(state, seq, mark, payload)
    return state


def moved(chain_id: str, header_id: str | None) -> ChainMoved:
    return ChainMoved(chain_id=chain_id, header_id=header_id, why="")


TWO = (HeaderAdded(header=header("CPU")), HeaderAdded(header=header("SYS1")), ChainAdded(chain=chain("Top")))


def test_what_sat_where_last_week_is_answered() -> None:
    state = folded(*TWO, moved("top", "cpu"), moved("top", "sys1"))
    assert state.seats(4 * DAY_MS) == {"top": "cpu"}
    assert state.seats() == {"top": "sys1"}
    assert state.seats(3 * DAY_MS) == {}


def test_a_move_that_was_typed_later_counts_from_when_it_was_seen() -> None:
    state = folded(*TWO, moved("top", "cpu"))
    late = ClockMark(wall_ms=9 * DAY_MS, offset_min=0, mono_ms=0)
    state = apply_power(state, 9, late, moved("top", "sys1"), observed_ms=2 * DAY_MS)
    assert state.seats() == {"top": "cpu"}  # it was there before the move that was typed first
    assert state.seats(2 * DAY_MS) == {"top": "sys1"}


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
def test_a_sweep_is_stale_when_its_chain_or_header_changed(change: FirstPowerEntry | HeadersEntry) -> None:
    before = folded(*TWO, ChainAdded(chain=chain("Rear")), moved("top", "cpu"), sweep("top", "cpu"))
    assert before.sweep_of("top") is not None
    after = folded(change, start=before, first=7)
    assert after.sweep_of("top") is None
    assert after.sweeps[0].stale_by == 7
    again = folded(moved("top", "cpu"), sweep("top", "cpu"), start=after, first=8)
    assert again.sweep_of("top") is not None
    assert again.sweeps[0].stale_by == 7  # the first reason stays


def test_what_happens_elsewhere_leaves_a_sweep_alone() -> None:
    before = folded(*TWO, ChainAdded(chain=chain("Rear")), moved("top", "cpu"), sweep("top", "cpu"))
    state = folded(
        moved("rear", "sys1"),
        HeaderSet(header_id="sys1", set_to=Drive.VOLTAGE, full_speed_lock=False, stops=(), why=""),
        start=before,
        first=7,
    )
    assert state.sweep_of("top") is not None


def test_a_header_that_goes_leaves_its_chain_unplugged() -> None:
    state = folded(*TWO, moved("top", "cpu"), HeaderRemoved(header_id="cpu", reason="broken"))
    assert state.seats() == {}
    assert [h.name for h in state.headers] == ["SYS1"]


def test_a_setting_has_its_history_in_the_header() -> None:
    set_ = HeaderSet(
        header_id="cpu", set_to=Drive.VOLTAGE, full_speed_lock=True, stops=(StopCause.FAN_STOP,), why="trial"
    )
    state = folded(*TWO, set_)
    cpu = state.headers[0]
    assert (cpu.set_to, cpu.full_speed_lock, cpu.stops) == (Drive.VOLTAGE, True, (StopCause.FAN_STOP,))


def test_layout_and_duties_keep_the_last_word() -> None:
    low, high = (DutyLeft(chain="Top", zone="", duty_pct=d, rpm=None, full_rpm=None) for d in (40, 60))
    first, second = (Layout(cost=c, seats=(), loads=()) for c in (98, 118))
    state = folded(
        LayoutChosen(layout=first, why=""), LayoutChosen(layout=second, why=""),
        DutyNoted(chain_id="top", left=low), DutyNoted(chain_id="rear", left=low), DutyNoted(chain_id="top", left=high),
    )  # fmt: skip
    assert state.layout == second
    assert dict(state.duties) == {"rear": low, "top": high}


# --- the ladder -------------------------------------------------------------------------------------------------------

PLUG = Connector(id="x", title="x", pins=(), source="", note="")
GOOD = CableVerdict(
    outcome=Outcome.PASS, expected_ohm=0.03, most_ohm=0.3, wires_proven=8, faults=(), missing=(), notes=()
)
RAILS = RailsVerdict(outcome=Outcome.PASS, revision=Revision.ATX3, rows=(), reasons=(), findings=())
WATCH = WetWatch(joints=("pump",), looks=(), elapsed_s=1800)
DRY = WetVerdict(outcome=Outcome.PASS, due=(), next_look_s=None, reasons=())
START = MachineStart(sign=PumpSign.SPEED, after_s=1.0)
ON = MachineVerdict(outcome=Outcome.PASS, power_off=False, reasons=())


def cable_tested(name: str, verdict: CableVerdict = GOOD) -> CableTested:
    cable = Cable(name=name, connector=PLUG, wires=(), gauge=18, length_m=0.6)
    test = CableTest(cable=cable, meter=Meter(lead_ohm=0.2), unplugged=True)
    return CableTested(attempt=1, test=test, verdict=verdict)


SUPPLY = SupplyDescribed(name="bench supply", revision=Revision.ATX3, hand_made=("GPU 1", "GPU 2"))
LADDER: tuple[FirstPowerEntry | HeadersEntry, ...] = (
    SUPPLY,
    cable_tested("GPU 1"),
    cable_tested("GPU 2"),
    RailsRead(attempt=1, readings=(), verdict=RAILS, power_good=None),
    PumpStarted(attempt=1, joints=("pump",)),
    JointLooked(attempt=1, look=WetLook(joint="pump", paper=Paper.DRY, elapsed_s=1800)),
    WetWatchEnded(attempt=1, watch=WATCH, verdict=DRY),
    MachineStarted(attempt=1, start=START, verdict=ON),
)


def judged(state: PowerState) -> Outcome:
    return evaluate_first_power(state.record(hold_passed=True, filled=True)).outcome


def test_the_whole_ladder_passes() -> None:
    state = folded(*LADDER)
    assert judged(state) is Outcome.PASS
    assert evaluate_first_power(state.record(hold_passed=True, filled=False)).outcome is Outcome.INCONCLUSIVE
    closed = FirstPowerClosed(
        attempt=1, verdict=FirstPowerVerdict(outcome=Outcome.PASS, rungs=(), reasons=()), program="0"
    )
    headers = HeadersClosed(attempt=1, verdict=HeadersVerdict(outcome=Outcome.PASS, chains=(), reasons=()), program="0")
    assert folded(closed, headers, start=state, first=20) == state


@pytest.mark.parametrize("count", range(len(LADDER)))
def test_a_ladder_that_is_not_climbed_to_its_end_does_not_pass(count: int) -> None:
    assert judged(folded(*LADDER[:count])) is Outcome.INCONCLUSIVE


@pytest.mark.parametrize("again", [0, 1, 3, 4])
def test_a_rung_that_is_climbed_anew_takes_away_those_above_it(again: int) -> None:
    state = folded(LADDER[again], start=folded(*LADDER), first=20)
    assert judged(state) is Outcome.INCONCLUSIVE
    assert state.machine is None


def test_the_pumps_clock_runs_only_during_the_wet_watch() -> None:
    running = folded(*LADDER[:6])
    assert running.pump_since is not None
    assert running.pump_since.wall_ms == 5 * DAY_MS
    assert len(running.looks) == 1
    assert folded(*LADDER[:7]).pump_since is None
    assert folded(LADDER[4], start=running, first=9).looks == ()


def test_a_cable_that_was_measured_again_counts_as_last_measured() -> None:
    bad = replace(GOOD, outcome=Outcome.FAIL)
    state = folded(
        SUPPLY, cable_tested("GPU 1", bad), cable_tested("GPU 1"), cable_tested("other", bad), cable_tested("GPU 2")
    )
    record = state.record(hold_passed=True, filled=True)
    assert [verdict.outcome for verdict in record.cables] == [Outcome.PASS, Outcome.PASS]
    assert PowerState().record(hold_passed=True, filled=True).basis.hand_made  # nobody said that there is none


# --- all chains together ----------------------------------------------------------------------------------------------

PUMP = chain(
    "Pump", devices=(Device(name="pump", wires=4, steady_ma=1500, start_ma=2000),), pump=True, control_wanted=False
)
LOCKED = header("PUMP", rating_ma=3000, full_speed_lock=True)


def test_the_stage_passes_when_every_chain_is_proven_where_it_sits() -> None:
    state = folded(*TWO, moved("top", "cpu"), sweep("top", "cpu"))
    verdict = evaluate_header_stage(state)
    assert (verdict.outcome, verdict.chains[0].said) == (Outcome.PASS, "controlled")
    with_pump = folded(HeaderAdded(header=LOCKED), ChainAdded(chain=PUMP), moved("pump", "pump"), start=state, first=20)
    assert evaluate_header_stage(with_pump).outcome is Outcome.PASS


def test_what_keeps_the_stage_open() -> None:
    assert evaluate_header_stage(PowerState()).reasons[0].code == "no_chains"
    nowhere = evaluate_header_stage(folded(*TWO))
    assert (nowhere.outcome, nowhere.chains[0].said) == (Outcome.INCONCLUSIVE, "not plugged in")
    unswept = evaluate_header_stage(folded(*TWO, moved("top", "cpu")))
    assert (unswept.outcome, unswept.chains[0].header) == (Outcome.INCONCLUSIVE, "CPU")
    replugged = evaluate_header_stage(folded(*TWO, moved("top", "cpu"), sweep("top", "cpu"), moved("top", "sys1")))
    assert (replugged.outcome, replugged.chains[0].outcome) == (Outcome.INCONCLUSIVE, None)


def test_a_chain_that_ignores_its_header_fails_the_stage() -> None:
    verdict = evaluate_header_stage(folded(*TWO, moved("top", "cpu"), sweep("top", "cpu", flat=True)))
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
    verdict = evaluate_header_stage(state)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.FAIL, code)
    fed = folded(ChainAdded(chain=replace(PUMP, feed=Feed.SUPPLY)), start=state, first=20)
    assert evaluate_header_stage(fed).outcome is Outcome.PASS
