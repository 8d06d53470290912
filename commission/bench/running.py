"""Everything that runs now in any build, a line each, from the record alone: a running pump before all else."""

from commission.bench.face import Face
from commission.record.fold import BuildState
from commission.record.logbook import Logbook


def may_run(book: Logbook, faces: tuple[Face, ...]) -> list[BuildState]:
    """Return the builds in which something may run, folded: those where something was begun after the last end."""
    found: dict[str, None] = {}
    for span in (span for face in faces for span in face.spans):
        for begun in span.begun:
            found |= dict.fromkeys(book.begun_since(begun, span.ended))
    return [book.build(build_id) for build_id in found]


def what_runs(book: Logbook, faces: tuple[Face, ...], states: list[BuildState]) -> list[tuple[str, str]]:
    """Return build and line of each thing that runs now in these builds, the most urgent first."""
    found = [(state, one) for state in states for face in faces for one in face.running(book, state)]
    found.sort(key=lambda pair: pair[1].urgency)
    return [(state.build_id, f"{state.name}, {one.told}") for state, one in found]
