"""What no reason opens: one place decides, for every stage, screen and command, what waits for its rung.

Rungs a (cables) and b (supply alone) rest on nothing. The pump on the computer's supply waits: in fill and bleed for a
and b, as rung c for them, for a hold and a fill that passed and, after a bleed that failed, for one that passes. The
machine, and all that needs it, waits for c and d.
An override of a stage never reaches any of this.
"""

from commission.base.errors import NotAllowed
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Phrase
from commission.base.text import braced, clip
from commission.base.verdict import Outcome
from commission.record.build_state import BuildState
from commission.record.face import Registry
from commission.record.machine.change import Change
from commission.record.machine.proof import Proof
from commission.record.machine.rungs import Rung, Rungs, rung_locked
from commission.record.machine.seats import Feed
from commission.record.mishap import changes_by

FORBID_THE_PUMP = frozenset({"too_much_missing", "more_than_fits", "more_out_than_in", "amount_unknown"})
"""Reasons of a fill that forbid the pump: it could run dry, or the loop is leaking."""
BEFORE_THE_BRIDGE = (Rung.CABLES, Rung.SUPPLY)
"""Rungs that must have passed before the computer's supply runs a pump."""


MOST_OF_IT = 60
"""Characters of a defect that a lock tells; our choice: it stays in one line of a terminal."""


def counts(state: BuildState, stage: str) -> bool:
    """Return whether the last verdict on a stage is a pass that still counts, and nothing was begun there since."""
    judged = state.judged_run(stage)
    if judged is None or judged.outcome is not Outcome.PASS or judged.stale_by is not None:
        return False
    return not state.run(stage).running


def proved(state: BuildState, proof: Proof) -> bool:
    """Return whether something was proved of the loop by a pass that still counts."""
    return counts(state, state.stage_of(proof))


def disproved(state: BuildState, proof: Proof) -> bool:
    """Return whether something failed of the loop and no later attempt passed: one that shows nothing cures nothing."""
    return failed(state, state.stage_of(proof))


def failed(state: BuildState, stage: str) -> bool:
    """Return whether the last attempt at a stage that decided failed."""
    said = [run.outcome for run in state.runs.get(stage, ()) if run.outcome in (Outcome.PASS, Outcome.FAIL)]
    return bool(said) and said[-1] is Outcome.FAIL


def rung_lock(state: BuildState, rung: Rung) -> Phrase | None:
    """Return why a rung may not be climbed yet; None where it may."""
    held, filled, air = proved(state, Proof.TIGHT), proved(state, Proof.FILLED), disproved(state, Proof.BLED)
    shown, hurt = state.of(Rungs).shown, not_repaired(state, Change.BURNT)
    return rung_locked(rung, shown, hold_passed=held, filled=filled, bleed_failed=air, hurt=hurt)


def not_repaired(state: BuildState, change: Change) -> Phrase | None:
    """Return that a mishap which made a change waits for its repair; None where none does."""
    for found in state.open_findings:
        if found.wrong is not None and change in changes_by(found.wrong):
            said = braced(clip(found.wrong.place, MOST_OF_IT))
            return Phrase("not_repaired", f'Not repaired yet: {said}, entry {found.seq}. Type "repaired" once it is.')
    return None


def bridge_lock(state: BuildState) -> Phrase | None:
    """Return why the computer's supply may not run the pump alone yet; None where it may."""
    shown = state.of(Rungs).shown
    for rung in BEFORE_THE_BRIDGE:
        if shown.get(rung) is not Outcome.PASS:
            said = (
                f'The computer\'s supply may run the pump only after "{Rung.CABLES}" and "{Rung.SUPPLY}" passed for '
                f'it; "{rung}" is {shown.get(rung) or "not done"}. Neither needs coolant: measure them in the first '
                "power-on now, or give the pump a supply of its own."
            )
            return Phrase("bridge_not_proven", said)
    return None


def pump_lock(state: BuildState) -> Phrase | None:
    """Return why the pump may not run in fill or bleed; None where it may."""
    match state.pump_supply:
        case None:
            said = (
                'It is not recorded what powers the pump while the loop is filled and bled. Say "own" or "bridged" in '
                "the fill, or with: commission pump-supply"
            )
            return Phrase("pump_supply_unknown", said)
        case PumpSupply.OWN:
            return None
        case PumpSupply.BRIDGED:
            return bridge_lock(state)


def machine_lock(state: BuildState) -> Phrase | None:
    """Return why nothing that needs the machine may be done; None where all four rungs passed and still count."""
    shown = state.of(Rungs).shown
    for rung in Rung:
        locked = rung_lock(state, rung)
        if locked is None and shown.get(rung) is Outcome.PASS:
            continue
        why = f'"{rung}" is {shown.get(rung) or "not done"}.' if locked is None else locked.template
        said = f"needs the machine, which waits for all four steps of the first power-on. {why}"
        return Phrase("machine_not_proven", f"{said} No reason opens this lock")
    return None


def seats_lock(state: BuildState, percent: int, factor: float) -> Phrase | None:
    """Return why the machine may not be started as it is plugged; None where no rule forbids it."""
    from commission.record.machine.seat_check import against_seats

    amiss, _ = against_seats(state.plugged, steady_percent=percent, start_factor=factor)
    if amiss:
        return amiss[0]
    seated = state.plugged.seats()
    for chain in state.plugged.chains:
        if chain.pump and chain.feed is Feed.HEADER and chain.chain_id not in seated:
            said = f"{chain.name} is a pump that a header feeds, and as logged it is on none: plug it in first."
            return Phrase("pump_unplugged", said)
    return None


def stage_lock(registry: Registry, state: BuildState, stage: str) -> Phrase | None:
    """Return the lock of a stage that no override opens; None where there is none."""
    face = registry.stage(stage)
    if face is None:
        return None
    if face.needs_machine:
        return machine_lock(state)
    return empty_lock(state) if face.proves is Proof.BLED else None


def empty_lock(state: BuildState) -> Phrase | None:
    """Return that the record knows of no coolant in the loop; None where it does."""
    if state.coolant_m3 > 0:
        return None
    said = "needs coolant in the loop, and by this record none is in it. Log what was poured, in the fill"
    return Phrase("nothing_in", said)


def why_no_override(registry: Registry, state: BuildState, stage: str) -> str:
    """Return why no reason opens a stage as things stand; empty where one does.

    A reason may stand for what was shown elsewhere. It never stands against a defect that was seen and not repaired,
    nor against a stage beneath that failed and was not brought to a pass since.
    """
    face = registry.stage(stage)
    if face is None:
        return ""
    if face.no_override:
        return face.no_override
    locked = stage_lock(registry, state, stage)
    if locked is not None:
        return f"this cannot be overridden: it {locked.template}"
    if failed(state, stage):
        return "this cannot be overridden: it failed, and no later attempt passed. No reason cures that"
    below = next((one for one in _before(face.proves) if disproved(state, one)), None)
    if below is not None:
        return f"this cannot be overridden: {_FAILED[below]}, and no later one passed. No reason cures that"
    if face.proves is not None and state.open_findings:
        seq = state.open_findings[0].seq
        return f'this cannot be overridden while a defect is open, entry {seq}. Repair it and type "repaired"'
    return ""


_FAILED = {Proof.TIGHT: "the last pressure hold that decided failed", Proof.FILLED: "the last fill failed"}
"""What failed beneath a stage, as it is told; a bleed that failed bars its rung of the first power-on."""


def _before(proof: Proof | None) -> tuple[Proof, ...]:
    """Return what must not have failed before something is proved of the loop, in the order of the job."""
    return tuple(one for one in _FAILED if proof is not None and one.value < proof.value)


def refuse_override(registry: Registry, state: BuildState, stage: str) -> None:
    """Refuse to override what no reason opens.

    Raises
    ------
    NotAllowed
        If the stage has such a lock, or a defect is open; the message says what it waits for.
    """
    why = why_no_override(registry, state, stage)
    if why:
        raise NotAllowed(why)


def refuse_pump(state: BuildState) -> None:
    """Refuse to let the pump run in fill or bleed before it may.

    Raises
    ------
    NotAllowed
        If the loop leaks and nobody told its repair, it is not known what powers it, or that supply has not passed its
        rungs.
    """
    locked = not_repaired(state, Change.LEAKED) or pump_lock(state)
    if locked is not None:
        raise NotAllowed(as_refusal(locked))


def as_refusal(locked: Phrase) -> str:
    """Return why something is locked as the body of a line that follows a colon."""
    return locked.template[0].lower() + locked.template[1:]
