"""Random walks over the logbook: no sequence of deeds, overrides and withdrawals gets power on before its rung.

Outside: the order of the rungs, as a model of its own in ``tests/lock_model.py``. Status: argued.
"""

import random
from collections import Counter
from collections.abc import Callable
from contextlib import suppress

import pytest

from commission.base.errors import CommissionError
from commission.base.pump_supply import PumpSupply
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.record import ladder
from commission.record import logbook as book_module
from commission.record.entries import CautionsPrinted, StageOverridden
from commission.record.locks import rung_lock
from commission.record.logbook import Logbook
from commission.record.machine.joints import Paper
from commission.record.machine.noise import Noise
from commission.record.machine.rungs import Rung, Rungs
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.stages.bleed.work import Bleeds
from commission.stages.build_sheet.work import Sheet
from commission.stages.fan_headers.entries import SweepSource, SweepTaken
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.fill.model.fill import Drain
from commission.stages.fill.work.fills import Fills
from commission.stages.first_power.entries import MachineStarted, PumpStarted
from commission.stages.first_power.model.rails import Revision
from commission.stages.first_power.model.wet_watch import LevelLook
from commission.stages.first_power.state.power import FirstPowerState
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from commission.stages.thermal_soak.model import SoakPlan
from commission.stages.thermal_soak.work.soaks import Soaks
from tests.fakes import HandClock, ListLog, new_book
from tests.holds import RADIATOR, gauge_reads, start_hold, type_hold
from tests.lock_model import ON_THE_MACHINE, violation
from tests.power_builds import FED_BY_THE_SUPPLY, SOUND, cable_test, chain, falling, header, level, rails
from tests.soaks import course
from tests.wet_builds import CAN, amount, cycle, pour, poured

Deed = Callable[[Logbook, HandClock, str, random.Random], object]
STAGES = ("pressure_hold", "fill", "bleed", "first_power", "fan_headers", "thermal_soak")


def _hold(book: Logbook, clock: HandClock, build: str, _: random.Random) -> None:
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    book.work(Holds).close(build, Ending.PLANNED)


def _withdraw(book: Logbook, _: HandClock, build: str, rng: random.Random) -> None:
    book.withdraw(rng.choice(book.entries(build)).seq, "it was wrong")


def _older_override(book: Logbook, _: HandClock, build: str, rng: random.Random) -> None:
    book.record(build, StageOverridden(stage=rng.choice(STAGES), reason="as older records hold it"))


def _answer_all(book: Logbook, _: HandClock, build: str, __: random.Random) -> None:
    """Record every caution that is asked now as printed: one entry a stage, where the screens make one for each."""
    state = book.build(build)
    for work in (book.work(Fills), book.work(Bleeds), book.work(FirstPower), book.work(FanHeaders), book.work(Soaks)):
        ids = tuple(caution.id for when in When for caution in work.cautions(state, when))
        attempt = state.run(work.stage_id).attempt
        book.record(build, CautionsPrinted(stage=work.stage_id, attempt=attempt, cautions=ids))


def _watch(book: Logbook, clock: HandClock, build: str, paper: Paper) -> None:
    book.work(FirstPower).start_pump(build, ("radiator block",))
    for _ in range(3):
        clock.run(620)
        book.work(FirstPower).look(build, "radiator block", paper)
    book.work(FirstPower).end_watch(build, level=LevelLook.STEADY, noise=Noise.QUIET)


def _supply(book: Logbook, build: str, *made: str) -> None:
    book.work(FirstPower).describe_supply(build, name="Larkspur 850", revision=Revision.ATX2, hand_made=made)


def _plug(book: Logbook, _: HandClock, build: str, __: random.Random) -> None:
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.work(FanHeaders).seats.add_chain(build, chain("front"))
    book.work(FanHeaders).seats.move(build, "front", "SYS 1")


def _end_fill(book: Logbook, build: str) -> None:
    """End the fill with the steps that may be done; without them it is no pass."""
    with suppress(CommissionError):
        for step in book.work(Fills).missing_steps(book.build(build)):
            book.work(Fills).do_step(build, step)
    book.work(Fills).close(build)


def _mishap(book: Logbook, _: HandClock, build: str, rng: random.Random) -> None:
    what = rng.choice(list(Mishap))
    bottle, hurt = what is Mishap.SPILL and rng.random() < 0.5, rng.random() < 0.3
    book.work(Mishaps).note(build, what, where="here", seen="seen", from_bottle=bottle, on_electronics=hurt)


def _repaired(book: Logbook, _: HandClock, build: str, __: random.Random) -> None:
    found = book.build(build).open_findings
    book.work(Mishaps).repaired(build, found[0].raised.finding_id if found else "none", "put right")


ORDER: tuple[tuple[str, Deed], ...] = (
    ("part", lambda b, c, i, r: b.work(Sheet).add_part(i, RADIATOR)),
    ("hold", _hold),
    ("let down", lambda b, c, i, r: b.work(Holds).let_down(i, gauge_reads(0.0))),
    ("own", lambda b, c, i, r: b.work(Fills).choose_pump_supply(i, PumpSupply.OWN)),
    ("bottle", lambda b, c, i, r: b.work(Fills).add_bottle(CAN)),
    ("answer", _answer_all),
    ("pour", lambda b, c, i, r: pour(b, i, 1100)),
    ("end the fill", lambda b, c, i, r: _end_fill(b, i)),
    ("answer", _answer_all),
    ("begin to bleed", lambda b, c, i, r: b.work(Bleeds).start(i)),
    ("cycle", lambda b, c, i, r: b.work(Bleeds).cycle(i, cycle(1), poured(1, u_ml=0.3))),
    ("end the bleed", lambda b, c, i, r: b.work(Bleeds).close(i)),
    ("supply", lambda b, c, i, r: _supply(b, i)),
    ("rails", lambda b, c, i, r: b.work(FirstPower).read_rails(i, rails())),
    ("pump", lambda b, c, i, r: b.work(FanHeaders).seats.add_chain(i, FED_BY_THE_SUPPLY)),
    ("watch", lambda b, c, i, r: _watch(b, c, i, Paper.DRY)),
    ("answer", _answer_all),
    ("machine", lambda b, c, i, r: b.work(FirstPower).start_machine(i, SOUND)),
    ("end the ladder", lambda b, c, i, r: b.work(FirstPower).close(i)),
    ("plug", _plug),
    ("answer", _answer_all),
    ("sweep", lambda b, c, i, r: b.work(FanHeaders).sweeps.take_sweep(i, "front", falling(), SweepSource.TYPED)),
    ("leave", lambda b, c, i, r: b.work(FanHeaders).note_duty(i, "front", 50, 750)),
    ("close", lambda b, c, i, r: b.work(FanHeaders).close(i)),
    ("bled elsewhere", lambda b, c, i, r: b.override(i, "thermal_soak", "bled on another bench")),
    ("answer", _answer_all),
    ("begin to soak", lambda b, c, i, r: b.work(Soaks).start(i, SoakPlan())),
    ("soak", lambda b, c, i, r: b.work(Soaks).read(i, course(0))),
    ("end the soak", lambda b, c, i, r: b.work(Soaks).close(i)),
)
"""A good way from an empty build to the last verdict."""

ASIDE: tuple[tuple[str, Deed], ...] = (
    ("override", lambda b, c, i, r: b.override(i, r.choice(STAGES), "I know better")),
    ("older override", _older_override),
    ("withdraw", _withdraw),
    ("bridged", lambda b, c, i, r: b.work(Fills).choose_pump_supply(i, PumpSupply.BRIDGED)),
    ("hand-made", lambda b, c, i, r: _supply(b, i, "CPU")),
    ("cable", lambda b, c, i, r: b.work(FirstPower).test_cable(i, cable_test())),
    ("bad cable", lambda b, c, i, r: b.work(FirstPower).test_cable(i, cable_test(pin3=None))),
    ("low rails", lambda b, c, i, r: b.work(FirstPower).read_rails(i, rails(V12="11.0"))),
    (
        "mend",
        lambda b, c, i, r: b.work(FirstPower).findings.mend(
            i, b.build(i).of(FirstPowerState).open_faults[0].what, "mended"
        ),
    ),
    ("drain", lambda b, c, i, r: b.work(Fills).move(i, Drain(dose=amount(200)))),
    ("large cycle", lambda b, c, i, r: b.work(Bleeds).cycle(i, cycle(4), poured(4, u_ml=0.3))),
    ("mishap", _mishap),
    ("repaired", _repaired),
    ("another part", lambda b, c, i, r: b.work(Sheet).add_part(i, RADIATOR)),
    ("wet watch", lambda b, c, i, r: _watch(b, c, i, Paper.WET)),
    ("bursts", lambda b, c, i, r: b.work(Fills).do_step(i, r.choice(("protect", "first_fill", "bursts")))),
    ("begin a sweep", lambda b, c, i, r: b.work(FanHeaders).sweeps.begin_sweep(i, "front")),
    ("level", lambda b, c, i, r: b.work(FanHeaders).sweeps.sweep_level(i, level(100, 1500))),
    ("end the sweep", lambda b, c, i, r: b.work(FanHeaders).sweeps.end_sweep(i)),
    ("unplug", lambda b, c, i, r: b.work(FanHeaders).seats.move(i, "front", None)),
)
"""What else can be done at any time, some of it to go round a lock."""


def way(rng: random.Random) -> list[tuple[str, Deed]]:
    """Return a good way of which some is left out, with other deeds in between and here and there out of turn."""
    deeds: list[tuple[str, Deed]] = []
    left_out = rng.choice((0.0, 0.05, 0.15, 0.4))
    strange = rng.choice((0.0, 0.2, 0.4, 0.6))
    for deed in ORDER:
        while rng.random() < strange:
            deeds.append(rng.choice(ASIDE if rng.random() < 0.7 else ORDER))
        if rng.random() >= left_out:
            deeds.append(deed)
    return deeds


def walk(seed: int) -> tuple[list[str], Counter[str]]:
    """Walk once; return what jumped a rung, with the way to it, and how often each kind of entry was reached."""
    rng = random.Random(seed)
    book, log, clock = new_book()
    book.name_operator("Kim")
    build = book.open_build("Blue Heron")
    jumped: list[str] = []
    done: list[str] = []
    for name, deed in way(rng):
        before = len(log.entries(build))
        with suppress(CommissionError, IndexError):  # the second where nothing is open to be mended
            deed(book, clock, build, rng)
        done.append(name)
        jumped += _jumped(log, build, before, done)
        jumped += _unlike(book, build, done)
    return jumped, Counter(entry.payload.KIND for entry in log.entries(build))


def _jumped(log: ListLog, build: str, before: int, done: list[str]) -> list[str]:
    entries = log.entries(build)
    return [
        f"after {', '.join(done)}: {found}"
        for at in range(before, len(entries))
        if (found := violation(entries[:at], entries[at].payload))
    ]


def _unlike(book: Logbook, build: str, done: list[str]) -> list[str]:
    """Return where a lock would go by another outcome of a rung than the judge of the ladder gives."""
    state = book.build(build)
    kept = state.of(Rungs)
    judged = {rung.rung: rung.outcome for rung in book.work(FirstPower).verdict(state).rungs}
    locked = {rung.rung: rung.locked for rung in book.work(FirstPower).verdict(state).rungs}
    runs = state.of(FirstPowerState).pump_since is not None
    told = {rung: kept.shown.get(rung) for rung in Rung}
    if (told, kept.pump_runs) == (judged, runs) and {rung: rung_lock(state, rung) for rung in Rung} == locked:
        return []
    return [f"after {', '.join(done)}: locks go by {told}, the judge says {judged}"]


@pytest.mark.parametrize("seed", range(40))
def test_no_way_through_the_logbook_gets_power_on_before_its_rung(seed: int) -> None:
    jumped, _ = walk(seed)
    assert jumped == []


def test_the_walks_get_to_the_pump_the_machine_and_the_sweeps() -> None:
    """Without this the test above could be kept by walks that get nowhere."""
    reached: Counter[str] = Counter()
    for seed in range(25):
        reached += walk(seed)[1]
    for kind in (PumpStarted, MachineStarted, SweepTaken, StageOverridden):
        assert reached[kind.KIND] >= 3, kind.KIND


def _fault(book: Logbook, _: HandClock, build: str, __: random.Random) -> None:
    book.work(Holds).raise_finding(build, where="fitting", part_id=None, note="a drop at the block")


@pytest.mark.parametrize("change", ["another part", "drain", "fault"])
def test_a_changed_loop_locks_pump_and_machine_as_the_judge_has_it(change: str) -> None:
    """Long after all rungs passed: the walks above seldom get there."""
    rng = random.Random(1)
    book, _, clock = new_book()
    book.name_operator("Kim")
    build = book.open_build("Blue Heron")
    for name, deed in ORDER:
        deed(book, clock, build, rng)
        assert _unlike(book, build, [name]) == []
    assert rung_lock(book.build(build), Rung.MACHINE) is None
    deeds = {**dict(ASIDE), "fault": _fault}
    deeds[change](book, clock, build, rng)
    assert _unlike(book, build, [change]) == []
    assert rung_lock(book.build(build), Rung.MACHINE) is not None
    assert book.build(build).of(Rungs).shown[Rung.SUPPLY] is Outcome.PASS


def test_the_walks_find_a_lock_that_is_taken_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """The hole that there was: a reason typed on the fan headers opened the sweeps of a machine without a hold."""
    monkeypatch.setattr(ladder, "stage_lock", lambda *_: None)
    monkeypatch.setattr(book_module, "refuse_override", lambda *_: None)
    found = [line for seed in range(25) for line in walk(seed)[0]]
    kinds = {kind.KIND for kind in ON_THE_MACHINE.__args__}
    assert any(kind in line for line in found for kind in kinds)
