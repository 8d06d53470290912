"""Handovers and visits in the log: what holds them up, what is kept, and which proofs a visit takes."""

from datetime import datetime, timedelta, timezone

import pytest

from commission.base.errors import InputError, NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.build_facts import show_facts
from commission.procedure.load import default_toml
from commission.procedure.model import When
from commission.record.build_state import BuildState
from commission.record.locks import counts, machine_lock
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap
from commission.record.mishaps import Mishaps
from commission.record.part_changed import PartOf
from commission.record.past import TAKEN_OVER
from commission.stages.every import STAGES as STAGES_OF_ALL
from commission.stages.fan_headers.state import FanHeadersState
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.fill.model.coolant import check_bottle
from commission.stages.fill.model.fill import Drain, Pour
from commission.stages.fill.state import FillState, Moved
from commission.stages.fill.work.fills import Fills
from commission.stages.handover.card.deeds import at_hand, done_deed
from commission.stages.handover.card.handover import HandoverFlow
from commission.stages.handover.entries import CoolantLifeRead, HandedOver, ToppedUp
from commission.stages.handover.judge.ready import evaluate_handover
from commission.stages.handover.model import HandoverFacts, ServiceItem, StageStands
from commission.stages.handover.rows.due_json import due_told
from commission.stages.handover.shell import visit
from commission.stages.handover.state import HandoverState, visiting
from commission.stages.handover.work.handovers import Handovers
from commission.stages.handover.work.standing import facts_of, life_of
from commission.stages.handover.work.years import coolant_in, due_of, levels_of
from commission.units.show import say
from tests.fakes import new_book
from tests.handovers import DAY_S, OWNER, bleed_again, finished, handed, power_again, soak_again, visited
from tests.soaks import headers_passed
from tests.ui.bench import asked, led
from tests.wet_builds import CAN, JUG, amount, answer, end_fill, pour, poured

STAGES = ("pressure_hold", "fill", "bleed", "first_power", "fan_headers", "thermal_soak")


def fallen(state: BuildState) -> set[str]:
    """Return the stages whose pass no longer counts."""
    return {stage for stage in STAGES if not counts(state, stage)}


def word(book: Logbook, build: str) -> str:
    """Return the word of the handover on the ladder."""
    return next(str(rung.word) for rung in book.ladder(book.build(build)) if rung.stage.id == "handover")


def test_a_handover_asks_for_one_thing_after_the_other() -> None:
    book, clock, build = finished()
    work = book.work(Handovers)
    assert word(book, build) == "open"
    with pytest.raises(NotAllowed, match="cautions; read and answer each first"):
        work.hand_over(build, OWNER)
    answer(book, build, work, When.FOR_THE_OWNER)
    with pytest.raises(NotAllowed, match=r"Name the spare parts and the bottle .* Read off the bottle"):
        work.hand_over(build, OWNER)
    work.name_spares(build, (), "")
    with pytest.raises(NotAllowed, match="Read off the bottle"):
        work.hand_over(build, OWNER)
    work.read_life(build, 730 * DAY_S, "24 months")
    with pytest.raises(NotAllowed, match="type to whom"):
        work.hand_over(build, "  ")
    clock.run(60)
    work.hand_over(build, "own  use")
    last = book.build(build).of(HandoverState).last
    assert last is not None
    assert (last.to, word(book, build)) == ("own use", "passed")
    plan = {one.item: one.every_s / DAY_S for one in last.plan}
    assert plan == {
        ServiceItem.LOOK: 30, ServiceItem.CLEANING: 180, ServiceItem.COOLANT: 730, ServiceItem.SOAK: 365.25,
    }  # fmt: skip
    with pytest.raises(NotAllowed, match="handed over to own use already"):
        work.hand_over(build, "own use")
    assert book.verify() == []


def test_a_defect_and_a_stale_proof_hold_it_up_and_no_reason_helps() -> None:
    book, _, build = finished()
    work = book.work(Handovers)
    with pytest.raises(NotAllowed, match="no reason stands for that"):
        book.override(build, "handover", "the owner waits")
    wrong = book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="a drop")
    first = work.verdict(book.build(build)).reasons[0]
    assert f'defect is open, entry {wrong.seq}: "leak, lower port: a drop"' in first.template
    with pytest.raises(NotAllowed, match="Handover is locked: it rests on Pressure hold"):
        work.hand_over(build, OWNER)
    finding = next(one for one in book.build(build).findings if one.seq == wrong.seq)
    book.work(Mishaps).repaired(build, finding.raised.finding_id, "new seal")
    assert work.verdict(book.build(build)).reasons[0].code == "stage_does_not_count"
    book.override(build, "pressure_hold", "held on another bench")
    # a reason opens a lock and is no proof where the last verdict no longer counts
    assert work.verdict(book.build(build)).reasons[0].code == "reason_is_no_proof"


def test_a_reason_that_opened_a_lock_is_no_proof_of_a_stage_that_was_never_judged() -> None:
    never = StageStands(title="Thermal soak", passed=False, overridden="no time")
    verdict = evaluate_handover(HandoverFacts(stages=(never,), spares_named=True, planned=True))
    assert (verdict.outcome, verdict.reasons[0].code) == (Outcome.INCONCLUSIVE, "reason_is_no_proof")
    out = HandoverFacts(stages=(), spares_named=True, planned=True, left_out=("flow meter",))
    assert "flow meter" in evaluate_handover(out).reasons[-1].template


@pytest.mark.parametrize(
    ("of", "target", "gone"),
    [
        (PartOf.OTHER, "", set()),
        (PartOf.HEAT_PATH, "", {"thermal_soak"}),
        (PartOf.FANS, "front", {"fan_headers", "thermal_soak"}),
        (PartOf.SUPPLY, "", {"first_power", "fan_headers", "thermal_soak"}),
        (PartOf.LOOP, "", set(STAGES)),
    ],
)
def test_a_changed_part_takes_exactly_the_proofs_that_rest_on_it(of: PartOf, target: str, gone: set[str]) -> None:
    """Worked out by hand from what each stage proves: paste moves heat alone; fans move air and hang on a header; the

    supply feeds everything under power; a loop that was opened is held, filled, bled and powered again.
    """
    book, _, build = visited()
    book.work(Handovers).change_part(build, of, "a part", "worn", target_id=target)
    state = book.build(build)
    assert fallen(state) == gone
    assert (state.of(FanHeadersState).sweep_of("front") is None) is (of is PartOf.FANS)
    assert visiting(state) is not None
    assert (machine_lock(state) is not None) is (of in (PartOf.LOOP, PartOf.SUPPLY))  # nothing may be switched on
    if gone:
        with pytest.raises(NotAllowed, match="Handover is locked"):
            book.work(Handovers).hand_over(build)
    else:
        book.work(Handovers).hand_over(build)
        assert word(book, build) == "passed"


@pytest.mark.parametrize(("ml", "gone"), [(4.0, set()), (9.9, set()), (10.1, {"bleed"})])
def test_a_usual_top_up_takes_no_proof_and_more_asks_for_a_bleed(ml: float, gone: set[str]) -> None:
    """After 30 days 5 mL of reading and 30 · 86400 s · 1.9e-12 m3/s = 4.92 mL of loss are usual: 9.92 mL."""
    book, _, build = visited()
    work = book.work(Handovers)
    assert work.usual_m3(book.build(build)) == pytest.approx(9.925e-6, rel=1e-3)
    before = book.build(build).coolant_m3
    work.top_up(build, poured(ml))
    state = book.build(build)
    assert fallen(state) == gone
    assert state.coolant_m3 - before == pytest.approx(ml * 1e-6)


def test_what_is_usual_to_top_up_counts_once_a_visit_and_the_loss_is_all_of_it() -> None:
    """9.92 mL are usual as above: 4 + 4 + 4 mL are more by 2.08; lost are 12 mL in one gap of 30 days."""
    book, clock, build = visited()
    work = book.work(Handovers)
    for left in (9.925e-6, 5.925e-6, 1.925e-6):
        assert work.usual_m3(book.build(build)) == pytest.approx(left, rel=1e-3)
        assert fallen(book.build(build)) == set()
        work.top_up(build, poured(4.0))
        clock.run(60)
    assert fallen(book.build(build)) == {"bleed"}
    assert work.usual_m3(book.build(build)) == 0
    (gap,), _ = levels_of(book.entries(build), book.build(build))
    assert gap.gone_m3 == pytest.approx(12e-6)


def test_visits_a_minute_apart_grant_no_reading_of_their_own() -> None:
    """9.92 mL are usual after 30 days: 5 of them on the first visit leave 4.92 for the second, and none for a third."""
    book, clock, build = visited()
    work = book.work(Handovers)
    left = [9.925e-6, 4.925e-6, 0.0]
    for usual in left:
        assert work.usual_m3(book.build(build)) == pytest.approx(usual, abs=3e-9)
        if usual:
            work.top_up(build, poured(min(5.0, usual * 1e6 - 0.001)))
            work.hand_over(build)
            clock.run(60)
            work.begin_visit(build, "once more")
            answer(book, build, work, When.BEFORE_SERVICE)


@pytest.mark.parametrize("seen", ["wet at pump", "drips under the pump", "all dry, pump damp"])
def test_a_look_on_a_visit_that_found_something_wet_is_a_leak(seen: str) -> None:
    book, _, build = visited()
    with pytest.raises(NotAllowed, match="at a joint is a leak"):
        book.work(Handovers).done(build, ServiceItem.LOOK, seen)
    flow = HandoverFlow(book, build)
    led(flow, [f"looked {seen}"])
    assert (flow.did.calls, "pump" in flow.did.at) == ("leak", True)
    assert book.build(build).of(HandoverState).done == ()


@pytest.mark.parametrize(
    ("seen", "why"),
    [
        ("all dry except pump", '"except" is not all dry'),
        ("dry but one", '"but" is not all dry'),
        ("dry, level far down", "how far is the level down"),
        ("coolant low, all dry", "how far is the level down"),
    ],
)
def test_a_look_on_a_visit_that_leaves_out_a_joint_or_an_amount_is_not_taken(seen: str, why: str) -> None:
    book, _, build = visited()
    with pytest.raises((NotAllowed, InputError), match=why):
        book.work(Handovers).done(build, ServiceItem.LOOK, seen)
    question = HandoverFlow(book, build).question()
    assert question is not None
    with pytest.raises((NotAllowed, InputError), match=why):
        question.deed(f"looked {seen}")
    with pytest.raises((NotAllowed, InputError), match=why):
        done_deed(at_hand(book, build), ServiceItem.LOOK, seen)  # as the command makes it


def test_a_level_that_stays_down_is_told_at_the_end_of_the_visit() -> None:
    book, _, build = visited()
    flow = HandoverFlow(book, build)
    led(flow, ["looked all dry, level 60 mm down"])
    assert work_told(book, build)[-1] == ('The level was down and nothing was topped up: "all dry, level 60 mm down".')
    led(flow, ["3 mL", "looked dry, level was down"])  # how much is told by the top-up
    assert len(work_told(book, build)) == 1


@pytest.mark.parametrize(("ml", "gone"), [((20.0,), set()), ((3.0, 3.0), set()), ((20.0, 20.0), {"bleed"})])
def test_top_ups_that_were_withdrawn_are_told_and_no_more_than_one_is_a_slip(
    ml: tuple[float, ...], gone: set[str]
) -> None:
    """Usual are 9.92 mL as above. Less the largest, which may be a slip, 0, 3 and 20 mL are left."""
    book, clock, build = visited()
    work = book.work(Handovers)
    for each in ml:
        entry = work.top_up(build, poured(each))
        clock.run(60)
        book.withdraw(entry.seq, "typo")
    assert fallen(book.build(build)) == gone
    told = work_told(book, build)
    if gone:
        assert "Bleed has no pass that counts now" in told[0]
        return
    assert told[-1].count("typo") == len(ml)
    flow = HandoverFlow(book, build)
    (ended,) = led(flow, ["looked all dry", "end"])[-1:]
    assert ended.startswith(f"handed back: {OWNER}. Withdrawn on the visit, not counted: top-up {ml[0]:.0f} mL")
    assert ("MORE than usual" in ended) is (ml[0] > 9.92)
    assert "handover reason: Withdrawn on the visit" in " ".join(
        map(str, show_facts(book, STAGES_OF_ALL, book.build(build)))
    )


def work_told(book: Logbook, build: str) -> list[str]:
    """Return the reasons of the handover as they are said now."""
    return [say(one) for one in book.work(Handovers).verdict(book.build(build)).reasons]


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("tubing", "its name as the build has it"),
        ("quick releases", "its name as the build has it"),
        ("mainboard", "type supply"),
        ("graphics card", "type paste, a colon and why; where its cables came off supply, too"),
        ("side panel: wet inside", '"wet" is a leak'),
    ],
)
def test_what_is_called_other_is_refused_with_the_word_that_it_is_meant_as(name: str, why: str) -> None:
    book, _, build = visited()
    question = HandoverFlow(book, build).question()
    assert question is not None
    with pytest.raises(NotAllowed, match=why):
        question.deed(f"changed other {name}: new")


@pytest.mark.parametrize(
    "name",
    ["front", "cpu block", "Pump", "a new radiator", "reservoir glass", "o-ring", "supply cables", "sight glass"],
)
def test_what_proofs_rest_on_is_not_changed_as_something_other(name: str) -> None:
    book, _, build = visited()
    with pytest.raises(NotAllowed, match="proofs rest on"):
        book.work(Handovers).change_part(build, PartOf.OTHER, name, "worn")
    book.work(Handovers).change_part(build, PartOf.OTHER, "glass side panel", "scratched")
    assert fallen(book.build(build)) == set()


def test_draining_on_a_visit_asks_for_the_fill_again() -> None:
    book, _, build = visited()
    book.work(Handovers).drain(build, Drain(dose=amount(1000)))
    assert {"fill", "bleed", "thermal_soak"} <= fallen(book.build(build))
    assert "pressure_hold" not in fallen(book.build(build))


def test_a_visit_needs_a_handover_its_cautions_and_a_reason() -> None:
    book, _, build = finished()
    work = book.work(Handovers)
    with pytest.raises(NotAllowed, match="never handed over"):
        work.begin_visit(build, "a look")
    book, _, build = handed()
    work = book.work(Handovers)
    with pytest.raises(NotAllowed, match="no visit goes on"):
        work.done(build, ServiceItem.LOOK)
    with pytest.raises(NotAllowed, match="why the visit"):
        work.begin_visit(build, " ")
    work.begin_visit(build, "a look")
    assert word(book, build) == "running"
    with pytest.raises(NotAllowed, match="cautions; read and answer each first"):
        work.done(build, ServiceItem.LOOK)
    answer(book, build, work, When.BEFORE_SERVICE)
    work.done(build, ServiceItem.LOOK, "all dry")
    with pytest.raises(NotAllowed, match="a visit goes on already"):
        work.begin_visit(build, "again")
    with pytest.raises(InputError, match="a week to ten years"):
        work.read_life(build, 60.0)
    with pytest.raises(NotAllowed, match="cautions"):
        work.hand_over(build, "somebody else")  # who has not heard the owner's cautions
    handed_back = work.hand_over(build)
    assert word(book, build) == "passed"
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(handed_back.seq, "a slip")


def test_a_build_of_an_older_procedure_goes_on_without_a_handover() -> None:
    toml = default_toml()
    start, end = toml.index('[[stages]]\nid = "handover"'), toml.index("[[typical_parts]]")
    book, _, clock = new_book(procedure_toml=toml[:start] + toml[end:])
    build = headers_passed(book, clock)
    state = book.build(build)
    assert "thermal soak: overridden" in " ".join(map(str, show_facts(book, STAGES_OF_ALL, state)))
    assert due_told(book, None).due == ()
    for deed in (lambda: at_hand(book, build), lambda: book.work(Handovers).begin_visit(build, "a look")):
        with pytest.raises(NotAllowed, match="has no stage handover; open a new build for it"):
            deed()


def test_a_coolant_change_leads_through_the_stages_and_its_age_begins_again() -> None:
    """1050 of 1101.5 mL are let out and 5 % stay: the coolant is changed, and no loss is counted over that."""
    book, clock, build = visited()
    flow = HandoverFlow(book, build)
    led(flow, ["drained 1050 mL", "next"])
    assert flow.go == "fill"
    answer(book, build, book.work(Fills), When.BEFORE_POURING, When.BEFORE_PUMP)
    pour(book, build, 1050, JUG)
    assert end_fill(book, build).outcome == "pass"
    bleed_again(book, clock, build)
    flow.refresh()
    assert asked(flow).startswith("First power-on has no pass that counts now")
    power_again(book, clock, build)
    answer(book, build, book.work(FanHeaders), When.BEFORE_PLUGGING, When.BEFORE_SWEEP)
    assert book.work(FanHeaders).close(build).outcome == "pass"
    soak_again(book, clock, build)
    flow.refresh()
    led(flow, ["end"])
    state = book.build(build)
    assert word(book, build) == "passed"
    assert [one.name for one in coolant_in(book, state)] == ["jug", "can"]
    due = {one.item: (one.due_ms - clock.wall_ms) / 86_400_000 for one in due_of(book, state)}
    assert due[ServiceItem.COOLANT] == pytest.approx(365.25, abs=1)
    assert due[ServiceItem.LOOK] == pytest.approx(30, abs=1)
    clock.run(30 * DAY_S)
    led(flow, ["visit second look", "plug out", "", "", "", "3 mL from jug"])
    topped, _ = levels_of(book.entries(build), book.build(build))
    assert [one.to_s - one.from_s for one in topped] == pytest.approx([30 * DAY_S])


def test_the_coolants_life_is_that_of_the_bottles_in_the_loop_unless_it_was_typed() -> None:
    """By hand: what was let out no longer counts, and of two that are in the shorter one does."""
    book, _, build = finished()
    state, procedure = book.build(build), book.procedure(book.build(build))
    year, years = (replace(CAN, bottle_id=f"{n}", lasts_s=n * 365.25 * DAY_S) for n in (1, 2))

    def life(*moves: Pour | Drain, typed: CoolantLifeRead | None = None) -> float | None:
        moved = tuple(Moved(seq=seq, stage="fill", movement=one) for seq, one in enumerate(moves, 1))
        now = state.with_(FillState(moves=moved)).with_(HandoverState(life=typed))
        found = life_of(procedure.stage("handover"), now)
        assert facts_of(procedure, now).planned is (found is not None or typed is not None)
        return None if found is None else found / DAY_S / 365.25

    assert life(poured(900)) is None
    assert life(poured(900, years)) == 2
    assert life(poured(900, years), poured(90, year), poured(90)) == 1
    assert life(poured(900, year), Drain(dose=amount(900)), poured(900, years)) == 2
    assert life(poured(900, year), typed=CoolantLifeRead(life_s=3 * 365.25 * DAY_S, typed="3 years")) == 3
    assert life(poured(900, year), typed=CoolantLifeRead(life_s=None, typed="")) is None
    with pytest.raises(InputError, match="from a week to ten years"):
        check_bottle(replace(CAN, lasts_s=DAY_S))


def test_a_visit_of_days_ago_is_written_up_line_by_line_with_its_times() -> None:
    """By hand, from the limits: 9.92 mL are usual after 30 days, of which 5 are the reading: 6.64 after 10 days."""
    book, clock, build = handed()
    handed_ms = clock.wall_ms
    clock.run(30 * DAY_S)
    then = handed_ms + round(10 * 1000 * DAY_S)
    typed = datetime.fromtimestamp(then / 1000, timezone(timedelta(minutes=clock.now().offset_min))).isoformat()[:16]
    at = f"at {typed.replace('T', ' ')}"
    flow = HandoverFlow(book, build)
    led(flow, [f"{at} visit first look", "plug out", "", "", ""])
    led(flow, [f"{at} 3 mL", f"{at} looked all dry"])
    with pytest.raises(NotAllowed, match="in the order in which they were done"):
        flow.answer(f"{at.replace(typed[:10], '2026-01-02')} cleaned")
    led(flow, [f"{at} end"])
    *_, begun, topped, looked, back = [one for one in book.entries(build) if one.observed_ms is not None]
    assert {round((one.observed_ms or 0) / 60_000 - then / 60_000) for one in (begun, topped, looked, back)} <= {0, -1}
    assert isinstance(topped.payload, ToppedUp)
    assert topped.payload.usual_m3 == pytest.approx(6.64e-6, abs=2e-8)
    assert isinstance(back.payload, HandedOver)
    assert back.payload.verdict.reasons[-1] == TAKEN_OVER
    due = {one.item: (one.due_ms - then) / 86_400_000 for one in due_of(book, book.build(build))}
    assert due[ServiceItem.LOOK] == pytest.approx(90, abs=0.01)
    for one in (visit.begin, visit.top_up, visit.looked, visit.cleaned, visit.changed, visit.drained, visit.end):
        assert "at" in {parameter.name for parameter in one.params}
