"""What entries about coolant add up to, without a logbook: attempts, movements, cycles, and what goes stale."""

from dataclasses import dataclass
from typing import ClassVar

import pytest

from commission.base.clock import ClockMark
from commission.base.frozen import replace
from commission.base.quantity import Measured, Quantity
from commission.base.verdict import Bounded, Outcome
from commission.record import fold
from commission.record.build_state import BuildState
from commission.record.entries import BuildOpened, Withdrawn
from commission.record.face import RecordFace, Registry
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.payload import Payload
from commission.record.staleness import ended_run
from commission.stages.bleed.entries import AirSqueezed, BleedClosed, BleedCycleDone, BleedStarted
from commission.stages.bleed.model import AirTail, BleedRule, BleedVerdict, SqueezeResult, TailState
from commission.stages.bleed.state import BleedState
from commission.stages.fill.entries import (
    BottleAdded,
    BottleRetired,
    CoolantDrained,
    CoolantDrawn,
    CoolantPoured,
    CoolantSpilled,
    FillClosed,
    FillEntry,
    LevelRead,
    ReservoirDescribed,
    WaterLost,
    movement_of,
)
from commission.stages.fill.model.coolant import EMPTY, Base, Bottle
from commission.stages.fill.model.fill import Drain, Evaporation, FillVerdict, Pour, Reservoir, Spill, SyringeOut
from commission.stages.fill.state import FillState, Shelf
from tests.fills import EG_PREMIX, ML, MYSTERY, PREMIX, READY, SQUEEZE, WATER, cycle, dose
from tests.registered import REGISTRY, fold_build, fold_shop

FILLED = FillVerdict(
    outcome=Outcome.PASS,
    filled_m3=1e-3,
    u_filled_m3=1e-5,
    expected_m3=1.1e-3,
    u_expected_m3=3e-5,
    basis="parts",
    filled_share=0.91,
    missing=Bounded(value=1e-4, lower95=5e-5, upper95=1.5e-4),
    proof=None,
    missing_share_limit=0.3,
    reference_k=293.15,
    coolant=EMPTY,
    freezing_k=None,
    density_kg_m3=None,
    movements=1,
)
BLED = BleedVerdict(
    outcome=Outcome.PASS,
    tail=AirTail(state=TailState.TOO_FEW),
    came_out_m3=0.0,
    cycles=0,
    kept=0,
    covered_s=0.0,
    rule=BleedRule(last_cycles=3, span_s=7200, top_up_m3=2e-6),
    first_warming_m3=None,
)
LEVEL = Measured(quantity=Quantity.LENGTH, si=0.1, typed="100 mm")


def logged(*payloads: Payload) -> list[Logged]:
    """Return entries a minute apart."""
    return [
        Logged(
            seq=seq,
            uid=str(seq),
            build="b",
            operator="Kim",
            mark=ClockMark(wall_ms=60_000 * seq, offset_min=0, mono_ms=60_000 * seq, boot_ms=60_000 * seq, boot_id="s"),
            observed_ms=None,
            payload=payload,
            digest="",
        )
        for seq, payload in enumerate(payloads, 1)
    ]


def folded(*payloads: Payload) -> BuildState:
    return fold_build("b", logged(BuildOpened(name="rig", procedure=""), *payloads))


def poured(ml: float = 500, bottle: Bottle = WATER, stage: str = "fill") -> CoolantPoured:
    return CoolantPoured(stage=stage, pour=Pour(bottle=bottle, dose=dose(ml)))


def drained(ml: float, stage: str = "service") -> CoolantDrained:
    return CoolantDrained(stage=stage, drain=Drain(dose=dose(ml)))


def fill_closed(attempt: int = 1) -> FillClosed:
    return FillClosed(attempt=attempt, verdict=FILLED, program="test")


def bleed_closed(attempt: int = 1) -> BleedClosed:
    return BleedClosed(attempt=attempt, verdict=BLED, program="test")


def done(ml: float, *, topped: bool = True) -> BleedCycleDone:
    pour = Pour(bottle=WATER, dose=dose(ml)) if topped else None
    return BleedCycleDone(attempt=1, cycle=cycle(1, ml).cycle, pour=pour)


def stale(state: BuildState) -> dict[str, int | None]:
    judged = {stage: state.judged_run(stage) for stage in ("fill", "bleed")}
    return {stage: run.stale_by for stage, run in judged.items() if run is not None}


BLED_ENTRIES = (poured(), fill_closed(), BleedStarted(attempt=1), done(40), bleed_closed())


def test_the_first_pour_starts_an_attempt_and_the_verdict_ends_it() -> None:
    assert folded().run("fill").started is None
    running = folded(poured())
    assert (running.run("fill").running, running.run("fill").attempt) == (True, 1)
    closed = folded(poured(), fill_closed())
    assert (closed.run("fill").attempt, closed.run("fill").running) == (2, False)
    judged = closed.judged_run("fill")
    assert judged is not None
    assert (judged.attempt, judged.outcome) == (1, Outcome.PASS)


def test_everything_that_moves_coolant_is_kept_in_order() -> None:
    moves = (
        poured(),
        drained(10, "fill"),
        CoolantSpilled(stage="fill", spill=Spill(dose=dose(1))),
        CoolantDrawn(stage="fill", drawn=SyringeOut(dose=dose(2))),
        WaterLost(stage="fill", lost=Evaporation(dose=dose(3))),
    )
    state = folded(*moves)
    assert state.of(FillState).movements == tuple(movement_of(move) for move in moves)
    assert [moved.seq for moved in state.of(FillState).moves] == [2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    "entry",
    [LevelRead(stage="fill", level=LEVEL, coolant=None), fill_closed()],
    ids=lambda entry: str(entry.KIND),
)
def test_what_moves_nothing_is_no_movement(entry: FillEntry) -> None:
    assert movement_of(entry) is None


def test_a_bleed_moves_coolant_by_its_top_ups_alone() -> None:
    state = folded(BleedStarted(attempt=1), done(3, topped=False), done(2), bleed_closed())
    assert [moved.seq for moved in state.of(FillState).moves] == [4]


@dataclass(frozen=True, slots=True)
class SoakEnded:
    """Ends an attempt at an invented stage that comes after the bleed."""

    KIND: ClassVar[str] = "soak ended"


SOAK = RecordFace(
    id="soak",
    kinds=(SoakEnded,),
    fold=lambda state, entry: ended_run(state, "soak", entry),
    text=lambda *_: "",
    stale_on=frozenset({Change.LIQUID}),
)


@pytest.mark.parametrize(
    ("after", "stale_by"),
    [
        ((), None),
        ((poured(5, stage="bleed"),), None),
        ((drained(100),), 5),
        ((drained(100), poured(100, PREMIX, stage="service")), 5),
    ],
    ids=["nothing", "a top-up", "some let out", "some let out and other coolant in"],
)
def test_a_stage_that_the_fill_never_heard_of_goes_stale_by_what_it_listens_to(
    after: tuple[Payload, ...], stale_by: int | None
) -> None:
    registry = Registry((*REGISTRY.faces, SOAK))
    told: list[Payload] = [BuildOpened(name="rig", procedure=""), poured(), fill_closed(), SoakEnded(), *after]
    state = fold.fold_build(registry, "b", logged(*told))
    judged = state.judged_run("soak")
    assert judged is not None
    assert judged.stale_by == stale_by
    assert state.news == ()


def test_levels_and_the_last_reservoir_are_kept() -> None:
    tank = Reservoir(bore_m=0.06, height_m=0.2)
    state = folded(
        ReservoirDescribed(reservoir=tank),
        LevelRead(stage="fill", level=LEVEL, coolant=None),
        ReservoirDescribed(reservoir=replace(tank, height_m=0.1)),
    )
    assert state.of(FillState).reservoir == replace(tank, height_m=0.1)
    assert [seen.read.level for seen in state.of(FillState).levels] == [LEVEL]


def test_cycles_belong_to_the_attempt_at_hand() -> None:
    state = folded(*BLED_ENTRIES)
    assert [(timed.seq, timed.elapsed_s) for timed in state.of(BleedState).cycles] == [(5, 60.0)]
    assert [moved.stage for moved in state.of(FillState).moves] == ["fill", "bleed"]
    again = folded(*BLED_ENTRIES, BleedStarted(attempt=2))
    assert (again.of(BleedState).cycles, again.run("bleed").attempt) == ((), 2)
    assert len(again.of(FillState).moves) == 2


def test_what_squeezing_told_is_kept() -> None:
    result = SqueezeResult(air=Bounded(value=1e-6, lower95=0, upper95=2e-6), walls_m3=0.0)
    assert folded(AirSqueezed(attempt=1, check=SQUEEZE, result=result)).of(BleedState).squeezes == (result,)


def test_top_ups_of_the_bleed_leave_the_fill_its_worth() -> None:
    assert stale(folded(*BLED_ENTRIES)) == {"fill": None, "bleed": None}


@pytest.mark.parametrize(
    ("entry", "gone"),
    [
        (poured(5), {"bleed"}),
        (poured(5, stage="service"), {"bleed"}),
        (poured(5, PREMIX, "service"), {"bleed"}),
        (poured(5, MYSTERY, "service"), {"fill", "bleed"}),
        (poured(5, READY, "service"), {"fill", "bleed"}),
        (drained(5), {"fill", "bleed"}),
        (CoolantSpilled(stage="service", spill=Spill(dose=dose(5))), {"fill", "bleed"}),
        (CoolantSpilled(stage="service", spill=Spill(dose=dose(5), bottle=WATER)), set()),
        (CoolantSpilled(stage="fill", spill=Spill(dose=dose(5), bottle=WATER)), set()),
        (CoolantDrawn(stage="service", drawn=SyringeOut(dose=dose(5))), {"fill", "bleed"}),
        (WaterLost(stage="service", lost=Evaporation(dose=dose(5))), {"fill", "bleed"}),
        (fill_closed(2), {"bleed"}),
        (LevelRead(stage="service", level=LEVEL, coolant=None), set()),
    ],
    ids=lambda value: str(getattr(value, "KIND", "")) or None,
)
def test_a_later_entry_takes_the_worth_of_what_rested_on_it(entry: FillEntry, gone: set[str]) -> None:
    state = folded(*BLED_ENTRIES, entry)
    runs = {stage: state.runs[stage][0] for stage in ("fill", "bleed")}
    assert {stage for stage, run in runs.items() if run.stale_by is not None} == gone


@pytest.mark.parametrize(
    ("first", "second", "worth"),
    [
        (PREMIX, PREMIX, True),
        (PREMIX, WATER, True),
        (WATER, PREMIX, True),
        (PREMIX, EG_PREMIX, False),
        (READY, READY, True),
        (READY, replace(READY, bottle_id="r2", name="another can of it", product=READY.name), True),
        (READY, replace(READY, bottle_id="r3", name="another mix"), False),
        (READY, WATER, True),
        (WATER, READY, False),
        (PREMIX, MYSTERY, False),
    ],
)
def test_a_fill_keeps_its_worth_only_with_more_of_the_same(first: Bottle, second: Bottle, worth: bool) -> None:
    state = folded(poured(500, first), fill_closed(), poured(5, second, "service"))
    assert (stale(state)["fill"] is None) == worth


def test_what_was_in_before_the_loop_was_emptied_counts_no_more() -> None:
    # a year later: drained, filled with another coolant, and topped up with that
    state = folded(poured(500, PREMIX), fill_closed(), drained(500), poured(500, EG_PREMIX), fill_closed(2))
    assert stale(state) == {"fill": None}
    topped = folded(
        poured(500, PREMIX), fill_closed(), drained(500), poured(500, EG_PREMIX), fill_closed(2),
        poured(5, EG_PREMIX, "service"),
    )  # fmt: skip
    assert stale(topped) == {"fill": None}


def test_a_withdrawn_pour_is_out_of_the_sum_and_out_of_the_verdict() -> None:
    state = folded(poured(500), poured(300), fill_closed(), Withdrawn(target=3, reason="twice"))
    assert [moved.movement.dose.volume_m3 / ML for moved in state.of(FillState).moves] == pytest.approx([500])
    assert stale(state) == {"fill": 5}
    # withdrawn before the verdict, it takes nothing
    before = folded(poured(500), poured(300), Withdrawn(target=3, reason="twice"), fill_closed())
    assert stale(before) == {"fill": None}


def test_bottles_belong_to_the_workshop() -> None:
    shop = fold_shop(logged(BottleAdded(bottle=WATER), BottleAdded(bottle=PREMIX)))
    assert [bottle.base for bottle in shop.of(Shelf).bottles] == [Base.WATER, Base.PROPYLENE_GLYCOL]
    gone = fold_shop(logged(BottleAdded(bottle=WATER), BottleRetired(bottle_id=WATER.bottle_id, reason="empty")))
    assert gone.of(Shelf).bottles == ()
    back = fold_shop(logged(BottleAdded(bottle=WATER), Withdrawn(target=1, reason="mistyped")))
    assert back.of(Shelf).bottles == ()
    (problem,) = folded(BottleAdded(bottle=WATER)).problems
    assert "belongs to the workshop" in problem.message
