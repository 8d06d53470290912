"""Which entry takes which verdicts: a table for every kind, composed from what record and stages say of themselves."""

from collections.abc import Iterator

from commission.base.frozen import Frozen
from commission.record.entries import FindingCured, Withdrawn
from commission.record.face import RecordFace, Registry
from commission.record.machine.change import Change
from commission.record.mishap import WentWrong
from commission.record.part_changed import PartChanged
from commission.record.payload import Payload
from commission.record.undoing import Reach, Undoing

_BURNT = (Change.BURNT,)

SHARED: tuple[Undoing, ...] = (
    Undoing(WentWrong, "a leak", (Change.LEAKED,)),
    Undoing(WentWrong, "coolant spilled out of the loop", (Change.LIQUID,)),
    Undoing(WentWrong, "a burst while the loop is dry", (Change.CAME_APART,)),
    Undoing(WentWrong, "a burst with coolant in the loop", (Change.CAME_APART, Change.LEAKED)),
    Undoing(WentWrong, "smoke, or electronics got wet", _BURNT),
    Undoing(FindingCured, "a leak was repaired", (Change.LEAKED,)),
    Undoing(FindingCured, "a burst was repaired", (Change.CAME_APART, Change.LEAKED)),
    Undoing(FindingCured, "something was done after smoke, or about electronics that got wet", _BURNT),
    Undoing(PartChanged, "a part of the loop", (Change.ANOTHER_LOOP,), Reach.EVERY),
    Undoing(PartChanged, "fans", (Change.HEAT_PATH,)),
    Undoing(PartChanged, "paste or pads", (Change.HEAT_PATH,)),
    Undoing(Withdrawn, "an entry before the end of that stage is withdrawn", (), Reach.EVERY),
)
"""What the kinds of no stage take."""


class RestRow(Frozen):
    """What an entry of a kind takes, in one of the ways in which it does."""

    kind: type[Payload]
    """Which kind."""
    when: str
    """When, in words; empty: always, or never where it takes nothing."""
    takes: tuple[str, ...]
    """Ids of the stages whose verdicts fall, in the order of the job; none where it takes nothing."""


def rest_rows(registry: Registry) -> tuple[RestRow, ...]:
    """Return the table, kind by kind in the order of the record; one that takes nothing has one row."""
    takes: dict[type[Payload], dict[str, set[str]]] = {kind: {} for kind in registry.kinds.values()}
    for one in SHARED:
        takes[one.kind].setdefault(one.when, set()).update(_taken(registry, None, one))
    for face in registry.faces:
        for one in face.undoes:
            takes[one.kind].setdefault(one.when, set()).update(_taken(registry, face, one))
    order = [face.id for face in judging(registry)]
    return tuple(
        RestRow(kind=kind, when=when, takes=tuple(stage for stage in order if stage in taken))
        for kind, whens in takes.items()
        for when, taken in (whens or {"": set[str]()}).items()
    )


def _taken(registry: Registry, face: RecordFace | None, one: Undoing) -> Iterator[str]:
    for other in judging(registry):
        own = one.reach is Reach.OWN and other is face
        if own or one.reach is Reach.EVERY or other.stale_on.intersection(one.changes):
            yield other.id


def judging(registry: Registry) -> Iterator[RecordFace]:
    """Yield the stages that are judged."""
    return (face for face in registry.faces if face.ends)


def undone_by(registry: Registry, stage: str) -> tuple[RestRow, ...]:
    """Return what would take the worth of a verdict on a stage."""
    return tuple(row for row in rest_rows(registry) if stage in row.takes)
