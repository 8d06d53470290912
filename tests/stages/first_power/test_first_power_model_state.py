"""What entries of the first power-on add up to: rungs that take others away."""

import pytest

from commission.base.clock import ClockMark
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.pins import Connector
from commission.record.machine.joints import Paper
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
from commission.stages.first_power.model.ladder import FirstPowerVerdict
from commission.stages.first_power.model.machine_start import MachineStart, MachineVerdict, PumpSign
from commission.stages.first_power.model.rails import RailsVerdict, Revision
from commission.stages.first_power.model.wet_watch import WetLook, WetVerdict, WetWatch
from commission.stages.first_power.state.power import FirstPowerState, apply_power

DAY_MS = 86_400_000


def folded(*payloads: FirstPowerEntry, start: FirstPowerState | None = None, first: int = 1) -> FirstPowerState:
    """Return the state after entries of one day each."""
    state = start or FirstPowerState()
    for seq, payload in enumerate(payloads, first):
        mark = ClockMark(wall_ms=seq * DAY_MS, offset_min=0, mono_ms=seq * DAY_MS)
        state = apply_power(state, mark, payload)
    return state


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
LADDER: tuple[FirstPowerEntry, ...] = (
    SUPPLY,
    cable_tested("GPU 1"),
    cable_tested("GPU 2"),
    RailsRead(attempt=1, readings=(), verdict=RAILS, power_good=None),
    PumpStarted(attempt=1, joints=("pump",)),
    JointLooked(attempt=1, look=WetLook(joint="pump", paper=Paper.DRY, elapsed_s=1800)),
    WetWatchEnded(attempt=1, watch=WATCH, verdict=DRY),
    MachineStarted(attempt=1, start=START, verdict=ON),
)


def judged(state: FirstPowerState) -> Outcome:
    return evaluate_first_power(state.record(hold_passed=True, filled=True)).outcome


def test_the_whole_ladder_passes() -> None:
    state = folded(*LADDER)
    assert judged(state) is Outcome.PASS
    assert evaluate_first_power(state.record(hold_passed=True, filled=False)).outcome is Outcome.INCONCLUSIVE
    closed = FirstPowerClosed(
        attempt=1, verdict=FirstPowerVerdict(outcome=Outcome.PASS, rungs=(), reasons=()), program="0"
    )
    assert folded(closed, start=state, first=20) == state


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
    assert FirstPowerState().record(hold_passed=True, filled=True).basis.hand_made  # nobody said that there is none
