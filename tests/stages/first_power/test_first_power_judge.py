"""The ladder: no rung before the one below, no pump in a dry or unproven loop, and power off when it stands still."""

from itertools import product

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import NEVER_OVERRIDDEN, Rung, rung_locked
from commission.stages.first_power.judge.ladder import evaluate_first_power
from commission.stages.first_power.judge.machine_start import evaluate_machine_start
from commission.stages.first_power.judge.rails import evaluate_rails, judge_power_good
from commission.stages.first_power.judge.wet_watch import evaluate_wet_watch
from commission.stages.first_power.model.cables import CableVerdict
from commission.stages.first_power.model.ladder import FirstPowerVerdict, PowerBasis, PowerRecord
from commission.stages.first_power.model.machine_start import MachineStart, MachineVerdict, PumpSign
from commission.stages.first_power.model.rails import PlugKind, Rail, RailReading, RailsVerdict, Revision
from commission.stages.first_power.model.wet_watch import LevelLook, WetLook, WetRule, WetVerdict, WetWatch
from commission.units.show import say

RULE = WetRule(watch_s=1800, looks=3)  # half an hour, three looks: common practice, no source
JOINTS = ("pump inlet", "pump outlet", "cpu block inlet")


def watch(*papers: Paper, joint: str = "pump inlet", elapsed_s: float = 1800) -> WetWatch:
    """Return a watch in which every other joint stayed dry and one showed these papers."""
    times = (60.0, 900.0, 1800.0, 2100.0)
    looks = [
        WetLook(joint=other, paper=Paper.DRY, elapsed_s=t) for other in JOINTS if other != joint for t in times[:3]
    ]
    looks += [WetLook(joint=joint, paper=paper, elapsed_s=t) for paper, t in zip(papers, times, strict=False)]
    return WetWatch(joints=JOINTS, looks=tuple(looks), elapsed_s=elapsed_s, level=LevelLook.STEADY, noise=Noise.QUIET)


DRY = watch(Paper.DRY, Paper.DRY, Paper.DRY)


@pytest.mark.parametrize(
    ("papers", "outcome", "code"),
    [
        ("DDD", Outcome.PASS, "all_dry"),
        ("DMD", Outcome.INCONCLUSIVE, "looks_due"),  # damp once, then dry, but not at the end
        ("DMDD", Outcome.PASS, "dry_since"),
        ("DDM", Outcome.INCONCLUSIVE, "joint_damp"),
        ("MDM", Outcome.FAIL, "joint_weeps"),
        ("WDD", Outcome.FAIL, "joint_wet"),
        ("DD", Outcome.INCONCLUSIVE, "looks_due"),
        ("", Outcome.INCONCLUSIVE, "looks_due"),
    ],
)
def test_paper_tells(papers: str, outcome: Outcome, code: str) -> None:
    words = {"D": Paper.DRY, "M": Paper.DAMP, "W": Paper.WET}
    watched = watch(*(words[letter] for letter in papers))
    if papers == "DMD":  # the last look is before the end
        early = [replace(look, elapsed_s=min(look.elapsed_s, 1700)) for look in watched.looks]
        pairs = zip(early, watched.looks, strict=True)
        watched = replace(watched, looks=tuple(e if e.joint == JOINTS[0] else look for e, look in pairs))
    verdict = evaluate_wet_watch(watched, RULE)
    assert (verdict.outcome, verdict.reasons[0].code) == (outcome, code)


def test_a_wet_joint_stays_a_leak_when_it_dries_again() -> None:
    verdict = evaluate_wet_watch(watch(Paper.WET, Paper.DRY, Paper.DRY, Paper.DRY), RULE)
    assert verdict.outcome is Outcome.FAIL
    assert "unplug the mains" in verdict.reasons[0].template


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"elapsed_s": 1799.0}, "watch_short"),
        ({"level": LevelLook.SINKING}, "level_sinks"),
        ({"level": LevelLook.NOT_LOOKED}, "not_looked"),
        ({"noise": Noise.GURGLING}, "pump_draws_air"),
        ({"noise": Noise.RATTLING}, "pump_draws_air"),
        ({"noise": Noise.NOT_LISTENED}, "not_looked"),
        ({"joints": (), "looks": ()}, "no_joints"),
        ({"joints": (*JOINTS, "drain valve")}, "looks_due"),
    ],
)
def test_what_leaves_a_wet_watch_open(change: dict[str, object], code: str) -> None:
    verdict = evaluate_wet_watch(replace(DRY, **change), RULE)  # type: ignore[arg-type]
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, code)


def test_coolant_that_moved_in_the_watch_lets_it_begin_again_for_the_level_and_the_last_look() -> None:
    moved = replace(DRY, moved_s=1200.0)
    verdict = evaluate_wet_watch(moved, RULE)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "coolant_moved")
    assert "20 min more" in verdict.reasons[0].template  # by hand: 1200 s + 1800 s - 1800 s that the pump has run
    assert verdict.next_look_s == 3000
    later = evaluate_wet_watch(replace(moved, elapsed_s=3000.0), RULE)
    assert (later.outcome, later.reasons[0].code) == (Outcome.INCONCLUSIVE, "looks_due")
    last = tuple(WetLook(joint=joint, paper=Paper.DRY, elapsed_s=3000.0) for joint in JOINTS)
    assert evaluate_wet_watch(replace(moved, elapsed_s=3000.0, looks=DRY.looks + last), RULE).outcome is Outcome.PASS


def test_a_pump_that_ran_on_unwatched_is_told_with_the_time_of_the_last_look() -> None:
    """Looks at 10, 20 and 30 min; the pump runs for 14 h. What nobody looked at is not proved dry."""
    assert [one.code for one in evaluate_wet_watch(DRY, RULE).reasons] == ["all_dry"]
    verdict = evaluate_wet_watch(replace(DRY, elapsed_s=50_400.0), RULE)
    assert verdict.outcome is Outcome.PASS
    assert (
        say(verdict.reasons[1]) == "The joints were looked at up to 30 min. The pump ran on to 14 h, and nobody looked."
    )


def test_looks_are_spread_and_the_last_is_at_the_end() -> None:
    assert evaluate_wet_watch(watch(), RULE).next_look_s == 600
    # 1800 s and three looks: due at 600, 1200, 1800 s; one at 60 s is none of them, one at 600 s is the first
    assert evaluate_wet_watch(watch(Paper.DRY), RULE).next_look_s == 600
    first = tuple(WetLook(joint=joint, paper=Paper.DRY, elapsed_s=600) for joint in JOINTS)
    assert evaluate_wet_watch(replace(DRY, looks=first), RULE).next_look_s == 1200
    assert evaluate_wet_watch(watch(Paper.DRY, Paper.DRY), RULE).next_look_s == 1800
    assert evaluate_wet_watch(DRY, RULE).next_look_s is None
    assert evaluate_wet_watch(watch(), RULE).due == ("pump inlet",)
    for rule in (WetRule(watch_s=0, looks=1), WetRule(watch_s=60, looks=0)):
        with pytest.raises(ValueError, match="at least one check"):
            evaluate_wet_watch(DRY, rule)


# --- the whole machine ------------------------------------------------------------------------------------------------

STARTED = MachineStart(
    sign=PumpSign.SPEED, after_s=1.5, pump_rpm=2350, tach_connected=True, headers_right=True, processor_k=311.15
)


@pytest.mark.parametrize(
    ("change", "outcome", "off", "code"),
    [
        ({}, Outcome.PASS, False, "pump_turned"),
        ({"after_s": 5.0}, Outcome.PASS, False, "pump_turned"),
        ({"after_s": 5.1}, Outcome.FAIL, True, "pump_late"),
        ({"sign": PumpSign.NONE, "after_s": None}, Outcome.FAIL, True, "pump_stands"),
        ({"sign": PumpSign.NONE, "after_s": None, "powered_off": True}, Outcome.FAIL, False, "pump_stands"),
        ({"sign": PumpSign.NONE, "after_s": None, "tach_connected": None}, Outcome.INCONCLUSIVE, True, "pump_unseen"),
        ({"sign": PumpSign.NONE, "after_s": None, "tach_connected": False}, Outcome.INCONCLUSIVE, True, "pump_unseen"),
        ({"sign": PumpSign.NOT_LOOKED, "after_s": None}, Outcome.INCONCLUSIVE, True, "pump_not_looked"),
        ({"sign": PumpSign.SEEN, "tach_connected": False}, Outcome.PASS, False, "pump_turned"),
        ({"pump_rpm": 199}, Outcome.FAIL, True, "pump_stands"),
        ({"pump_rpm": 200}, Outcome.PASS, False, "pump_turned"),
        ({"headers_right": None}, Outcome.INCONCLUSIVE, False, "looks_missing"),
        ({"processor_k": None}, Outcome.INCONCLUSIVE, False, "looks_missing"),
        ({"headers_right": False}, Outcome.FAIL, False, "headers_differ"),
        ({"processor_k": 363.25}, Outcome.FAIL, True, "too_hot"),
    ],
)
def test_the_pump_turns_or_power_goes_off(change: dict[str, object], outcome: Outcome, off: bool, code: str) -> None:
    # Source: 5 s and 200 rpm are our choice; the question for the tach comes first, since 0 rpm has several meanings.
    verdict = evaluate_machine_start(replace(STARTED, **change))  # type: ignore[arg-type]
    assert (verdict.outcome, verdict.power_off, verdict.reasons[0].code) == (outcome, off, code)
    if off and code != "too_hot":
        assert verdict.reasons[0].template.endswith("Power off at once.")
    with pytest.raises(ValueError, match="time"):
        evaluate_machine_start(STARTED, pump_within_s=0)


@pytest.mark.parametrize(
    ("pumps", "each", "code"), [(2, False, "pumps_unseen"), (2, True, "pump_turned"), (1, False, "pump_turned")]
)
def test_the_sign_of_one_pump_is_none_of_another(pumps: int, each: bool, code: str) -> None:
    verdict = evaluate_machine_start(replace(STARTED, all_pumps=each), pumps=pumps)
    assert (verdict.outcome is Outcome.PASS, verdict.power_off) == (code == "pump_turned", False)
    assert verdict.reasons[0].code == code


# --- the ladder -------------------------------------------------------------------------------------------------------

BASIS = PowerBasis(hold_passed=True, filled=True, hand_made=False)


def cable(outcome: Outcome) -> CableVerdict:
    return CableVerdict(
        outcome=outcome, expected_ohm=0.03, most_ohm=0.3, wires_proven=8, faults=(), missing=(), notes=()
    )


def rails(volt: float = 12.0) -> RailsVerdict:
    reading = RailReading(plug="main", kind=PlugKind.BOARD, rail=Rail.V12, volt=volt, typed=str(volt))
    return evaluate_rails([reading], Revision.ATX2)


WET = evaluate_wet_watch(DRY, RULE)
MACHINE = evaluate_machine_start(STARTED)
WHOLE = PowerRecord(basis=BASIS, rails=rails(), wet=WET, machine=MACHINE)


def next_of(verdict: FirstPowerVerdict) -> Rung | None:
    """Return the rung that may be climbed now; None where the ladder is done or barred."""
    undone = next((one for one in verdict.rungs if one.outcome is not Outcome.PASS), None)
    return None if undone is None or undone.locked else undone.rung


def test_four_rungs_in_order_pass() -> None:
    verdict = evaluate_first_power(WHOLE)
    assert (verdict.outcome, next_of(verdict)) == (Outcome.PASS, None)
    assert [state.locked for state in verdict.rungs] == [None] * 4


def test_the_next_rung_is_named() -> None:
    record = PowerRecord(basis=replace(BASIS, hand_made=True), cables_wanted=2)
    assert next_of(evaluate_first_power(record)) is Rung.CABLES
    record = replace(record, cables=(cable(Outcome.PASS),))
    assert next_of(evaluate_first_power(record)) is Rung.CABLES  # the second cable is missing
    record = replace(record, cables=(cable(Outcome.PASS),) * 2)
    assert next_of(evaluate_first_power(record)) is Rung.SUPPLY
    record = replace(record, rails=rails())
    assert next_of(evaluate_first_power(record)) is Rung.PUMP
    record = replace(record, wet=WET)
    assert next_of(evaluate_first_power(record)) is Rung.MACHINE


@pytest.mark.parametrize(
    ("basis", "code"),
    [
        (replace(BASIS, hold_passed=False), "hold_not_passed"),
        (replace(BASIS, filled=False), "not_filled"),
        (replace(BASIS, bleed_failed=True), "bleed_failed"),
    ],
)
def test_no_pump_before_the_loop_is_tight_and_full(basis: PowerBasis, code: str) -> None:
    passed = dict.fromkeys(Rung, Outcome.PASS)
    for rung in (Rung.PUMP, Rung.MACHINE):
        locked = rung_locked(
            rung, passed, hold_passed=basis.hold_passed, filled=basis.filled, bleed_failed=basis.bleed_failed
        )
        assert locked is not None
        assert locked.code == code
        assert locked.code in NEVER_OVERRIDDEN
    assert rung_locked(Rung.SUPPLY, passed, hold_passed=basis.hold_passed, filled=basis.filled) is None
    verdict = evaluate_first_power(PowerRecord(basis=basis, rails=rails()))
    assert (verdict.outcome, verdict.reasons[0].code, next_of(verdict)) == (Outcome.INCONCLUSIVE, code, None)


def test_a_rung_that_was_skipped_spoils_what_came_after() -> None:
    verdict = evaluate_first_power(replace(WHOLE, wet=None))
    assert verdict.outcome is Outcome.INCONCLUSIVE
    assert next_of(verdict) is Rung.PUMP
    machine = verdict.rungs[-1]
    assert machine.locked is not None
    assert machine.locked.template == 'It rests on "pump only", which is not done.'


@pytest.mark.parametrize("outcomes", list(product((None, *Outcome), repeat=3)))
def test_the_whole_passes_only_if_every_rung_does(outcomes: tuple[Outcome | None, ...]) -> None:
    supply, pump, machine = outcomes
    record = PowerRecord(
        basis=BASIS,
        rails=None if supply is None else replace(rails(), outcome=supply),
        wet=None if pump is None else WetVerdict(outcome=pump, due=(), next_look_s=None, reasons=()),
        machine=None if machine is None else MachineVerdict(outcome=machine, power_off=False, reasons=()),
    )
    verdict = evaluate_first_power(record)
    assert (verdict.outcome is Outcome.PASS) == (set(outcomes) == {Outcome.PASS})
    if Outcome.FAIL in outcomes:
        assert verdict.outcome is Outcome.FAIL


def test_a_failed_rung_says_why_before_anything_else() -> None:
    verdict = evaluate_first_power(replace(WHOLE, rails=rails(11.2)))
    assert verdict.outcome is Outcome.FAIL
    assert verdict.reasons[0].template.startswith("main: +12 V reads 11.2 V")
    late = replace(WHOLE, power_good=judge_power_good(700, Revision.ATX3))
    assert evaluate_first_power(late).outcome is Outcome.FAIL
    made = replace(WHOLE, basis=replace(BASIS, hand_made=True), cables_wanted=1)
    assert evaluate_first_power(replace(made, cables=(cable(Outcome.INVALID),))).outcome is Outcome.INVALID
    assert evaluate_first_power(replace(made, cables=(cable(Outcome.FAIL),))).outcome is Outcome.FAIL
    assert evaluate_first_power(made).outcome is Outcome.INCONCLUSIVE


def test_the_next_rung_is_a_reason_and_a_lock_is_one_too() -> None:
    assert evaluate_first_power(PowerRecord(basis=BASIS)).reasons[0].template == 'Next: "supply alone".'
    short = evaluate_wet_watch(replace(DRY, elapsed_s=60.0), RULE)
    assert evaluate_first_power(PowerRecord(basis=BASIS, rails=rails(), wet=short)).reasons[0].code == "watch_short"
    skipped = evaluate_first_power(PowerRecord(basis=BASIS, wet=WET))
    assert skipped.reasons[0].template == 'Next: "supply alone".'
    assert evaluate_first_power(WHOLE).reasons[0].code == "all_climbed"


def test_looks_in_quick_succession_count_once() -> None:
    """Common practice, no source: a look tells of the minutes before it, and three in one minute tell of one."""
    hasty = tuple(WetLook(joint="pump inlet", paper=Paper.DRY, elapsed_s=t) for t in (10, 20, 30, 1800))
    verdict = evaluate_wet_watch(replace(DRY, looks=hasty), RULE)
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "looks_due")


def test_a_joint_that_is_looked_at_counts_though_it_is_on_no_list() -> None:
    unlisted = replace(DRY, joints=())
    assert evaluate_wet_watch(unlisted, RULE).outcome is Outcome.PASS
    leaking = replace(DRY, looks=(*DRY.looks, WetLook(joint="floor of the case", paper=Paper.WET, elapsed_s=1700)))
    assert evaluate_wet_watch(leaking, RULE).outcome is Outcome.FAIL
    listed = replace(DRY, looks=())
    assert evaluate_wet_watch(listed, RULE).reasons[0].code == "looks_due"


def test_a_sign_without_its_time_is_no_sign() -> None:
    verdict = evaluate_machine_start(replace(STARTED, sign=PumpSign.SEEN, after_s=None))
    assert (verdict.outcome, verdict.power_off) == (Outcome.FAIL, True)
    assert evaluate_machine_start(replace(STARTED, processor_k=363.15)).outcome is Outcome.PASS


@pytest.mark.parametrize("change", [{"pump_rpm": None}, {"pump_rpm": 100.0, "sign": PumpSign.SEEN}])
def test_a_speed_without_a_tach_that_could_show_it_proves_nothing(change: dict[str, object]) -> None:
    start = replace(STARTED, sign=PumpSign.SPEED, tach_connected=False)
    verdict = evaluate_machine_start(replace(start, **change))  # type: ignore[arg-type]
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "speed_without_tach")


@pytest.mark.parametrize(
    ("plate", "code"),
    [(None, ""), (4800, ""), (5875, ""), (5876, "pump_slow"), (1959, ""), (1958, "pump_fast"), (138, "pump_fast")],
)
def test_a_pump_far_off_its_nameplate_is_no_pass(plate: float | None, code: str) -> None:
    """By hand: it shows 2350 rpm, which is 0.4 of 5875 rpm, and 1.2 of 1958.3 rpm. Both shares are our choice."""
    verdict = evaluate_machine_start(STARTED, plate_rpm=plate)
    assert (verdict.outcome, verdict.power_off) == (Outcome.INCONCLUSIVE if code else Outcome.PASS, False)
    assert verdict.reasons[0].code == (code or "pump_turned")


@pytest.mark.parametrize("change", [{"after_s": -3.0}, {"processor_k": 200.0}])
def test_a_start_that_cannot_be_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="cannot be"):
        evaluate_machine_start(replace(STARTED, **change))  # type: ignore[arg-type]
