"""What a build needs next, in a few words, from the record alone."""

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.bench.ask import one_of
from commission.bench.face import Face, face_of
from commission.bench.figures import clock_time, duration
from commission.record.fold import BuildState
from commission.record.ladder import StageState, StageWord
from commission.record.logbook import Logbook


class Need(Frozen):
    """Where a build stands."""

    word: str
    """State of the stage that is its turn."""
    next: str
    """What it needs next."""
    last: str
    """When something was last entered."""


def need_of(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> Need:
    """Return where a build stands and what it needs next."""
    rung = turn(book.ladder(state))
    last = clock_time(state.last.mark, today=book.clock.now()) if state.last else ""
    return Need(word=str(rung.word) if rung else "", next=_next(book, faces, state, rung), last=last)


def turn(ladder: tuple[StageState, ...]) -> StageState | None:
    """Return the stage that is under way, else the first that is not done with; the last one where all are."""
    undone = [rung for rung in ladder if rung.word not in (StageWord.PASSED, StageWord.OVERRIDDEN)]
    running = [rung for rung in undone if rung.word is StageWord.RUNNING]
    return next(iter((*running, *undone)), ladder[-1] if ladder else None)


def opens_at(book: Logbook, faces: tuple[Face, ...], state: BuildState) -> str:
    """Return the name of the screen where a build is opened: what comes before all, else the stage whose turn it is."""
    first = next((face.id for face in faces if face.opens_first(state)), None)
    return first or turn_of(book, state)


def turn_of(book: Logbook, state: BuildState) -> str:
    """Return the name of the screen of the stage whose turn it is; the log's where there is none."""
    rung = turn(book.ladder(state))
    return rung.stage.id if rung else "record"


def _next(book: Logbook, faces: tuple[Face, ...], state: BuildState, rung: StageState | None) -> str:
    broken = next((one.wrong for one in state.open_findings if one.wrong is not None), None)
    for face in faces:
        if at_once := face.at_once(state):
            return at_once if broken is None else f"{broken.what}; {at_once}"
    if state.unknown:
        return "a newer program"
    if broken is not None:
        return f"repair: {broken.what}"
    if state.open_findings:
        return "repair"
    time = "" if rung is None else least_time(book, faces, state, rung)
    for face in faces:
        if needs := face.needs(book, state, rung):
            return _joined(needs, time)
    return "" if rung is None else _joined(_of_stage(rung, face_of(faces, rung.stage.id)), time)


def _joined(needs: str, time: str) -> str:
    return ", ".join(filter(None, (needs, time)))


def least_time(book: Logbook, faces: tuple[Face, ...], state: BuildState, rung: StageState) -> str:
    """Return the least time of a stage that is still to be done, told beforehand; empty where nothing sets one."""
    face = face_of(faces, rung.stage.id)
    if face is None or rung.word in (StageWord.PASSED, StageWord.OVERRIDDEN, StageWord.RUNNING):
        return ""
    takes_s = face.takes(book, state)
    return f"{duration(takes_s)} at least" if takes_s else ""


def _of_stage(rung: StageState, face: Face | None) -> str:
    """Return what a stage needs whose turn it is."""
    title = rung.stage.title.lower()
    match rung.word:
        case StageWord.PASSED | StageWord.OVERRIDDEN:
            return "nothing more here"
        case StageWord.RUNNING:
            return face.under_way if face is not None else "its end"
        case StageWord.OPEN:
            return f"the {title}"
        case StageWord.STALE:
            return f"the {title} again"
        case _:
            return f"{title} again"


def stage_called(book: Logbook, build_id: str, name: str) -> str:
    """Return the stage of a build that a typed name means, in full or in part.

    Raises
    ------
    InputError
        If no build is open, or no stage or several are called that.
    """
    if not build_id:
        raise InputError("no build is open; open the build first, then type stage and its name")
    stages = {one.stage.id: one.stage.title.lower() for one in book.ladder(book.build(build_id))}
    try:
        return one_of(name, stages, "stage of this build")
    except InputError:
        if not name.strip().casefold().endswith("s"):
            raise
    return one_of(name.strip()[:-1], stages, "stage of this build")  # fans, as the command is called


def stage_running(book: Logbook, build_id: str) -> str:
    """Return the one stage of a build that goes on; empty where none does, or several do."""
    on = [one.stage.id for one in book.ladder(book.build(build_id)) if one.word is StageWord.RUNNING]
    return on[0] if len(on) == 1 else ""
