"""What the record asks of the fill, and of the workshop's bottles."""

from collections.abc import Iterable, Mapping
from typing import get_args

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.procedure.model import Procedure
from commission.procedure.stage_ids import FILL, HOLD, THERMAL_SOAK
from commission.record.build_state import BuildState, ShopState
from commission.record.face import RecordFace
from commission.record.locks import counts
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.proof import Proof
from commission.record.mishap import WentWrong
from commission.record.payload import Payload
from commission.record.ports import Working
from commission.record.staleness import told
from commission.record.table import Source, Table
from commission.record.undoing import Undoing
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
    PumpSupplyChosen,
    ReservoirDescribed,
    WaterLost,
    movement_of,
)
from commission.stages.fill.model.fill import Dose, Pour, beside
from commission.stages.fill.state import FillState, Shelf, amount_taken_back, apply_bottle, apply_fill, mishap_in

MOST_COOLANT_M3 = 0.5
"""Most coolant that one entry moves [m3]; our choice: the same as may be typed, a bathtub is no loop."""


def _fold(state: BuildState, entry: Logged) -> BuildState:
    assert isinstance(entry.payload, FillEntry)  # the registry asks for these kinds only
    state = after_pour(apply_fill(state, entry, entry.payload), getattr(entry.payload, "pour", None))
    match entry.payload:
        case CoolantSpilled():
            return _after_spill(state)
        case LevelRead() | ReservoirDescribed():
            return _after_level(state)
        case _:
            return state


def _went_wrong(state: BuildState, entry: Logged, wrong: WentWrong) -> BuildState:
    return _after_spill(mishap_in(state, entry, wrong)) if wrong.from_bottle else mishap_in(state, entry, wrong)


def _fold_shop(state: ShopState, entry: Logged) -> ShopState:
    assert isinstance(entry.payload, BottleAdded | BottleRetired)  # the registry asks for these kinds only
    return apply_bottle(state, entry.payload)


def _text(payload: Payload, _names: Mapping[str, str]) -> str:
    from commission.stages.fill.text import fill_text

    assert isinstance(payload, FillEntry | BottleAdded | BottleRetired)  # the registry asks for these kinds only
    return fill_text(payload)


def _tables(source: Source) -> Iterable[Table]:
    from commission.stages.fill.files.amounts_table import amounts_tables

    return amounts_tables(source)


def _admit(state: BuildState, _procedure: Procedure, entry: Logged) -> None:
    payload, held = entry.payload, state.held
    if isinstance(payload, FillEntry) and (moved := movement_of(payload)) is not None:
        refuse_dose(moved.dose)
    match payload:
        case CoolantPoured() | CoolantDrained() | CoolantSpilled() | CoolantDrawn() if state.run(HOLD).running:
            raise NotAllowed("coolant moves while the loop is under test pressure")
        case CoolantPoured() if held is not None and not held.let_down:
            raise NotAllowed("coolant is added before the pressure of the last hold was vented")
        case FillClosed() if not state.of(FillState).moves:
            raise NotAllowed("no coolant was moved before it")
        case FillClosed(verdict=verdict) if verdict.outcome is Outcome.PASS and not _stepped(state):
            raise NotAllowed("it passed without a step done")
        case _:
            pass


def _stepped(state: BuildState) -> bool:
    """Return whether a step of the fill was ever done."""
    return any(run.steps for run in (*state.runs.get(FILL, ()), state.run(FILL)))


def _admit_in_shop(_before: ShopState, payload: Payload) -> None:
    from commission.record.logbook import checked_name

    if isinstance(payload, BottleAdded):
        bottle = payload.bottle
        checked_name(bottle.name)
        if bottle.size_m3 <= 0 or not 0 <= (bottle.fraction or 0.0) <= 1:
            raise NotAllowed(f'the label of the bottle "{bottle.name}" contradicts itself')


def after_pour(state: BuildState, pour: Pour | None) -> BuildState:
    """Take the worth of a fill that had passed where a top-up shows that more went in than the loop takes."""
    if pour is None or not counts(state, FILL):
        return state
    from commission.stages.fill.work.judged import more_than_fits

    return told(state, Change.LIQUID) if more_than_fits(state) else state


def _after_spill(state: BuildState) -> BuildState:
    """Take the worth of a fill that had passed where so much of it was spilled beside the loop that too little is in.

    A few millilitres are within what the fill may lack; what was topped up since makes up for them.
    """
    judged = state.judged_run(FILL)
    if judged is None or judged.closed is None or not counts(state, FILL):
        return state
    since = [one.movement for one in state.of(FillState).moves if one.seq > judged.closed.seq]
    gone_m3 = sum(one.dose.volume_m3 for one in since if beside(one))
    gone_m3 -= sum(one.dose.volume_m3 for one in since if isinstance(one, Pour))
    return told(state, Change.LIQUID) if gone_m3 > 0 and _too_little_left(state, gone_m3) else state


def _after_level(state: BuildState) -> BuildState:
    """Take the worth of what was proved where a level says that more was poured than is in, or that coolant is gone.

    While a soak goes on its levels are hot and cold: the end of it judges them.
    """
    from commission.stages.fill.work.judged import more_than_fits
    from commission.stages.fill.work.levels import gone_since_the_bleed

    if counts(state, FILL) and more_than_fits(state):
        return told(state, Change.LIQUID)
    if state.run(THERMAL_SOAK).running or not (gone_m3 := gone_since_the_bleed(state)):
        return state
    return told(state, Change.LIQUID if _too_little_left(state, gone_m3) else Change.COOLANT_GONE)


def _too_little_left(state: BuildState, gone_m3: float) -> bool:
    """Return whether a fill that had passed would lack too much without an amount."""
    judged = state.judged_run(FILL)
    if judged is None or judged.closed is None or not counts(state, FILL):
        return False
    assert isinstance(judged.closed.payload, FillClosed)  # no other kind ends a fill
    verdict = judged.closed.payload.verdict
    if verdict.missing is None or verdict.expected_m3 is None:
        return False
    return verdict.missing.upper95 + gone_m3 > verdict.missing_share_limit * verdict.expected_m3


def refuse_dose(dose: Dose) -> None:
    """Raise NotAllowed where an amount cannot be."""
    if not (0 <= dose.volume_m3 <= MOST_COOLANT_M3 and min(dose.u_reading_m3, dose.u_shared_m3) >= 0):
        raise NotAllowed(f"it moves {dose.volume_m3:g} m3 of coolant, which cannot be")


def _again(book: Working, entry: Logged) -> object:
    from commission.stages.fill.work.fills import Fills

    return book.work(Fills).close(entry.build)


RECORD = RecordFace(
    id=FILL,
    proves=Proof.FILLED,
    kinds=get_args(FillEntry),
    fold=_fold,
    tables=_tables,
    admit=_admit,
    admit_in_shop=_admit_in_shop,
    text=_text,
    shop_kinds=(BottleAdded, BottleRetired),
    fold_shop=_fold_shop,
    states=(FillState, Shelf),
    ends=(FillClosed,),
    again={FillClosed: _again},
    kept=(FillClosed,),
    described=(ReservoirDescribed, PumpSupplyChosen),
    went_wrong=_went_wrong,
    taken_back=amount_taken_back,
    undoes=(
        Undoing(CoolantPoured, "in the fill, or a top-up of the same coolant", (Change.TOP_UP,)),
        Undoing(CoolantPoured, "another coolant after the fill, or more than the loop takes", (Change.LIQUID,)),
        *(
            Undoing(kind, when, (change,))
            for kind in (CoolantDrained, CoolantDrawn, CoolantSpilled, WaterLost)
            for when, change in (("in the fill", Change.TOP_UP), ("after the fill", Change.LIQUID))
        ),
        Undoing(LevelRead, "more was poured than is in by it, or too little is left", (Change.LIQUID,)),
        Undoing(LevelRead, "it fell since the loop was bled", (Change.COOLANT_GONE,)),
        Undoing(ReservoirDescribed, "more was poured than is in by it, or too little is left", (Change.LIQUID,)),
        Undoing(ReservoirDescribed, "by it the level fell since the loop was bled", (Change.COOLANT_GONE,)),
        Undoing(FillClosed, "", (Change.ANOTHER_LOOP,)),
        Undoing(WentWrong, "so much was spilled from the bottle that the fill lacks it", (Change.LIQUID,)),
    ),
    stale_on=frozenset({Change.LIQUID, Change.HELD_ON_AIR, Change.LEAKED}),
    restart_on=frozenset({Change.HELD_ON_AIR}),
)
"""The fill as the record sees it."""
