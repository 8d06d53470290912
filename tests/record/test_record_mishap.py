"""What went wrong: what each case undoes and what not, what waits for the repair, and what a pass proves of it."""

import itertools
import math

import pytest

from commission.base.errors import NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Outcome
from commission.procedure.model import When
from commission.procedure.stage_ids import HOLD
from commission.record.build_state import BuildState
from commission.record.entries import FindingCured, Withdrawn
from commission.record.fold import fold_further
from commission.record.locks import refuse_pump, rung_lock
from commission.record.logbook import Logbook
from commission.record.logged import Logged
from commission.record.machine.rungs import Rung, Rungs
from commission.record.mishap import Mishap, WentWrong
from commission.record.mishaps import Mishaps
from commission.record.payload import Payload
from commission.stages.bleed.state import BleedState
from commission.stages.fill.judge.mixture import fold_movements
from commission.stages.fill.state import FillState
from commission.stages.first_power.work.first_power import FirstPower
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock, built_once, new_book
from tests.fills import ML
from tests.holds import ready_build, start_hold, type_hold
from tests.power_builds import JOINTS, powered_build, pump
from tests.registered import REGISTRY
from tests.wet_builds import answer, bleeding_build, filled_build, proved_build, run_cycle

FIVE_ML = Measured(quantity=Quantity.VOLUME, si=5 * ML, typed="5 mL")
WHOLE = frozenset(Rung)


def _logged(last: Logged, payload: Payload) -> Logged:
    return replace(last, seq=last.seq + 1, uid=f"after-{last.seq}", payload=payload)


@built_once
def _all_passed() -> BuildState:
    """A build in which every stage has passed; bleed and fan headers borrow the run of the fill."""
    book, _, clock = new_book()
    state = book.build(powered_build(book, clock, seated=pump()))
    return replace(state, runs={**state.runs, "bleed": state.runs["fill"], "fan_headers": state.runs["fill"]})


def _stale(state: BuildState) -> set[str]:
    judged = {stage: state.judged_run(stage) for stage in state.runs}
    return {stage for stage, run in judged.items() if run is not None and run.stale_by is not None}


def _shown(state: BuildState) -> set[Rung]:
    return {rung for rung, outcome in state.of(Rungs).shown.items() if outcome is Outcome.PASS}


EVERY = {"pressure_hold", "fill", "bleed", "first_power", "fan_headers"}
UNDONE = {
    # the way back from a leak is the pressure hold; cables and supply were proved without coolant
    (Mishap.LEAK, False): (EVERY, {Rung.CABLES, Rung.SUPPLY}),
    # what came from the bottle never was in the loop
    (Mishap.SPILL, True): (set(), WHOLE),
    # out of the open filler: less is in it than was judged; no joint is at fault
    (Mishap.SPILL, False): (EVERY - {"pressure_hold"}, WHOLE),
    # nothing under power is trusted; the loop is as tight as it was. A supply's own cables are never measured.
    (Mishap.SMOKE, False): ({"first_power", "fan_headers"}, {Rung.CABLES}),
    # a loop with coolant in it that came apart has lost that as well
    (Mishap.BURST, False): (EVERY, {Rung.CABLES, Rung.SUPPLY}),
}
"""What each case undoes, and which rungs stay. Source: common practice, no source: the actions on its card say what is
done again, `commission/bench/mishap/cards.py`."""


@pytest.mark.parametrize(("what", "from_bottle"), UNDONE)
@pytest.mark.parametrize("wet", [False, True], ids=["dry", "on electronics"])
def test_a_mishap_undoes_exactly_the_proofs_that_it_speaks_against(what: Mishap, from_bottle: bool, wet: bool) -> None:
    stages, rungs = UNDONE[(what, from_bottle)]
    if wet:  # coolant on electronics asks all of the power again, as smoke does
        stages, rungs = stages | {"first_power", "fan_headers"}, rungs & {Rung.CABLES}
    before = _all_passed()
    assert not _stale(before)
    assert _shown(before) == WHOLE
    assert before.last is not None
    wrong = WentWrong(
        mishap_id="m", what=what, where="here", seen="seen", from_bottle=from_bottle, on_electronics=wet, amount=FIVE_ML
    )
    entry = _logged(before.last, wrong)
    after = fold_further(REGISTRY, before, (), (entry,))
    assert _stale(after) == stages
    assert _shown(after) == rungs
    assert [one.seq for one in after.open_findings] == ([entry.seq] if what is not Mishap.SPILL or wet else [])


def test_a_burst_under_air_takes_the_hold_alone() -> None:
    book, _, clock = new_book()
    build = proved_build(book, clock)
    book.work(Mishaps).note(build, Mishap.BURST, where="top cap", seen="a bang")
    assert _stale(book.build(build)) == {"pressure_hold"}


@pytest.mark.parametrize("from_bottle", [True, False])
def test_a_spill_of_a_known_amount_goes_into_the_balance(from_bottle: bool) -> None:
    book, _, clock = new_book()
    build = filled_build(book, clock, 1100)
    book.work(Mishaps).note(
        build, Mishap.SPILL, where="bench", seen="a puddle", from_bottle=from_bottle, amount=FIVE_ML
    )
    left = fold_movements(book.build(build).of(FillState).movements)[-1]
    # 1100 mL - 5 mL by hand; half-width 25 % of 5 mL, so 1.25/sqrt(3) = 0.722 mL (JCGM 100:2008, 4.3.7), with the 1 mL
    # that the amount of the fill was typed with: sqrt(0.722^2 + 1^2) = 1.233 mL
    assert left.volume_m3 / ML == pytest.approx(1095.0, abs=1e-6)
    assert math.sqrt(left.reading_squares_m6) / ML == pytest.approx(1.233, abs=1e-3)


def test_a_spill_from_a_bottle_that_was_never_poured_from_takes_nothing_off() -> None:
    book, _, clock = new_book()
    build = proved_build(book, clock)
    book.work(Mishaps).note(build, Mishap.SPILL, where="bench", seen="x", from_bottle=True, amount=FIVE_ML)
    assert book.build(build).of(FillState).moves == ()


def _leaking(book: Logbook, clock: HandClock) -> tuple[str, str]:
    build = filled_build(book, clock)
    book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="drips")
    return build, book.build(build).open_findings[0].raised.finding_id


def test_no_pump_runs_while_a_leak_waits_for_its_repair() -> None:
    book, _, clock = new_book()
    build, leak = _leaking(book, clock)
    assert book.build(build).pump_supply is PumpSupply.OWN
    with pytest.raises(NotAllowed, match=r"not repaired yet: \"leak, lower port\", entry \d+"):
        refuse_pump(book.build(build))
    book.work(Mishaps).repaired(build, leak, "new seal")
    refuse_pump(book.build(build))


def test_nothing_is_powered_again_while_smoke_waits_for_its_repair() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    book.work(Mishaps).note(build, Mishap.SMOKE, where="supply", seen="a smell")
    said = [rung_lock(book.build(build), rung) for rung in Rung]
    assert [one is not None and one.code == "not_repaired" for one in said] == [False, True, True, True]
    book.work(Mishaps).repaired(build, book.build(build).open_findings[0].raised.finding_id, "another supply")
    assert rung_lock(book.build(build), Rung.SUPPLY) is None


@pytest.mark.parametrize("what", [Mishap.LEAK, Mishap.BURST, Mishap.SMOKE])
def test_a_hold_waits_for_the_repair_of_its_loop_and_of_nothing_else(what: Mishap) -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    book.work(Mishaps).note(build, what, where="here", seen="seen")
    if what is not Mishap.SMOKE:
        with pytest.raises(NotAllowed, match="type repaired on any line"):
            start_hold(book, build)
        book.work(Mishaps).repaired(build, book.build(build).open_findings[0].raised.finding_id, "new part")
    start_hold(book, build)
    assert book.build(build).run(HOLD).running


def test_a_hold_during_which_it_leaked_does_not_pass_and_the_next_one_proves_the_repair() -> None:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="hisses")
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.INCONCLUSIVE
    found = book.build(build).open_findings[0]
    book.work(Mishaps).repaired(build, found.raised.finding_id, "new seal")
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500, fall_mbar=0.1)
    assert book.work(Holds).close(build, Ending.PLANNED).outcome is Outcome.PASS
    assert [one.proved_by for one in book.build(build).findings] == [2]


def test_a_repair_that_is_told_after_the_stage_was_done_again_takes_its_pass_too() -> None:
    before = _all_passed()
    assert before.last is not None
    leak = _logged(before.last, WentWrong(mishap_id="m", what=Mishap.LEAK, where="a", seen="b"))
    leaking = fold_further(REGISTRY, before, (), (leak,))
    passed_again = replace(leaking, runs=before.runs)
    cured = fold_further(REGISTRY, passed_again, (), (_logged(leak, FindingCured(finding_id="m", cure="seal")),))
    assert _stale(cured) == EVERY


def test_what_says_too_little_or_repairs_nothing_is_refused() -> None:
    book, _, clock = new_book()
    build, leak = _leaking(book, clock)
    mishaps = book.work(Mishaps)
    head = book.head()
    with pytest.raises(NotAllowed, match="where it was"):
        mishaps.note(build, Mishap.LEAK, where=" ", seen="drips")
    with pytest.raises(NotAllowed, match="what was seen"):
        mishaps.note(build, Mishap.SMOKE, where="supply", seen="")
    with pytest.raises(NotAllowed, match="only coolant that was spilled"):
        mishaps.note(build, Mishap.LEAK, where="a", seen="b", from_bottle=True)
    with pytest.raises(NotAllowed, match="say what was done"):
        mishaps.repaired(build, leak, " ")
    with pytest.raises(UnknownName, match="no such defect"):
        mishaps.repaired(build, "other", "seal")
    assert book.head() == head


def test_a_mistyped_mishap_is_withdrawn_and_its_proofs_come_back() -> None:
    book, _, clock = new_book()
    build, _ = _leaking(book, clock)
    assert _stale(book.build(build)) == {"pressure_hold", "fill"}
    noted = [entry for entry in book.entries(build) if isinstance(entry.payload, WentWrong)]
    book.withdraw(noted[0].seq, "typed in the wrong build")
    assert _stale(book.build(build)) == set()
    assert book.build(build).findings == ()


def test_a_mishap_that_was_repaired_is_not_withdrawn_before_its_repair() -> None:
    """Whoever repaired it had the loop open: no hold of before speaks of the new seal."""
    book, _, clock = new_book()
    build, leak = _leaking(book, clock)
    repair = book.work(Mishaps).repaired(build, leak, "new seal")
    noted = next(entry for entry in book.entries(build) if isinstance(entry.payload, WentWrong))
    head = book.head()
    with pytest.raises(NotAllowed, match=rf"was repaired by entry {repair.seq}"):
        book.withdraw(noted.seq, "a slip")
    assert book.head() == head
    book.withdraw(repair.seq, "typed in the wrong build")
    book.withdraw(noted.seq, "typed in the wrong build")
    assert _stale(book.build(build)) == set()


def test_a_repair_whose_mishap_was_withdrawn_elsewhere_still_opened_the_loop() -> None:
    book, _, clock = new_book()
    build, leak = _leaking(book, clock)
    repair = book.work(Mishaps).repaired(build, leak, "new seal")
    entries = book.entries(build)
    noted = next(entry for entry in entries if isinstance(entry.payload, WentWrong))
    slip = _logged(repair, Withdrawn(target=noted.seq, reason="a slip"))
    state = fold_further(REGISTRY, book.build(build), (*entries, slip), (slip,))
    assert _stale(state) == {"pressure_hold", "fill"}


def test_a_leak_leaves_the_pump_of_a_watch_running_by_the_record() -> None:
    book, _, clock = new_book()
    build = powered_build(book, clock, seated=pump())
    # climbing the rung again: the pump runs, and the record goes on saying so until somebody says that it is off
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, JOINTS)
    book.work(Mishaps).note(build, Mishap.LEAK, where=JOINTS[0], seen="a drop")
    assert book.build(build).of(Rungs).pump_runs


@pytest.mark.parametrize(("what", "left"), [(Mishap.LEAK, 0), (Mishap.SMOKE, 1)])
def test_cycles_before_a_leak_do_not_count_when_the_bleed_goes_on(what: Mishap, left: int) -> None:
    book, _, clock = new_book()
    build = bleeding_build(book, clock)
    run_cycle(book, clock, build, 2.0)
    book.work(Mishaps).note(build, what, where="block", seen="seen")
    assert len(book.build(build).of(BleedState).cycles) == left


def test_every_pair_of_case_and_source_has_a_row_in_the_table() -> None:
    allowed = {(what, bottle) for what, bottle in itertools.product(Mishap, (False, True))}
    assert allowed - set(UNDONE) == {(what, True) for what in Mishap if what is not Mishap.SPILL}
