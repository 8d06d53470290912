"""What the entries add up to: pure folds over the entries in order, and over those that are new.

Entries of a stage are folded by its face; here stand the arms of the kinds that belong to no stage.
"""

from collections.abc import Iterable, Sequence
from typing import assert_never, cast

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.build_state import BuildState, Finding, ShopState, StageRun
from commission.record.entries import (
    BuildBroughtBack,
    BuildOpened,
    BuildPutAway,
    CautionAcknowledged,
    CautionsPrinted,
    EntriesTakenOver,
    FindingCured,
    FindingRaised,
    InstrumentAdded,
    InstrumentMissing,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    ProcedureAdopted,
    ReportIssued,
    SessionOpened,
    SharedEntry,
    StageOverridden,
    StepDone,
    Withdrawn,
)
from commission.record.face import Registry
from commission.record.logged import Logged
from commission.record.machine.change import Change
from commission.record.machine.instrument import Instrument
from commission.record.mishap import WentWrong, changes_by
from commission.record.part_changed import PartChanged, PartOf
from commission.record.past import marked
from commission.record.payload import kind_shown
from commission.record.series_entries import SeriesHeaded, SeriesSealed
from commission.record.staleness import (
    loop_changed,
    put_run,
    restarted_runs,
    shaken_runs,
    spared_runs,
    stale_runs,
    told,
    with_problem,
    withdrawn_before,
)
from commission.record.taken_back import TakenBack
from commission.record.unknown import Unknown

__all__ = [
    "BuildState",
    "Finding",
    "ShopState",
    "finding_of",
    "fold_build",
    "fold_further",
    "fold_shop",
    "fresh_build",
    "withdrawn_numbers",
]

Progress = CautionAcknowledged | CautionsPrinted | StepDone
"""Cautions and steps of a stage."""


def withdrawn_numbers(entries: Iterable[Logged]) -> frozenset[int]:
    """Return the numbers of the entries that were withdrawn."""
    return frozenset(entry.payload.target for entry in entries if isinstance(entry.payload, Withdrawn))


def finding_of(entry: Logged) -> str:
    """Return the id of what an entry found; empty where it found nothing."""
    match entry.payload:
        case FindingRaised(finding_id=found) | WentWrong(mishap_id=found):
            return found
        case _:
            return ""


def fold_shop(registry: Registry, entries: Sequence[Logged]) -> ShopState:
    """Return the shared state from the shared entries, in order."""
    gone = withdrawn_numbers(entries)
    state, instruments = ShopState(), dict[str, Instrument]()
    for entry in entries:
        if entry.seq in gone:
            continue
        match entry.payload:
            case OperatorNamed(name=name):
                state = replace(state, operator=name)
            case InstrumentAdded(instrument=instrument):
                instruments[instrument.instrument_id] = instrument
            case InstrumentRetired(instrument_id=instrument_id):
                instruments.pop(instrument_id, None)
            case InstrumentMissing(kind=kind):
                state = replace(state, without=state.without | {kind})
            case _ if (face := registry.of(entry.payload)) is not None:
                state = face.fold_shop(state, entry)
            case _:
                pass
    return replace(state, instruments=tuple(instruments.values()))


def fresh_build(registry: Registry, build_id: str) -> BuildState:
    """Return a build of which nothing is known yet."""
    return BuildState(build_id=build_id, proving=registry.proving)


def fold_build(registry: Registry, build_id: str, entries: Sequence[Logged]) -> BuildState:
    """Return the state of a build from its entries, in order; withdrawn ones stay but do not count.

    What was found counts on while its repair does: whoever repaired it had the loop or the power open.
    """
    gone = {entry.payload.target: entry for entry in entries if isinstance(entry.payload, Withdrawn)}
    state = replace(fresh_build(registry, build_id), withdrawn=frozenset(gone))
    stands = (one.payload for one in entries if gone and one.seq not in gone)
    repaired = {payload.finding_id for payload in stands if isinstance(payload, FindingCured)}
    for entry in entries:
        if entry.seq in gone and finding_of(entry) not in repaired:
            withdrawal = gone[entry.seq]
            spared = _spared(registry, state, entry)
            taken = _taken_back(registry, state, entry, withdrawal)
            state = replace(_heard(registry, taken, withdrawal.seq), last=entry)
            if spared:
                state = spared_runs(state, _withdrawn(entry, withdrawal), *spared)
        else:
            state = _apply_entry(registry, state, entry)
    return _with_stale_kinds(state, entries)


def fold_further(registry: Registry, state: BuildState, entries: Sequence[Logged], new: Sequence[Logged]) -> BuildState:
    """Return what ``fold_build`` makes of all entries, where a state knows them up to the new ones.

    Parameters
    ----------
    state
        The fold of the entries before the new ones.
    entries
        All entries of the build, in order, the new ones at the end.
    new
        The new ones. Where one withdraws, or was withdrawn before it came, all is folded again: what was withdrawn must
        be folded away as if it had never been.
    """
    if any(isinstance(entry.payload, Withdrawn) or entry.seq in state.withdrawn for entry in new):
        return fold_build(registry, state.build_id, entries)
    for entry in new:
        state = _apply_entry(registry, state, entry)
    return _with_stale_kinds(state, entries)


def _with_stale_kinds(state: BuildState, entries: Sequence[Logged]) -> BuildState:
    """Return the state with the kind of the entry that made an attempt stale, for a number alone tells nobody why."""
    wanted = {run.stale_by for runs in state.runs.values() for run in runs if run.stale_by and not run.stale_kind}
    if not wanted:
        return state
    kinds = {entry.seq: kind_shown(entry.payload) for entry in entries if entry.seq in wanted}

    def told(run: StageRun) -> StageRun:
        return replace(run, stale_kind=kinds[run.stale_by]) if run.stale_by in kinds else run

    return replace(state, runs={stage: tuple(map(told, runs)) for stage, runs in state.runs.items()})


def _taken_back(registry: Registry, state: BuildState, entry: Logged, withdrawal: Logged) -> BuildState:
    if isinstance(entry.payload, Unknown):
        # what its withdrawal does is not known either
        return replace(state, unknown=(*state.unknown, entry))
    face = registry.of(entry.payload)
    return state if face is None else face.taken_back(state, entry, withdrawal)


def _spared(registry: Registry, state: BuildState, entry: Logged) -> list[str]:
    """Return the stages whose pass a withdrawn entry would have taken, or which it would have spoken against.

    While an attempt goes on that is what belongs to no stage: a stage remembers its own kinds by itself.
    """
    if isinstance(entry.payload, Unknown):
        return []
    applied = _apply(registry, state, entry)
    after, found = _heard(registry, applied, entry.seq), []
    for face in registry.faces:
        before, then = state.judged_run(face.id), after.judged_run(face.id)
        fell = before is not None and then is not None and before.stale_by is None and then.stale_by is not None
        hears = (face.stale_on | face.shaken_on | face.restart_on).intersection(applied.news)
        against = registry.of(entry.payload) is None and state.run(face.id).running and bool(hears)
        if against or (fell and before is not None and before.outcome is Outcome.PASS):
            found.append(face.id)
    return found


def _withdrawn(entry: Logged, withdrawal: Logged) -> TakenBack:
    payload, said = entry.payload, withdrawal.payload
    assert isinstance(said, Withdrawn)  # the fold looked it up
    what = f"{kind_shown(payload)}, {payload.place}" if isinstance(payload, WentWrong) else kind_shown(payload)
    return TakenBack(seq=entry.seq, what=what, reason=said.reason)


def _apply_entry(registry: Registry, state: BuildState, entry: Logged) -> BuildState:
    applied = marked(registry, _apply(registry, state, entry), entry)
    return replace(_heard(registry, applied, entry.seq), last=entry)


def _heard(registry: Registry, state: BuildState, seq: int) -> BuildState:
    """Take away the worth of the judged attempts that rest on what an entry changed."""
    if not state.news:
        return state
    stages = (face.id for face in registry.faces if face.stale_on.intersection(state.news))
    shaken = [face.id for face in registry.faces if face.shaken_on.intersection(state.news)]
    restart = [face.id for face in registry.faces if face.restart_on.intersection(state.news)]
    return replace(restarted_runs(shaken_runs(stale_runs(state, seq, *stages), seq, *shaken), *restart), news=())


def _apply(registry: Registry, state: BuildState, entry: Logged) -> BuildState:
    payload, face = entry.payload, registry.of(entry.payload)
    if isinstance(payload, Unknown):
        return replace(state, unknown=(*state.unknown, entry))
    if face is None:
        return _apply_shared(registry, state, entry, cast(SharedEntry, payload))
    if isinstance(payload, face.shop_kinds):
        return _of_the_shop(state, entry)
    return face.fold(state, entry)


def _apply_shared(registry: Registry, state: BuildState, entry: Logged, payload: SharedEntry) -> BuildState:
    match payload:
        case BuildOpened(name=name, procedure=digest):
            return replace(state, name=name, procedure=digest)
        case CautionAcknowledged() | CautionsPrinted() | StepDone():
            face = registry.stage(payload.stage)
            own = None if face is None else face.progress
            return _progress(state, payload) if own is None else own(state, entry)
        case FindingRaised() | FindingCured() | WentWrong() | PartChanged():
            return _happened(registry, state, entry, payload)
        case StageOverridden(stage=stage, reason=reason):
            return replace(state, overridden={**state.overridden, stage: reason})
        case BuildPutAway() | BuildBroughtBack():
            return replace(state, put_away=isinstance(payload, BuildPutAway))
        case NoteAdded() | ReportIssued():
            # a paper about the build changes nothing of it
            return replace(state, notes=(*state.notes, payload.text)) if isinstance(payload, NoteAdded) else state
        case Withdrawn(target=target):
            return withdrawn_before(state, target, entry.seq)
        case (
            SessionOpened()
            | OperatorNamed()
            | InstrumentAdded()
            | InstrumentRetired()
            | InstrumentMissing()
            | ProcedureAdopted()
            | EntriesTakenOver()
            | SeriesHeaded()
            | SeriesSealed()
        ):
            return _of_the_shop(state, entry)
        case _ as unreachable:
            assert_never(unreachable)


def _progress(state: BuildState, payload: Progress) -> BuildState:
    """Cautions and steps of a stage whose attempts the record keeps."""
    run = state.run(payload.stage)
    match payload:
        case CautionAcknowledged(caution=caution):
            run = replace(run, acknowledged=run.acknowledged | {caution})
        case CautionsPrinted(cautions=cautions):
            run = replace(run, printed=run.printed | set(cautions))
        case StepDone(step=step):
            run = replace(run, steps=(*run.steps, step))
    return put_run(state, payload.stage, run)


def _happened(
    registry: Registry,
    state: BuildState,
    entry: Logged,
    payload: FindingRaised | FindingCured | WentWrong | PartChanged,
) -> BuildState:
    match payload:
        case FindingRaised():
            state = replace(state, findings=(*state.findings, Finding(raised=payload, seq=entry.seq)))
            face = registry.stage(payload.stage)
            return state if face is None else face.at_fault(state, payload, entry.seq)
        case FindingCured():
            return _cured(registry, state, payload, entry)
        case WentWrong():
            return _went_wrong(registry, state, entry, payload)
        case PartChanged():
            return _part_changed(registry, state, entry, payload)
        case _ as unreachable:
            assert_never(unreachable)


def _cured(registry: Registry, state: BuildState, cured: FindingCured, entry: Logged) -> BuildState:
    # what proved an earlier cure says nothing of this one
    findings = tuple(
        replace(f, cure=cured.cure, cured_at=entry.seq, proved_by=None)
        if f.raised.finding_id == cured.finding_id
        else f
        for f in state.findings
    )
    state = replace(state, findings=findings)
    found = next((one for one in findings if one.raised.finding_id == cured.finding_id), None)
    if found is None:
        return state
    if found.wrong is not None:
        # whoever put it right had the loop or the power open since: what was shown in between does not hold either
        return _undone_by(registry, state, entry, replace(found.wrong, amount=None))
    face = registry.stage(found.raised.stage)
    return state if face is None else face.cured(state, found, entry.seq)


def _went_wrong(registry: Registry, state: BuildState, entry: Logged, wrong: WentWrong) -> BuildState:
    """Tell the change and let each stage take what concerns it; what is to be repaired stands among the faults."""
    state = _undone_by(registry, state, entry, wrong)
    if not wrong.asks_repair:
        return state
    raised = FindingRaised(
        finding_id=wrong.mishap_id, stage="", attempt=0, where=wrong.where, part_id=None, note=wrong.seen
    )
    return replace(state, findings=(*state.findings, Finding(raised=raised, seq=entry.seq, wrong=wrong)))


def _undone_by(registry: Registry, state: BuildState, entry: Logged, wrong: WentWrong) -> BuildState:
    for change in changes_by(wrong):
        state = told(state, change)
    for face in registry.faces:
        state = face.went_wrong(state, entry, wrong)
    return state


def _part_changed(registry: Registry, state: BuildState, entry: Logged, part: PartChanged) -> BuildState:
    """Tell what a changed part changes and let each stage take what concerns it.

    A loop that was opened is another loop: all of it is proved again. Fans and paste lie in the way of the heat, and a
    soak then speaks of another machine. What a new supply takes is known to the stage that measured the old one.
    """
    if part.of is PartOf.LOOP:
        state = loop_changed(replace(state, opened=(*state.opened, entry)), entry.seq)
    elif part.of in (PartOf.FANS, PartOf.HEAT_PATH):
        state = told(state, Change.HEAT_PATH)
    for face in registry.faces:
        state = face.part_changed(state, entry, part)
    return state


def _of_the_shop(state: BuildState, entry: Logged) -> BuildState:
    return with_problem(state, entry.seq, f'"{entry.payload.KIND}" belongs to the workshop, not to a build')
