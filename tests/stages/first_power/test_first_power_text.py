"""Every entry of the first power-on says what it is about, in one line."""

from typing import get_args

import pytest

from commission.base.verdict import Outcome
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung
from commission.record.payload import Payload
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    FirstPowerEntry,
    JointLooked,
    MachineStarted,
    MultimeterNamed,
    PowerFaultMended,
    PowerTestAborted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
    WetWatchEnded,
)
from commission.stages.first_power.judge.cable import evaluate_cable
from commission.stages.first_power.judge.rails import evaluate_rails, judge_power_good
from commission.stages.first_power.model.ladder import FirstPowerVerdict, RungState
from commission.stages.first_power.model.machine_start import MachineStart, MachineVerdict, PumpSign
from commission.stages.first_power.model.rails import Revision
from commission.stages.first_power.model.wet_watch import LevelLook, WetLook, WetVerdict, WetWatch
from tests.power_builds import cable_test, rails
from tests.registered import tell

TEST = cable_test(pin3=None)
READ = rails(V12="11.39")[:2]
LOOK = WetLook(joint="block", paper=Paper.DAMP, elapsed_s=600, note="a drop at the seal")
WATCH = WetWatch(joints=("block",), looks=(LOOK,), elapsed_s=1800, level=LevelLook.STEADY, noise=Noise.QUIET)
DEAD = MachineStart(sign=PumpSign.NONE, after_s=None, tach_connected=False, headers_right=False, powered_off=True)
LADDER = FirstPowerVerdict(
    outcome=Outcome.INCONCLUSIVE,
    rungs=(
        RungState(rung=Rung.CABLES, outcome=Outcome.PASS, locked=None),
        RungState(rung=Rung.SUPPLY, outcome=None, locked=None),
    ),
    reasons=(),
)

TOLD = [
    (SupplyDescribed(name="Larkspur", revision=Revision.ATX3, hand_made=()), "Larkspur, ATX3; made by hand: none"),
    (
        SupplyDescribed(name="Larkspur", revision=Revision.ATX2, hand_made=("CPU", "GPU")),
        "Larkspur, ATX2; made by hand: CPU, GPU",
    ),
    (
        CableTested(attempt=1, test=TEST, verdict=evaluate_cable(TEST)),
        "attempt 1: CPU, processor 8-pin, fail, 7 of 8 wires proven",
    ),
    (
        # ATX12V design guide 2.0, table 2: 11.40 V is the lowest
        RailsRead(attempt=2, readings=READ, verdict=evaluate_rails(READ, Revision.ATX2),
                  power_good=judge_power_good(180, Revision.ATX2)),
        "attempt 2: fail, ATX2: 24-pin +12 V 11.39 V, 24-pin +5 V 5.02 V; PWR_OK after 180 ms, required",
    ),
    (MultimeterNamed(name="bench meter"), "cables and voltages are read with bench meter"),
    (PowerTestAborted(attempt=1, cable="CPU", reason="wrong cable"), "attempt 1: cable CPU, wrong cable"),
    (PowerTestAborted(attempt=2, cable="", reason="wrong meter"), "attempt 2: voltages, wrong meter"),
    (PowerFaultMended(what="GPU 1 +12 V", done="new crimp"), "GPU 1 +12 V: new crimp"),
    (PumpStarted(attempt=1, joints=("block", "pump top")), "attempt 1: pump alone; to look at: block, pump top"),
    (JointLooked(attempt=1, look=LOOK), "attempt 1: block damp after 10 min (a drop at the seal)"),
    (
        WetWatchEnded(attempt=1, watch=WATCH,
                      verdict=WetVerdict(outcome=Outcome.FAIL, due=(), next_look_s=None, reasons=())),
        "attempt 1: fail, pump ran 30 min, level steady, sound quiet",
    ),
    (
        MachineStarted(attempt=1, start=DEAD,
                       verdict=MachineVerdict(outcome=Outcome.FAIL, power_off=True, reasons=())),
        "attempt 1: fail, pump: no sign, its tach is not connected, headers not as recorded, powered off again; "
        "power off at once",
    ),
    (
        FirstPowerClosed(attempt=1, verdict=LADDER, program="test"),
        "attempt 1: inconclusive; cables unplugged pass, supply alone not done",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("payload", "told"), TOLD, ids=lambda value: str(getattr(value, "KIND", "")) or None)
def test_an_entry_about_power_tells_its_figures(payload: Payload, told: str) -> None:
    assert tell(payload) == told


def test_every_kind_of_entry_about_power_is_among_them() -> None:
    assert {type(payload) for payload, _ in TOLD} == set(get_args(FirstPowerEntry))
