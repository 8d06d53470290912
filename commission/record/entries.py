"""What a person did, as past facts: the payloads of the log's entries.

Each class is one kind of entry; its ``KIND`` is the word that stands in the log and never changes. Here are the kinds
that belong to no stage; each stage has its own in its ``entries``. A new one goes into ``SharedEntry``; mypy then names
every ``match`` that must learn it.
"""

from typing import ClassVar, get_args

from commission.base.frozen import Frozen
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.mishap import WentWrong
from commission.record.part_changed import PartChanged
from commission.record.series_entries import SeriesEntry


class SessionOpened(Frozen):
    """The program was started and is about to write."""

    KIND: ClassVar[str] = "session opened"
    program: str
    """Version of this program."""
    sqlite: str
    """Version of the SQLite library."""
    python: str
    """Version of Python."""
    system: str
    """Operating system."""


class OperatorNamed(Frozen):
    """Whoever works from now on was named."""

    KIND: ClassVar[str] = "operator named"
    name: str
    """The name as typed."""


class InstrumentAdded(Frozen):
    """An instrument of the workshop was described."""

    KIND: ClassVar[str] = "instrument added"
    instrument: Instrument
    """Its description."""


class InstrumentRetired(Frozen):
    """An instrument is no longer used."""

    KIND: ClassVar[str] = "instrument retired"
    instrument_id: str
    """Which one."""
    reason: str
    """Why."""


class InstrumentMissing(Frozen):
    """The workshop was said to have no instrument of a kind: nobody is asked for it again."""

    KIND: ClassVar[str] = "instrument missing"
    kind: InstrumentKind
    """Which kind."""


class ProcedureAdopted(Frozen):
    """A procedure came into force; builds opened from now on are judged by it for ever."""

    KIND: ClassVar[str] = "procedure adopted"
    toml: str
    """The procedure, whole."""
    digest: str
    """SHA-256 of its UTF-8 text, in hexadecimal; builds name it by this."""


class BuildOpened(Frozen):
    """A build was opened."""

    KIND: ClassVar[str] = "build opened"
    name: str
    """What the builder calls it."""
    procedure: str
    """Digest of the procedure that it is judged by."""


class CautionAcknowledged(Frozen):
    """A caution was read and answered."""

    KIND: ClassVar[str] = "caution acknowledged"
    SHOWN: ClassVar[str] = "caution read"
    stage: str
    """Stage of the procedure."""
    attempt: int
    """Which attempt at it, from 1."""
    caution: str
    """Id of the caution."""
    text: str
    """Its text as it stood on the screen."""


class CautionsPrinted(Frozen):
    """The cautions were printed on a command line, where nobody can be asked."""

    KIND: ClassVar[str] = "cautions printed"
    stage: str
    """Stage of the procedure."""
    attempt: int
    """Which attempt at it, from 1."""
    cautions: tuple[str, ...]
    """Ids of the cautions."""


class StepDone(Frozen):
    """A step of a stage was reported done."""

    KIND: ClassVar[str] = "step done"
    stage: str
    """Stage of the procedure."""
    attempt: int
    """Which attempt at it, from 1."""
    step: str
    """Id of the step."""
    note: str = ""
    """What the builder added."""


class FindingRaised(Frozen):
    """A fault was found."""

    KIND: ClassVar[str] = "finding raised"
    SHOWN: ClassVar[str] = "defect found"
    finding_id: str
    """Made by the program; never shown."""
    stage: str
    """Stage at which it was found."""
    attempt: int
    """Which attempt at it, from 1."""
    where: str
    """At a hold ``fitting``, ``seal``, ``part``, ``rig`` or ``unknown``; at the first power-on the rung."""
    part_id: str | None
    """The part concerned, if it is one of the sheet."""
    note: str
    """What was found."""


class FindingCured(Frozen):
    """A fault was put right; only a retest shows whether it worked."""

    KIND: ClassVar[str] = "finding cured"
    SHOWN: ClassVar[str] = "defect repaired"
    finding_id: str
    """Which finding."""
    cure: str
    """What was done."""


class StageOverridden(Frozen):
    """A lock was overridden with a reason; every report says so loudly."""

    KIND: ClassVar[str] = "stage overridden"
    stage: str
    """Which stage."""
    reason: str
    """Why."""


class BuildPutAway(Frozen):
    """A build was put away: the list of builds leaves it out, and everything of it stays."""

    KIND: ClassVar[str] = "build put away"


class BuildBroughtBack(Frozen):
    """A build that was put away is listed again."""

    KIND: ClassVar[str] = "build brought back"


class NoteAdded(Frozen):
    """Something worth remembering was written down."""

    KIND: ClassVar[str] = "note added"
    text: str
    """The note."""
    stage: str = ""
    """Id of the stage that it was typed in; empty where in none."""


class ReportIssued(Frozen):
    """A report was handed out: what it was made of, and how a changed copy is found out."""

    KIND: ClassVar[str] = "report issued"
    NUMBERS: ClassVar[tuple[str, ...]] = ("head", "replaces")
    """Fields that name an entry by its number."""
    head: int
    """Number of the last entry that it tells of."""
    digest: str
    """SHA-256 of the report as JSON, in hexadecimal."""
    replaces: int = 0
    """Number of the last entry that the report before it told of; 0 where there was none."""
    why: str = ""
    """Why the one before is replaced; empty where there was none."""


class Withdrawn(Frozen):
    """An earlier entry was withdrawn: it stays in the log and no longer counts."""

    KIND: ClassVar[str] = "withdrawn"
    NUMBERS: ClassVar[tuple[str, ...]] = ("target",)
    """Fields that name an entry by its number."""
    target: int
    """Sequence number of the withdrawn entry."""
    reason: str
    """Why."""


class TakenRun(Frozen):
    """Entries that stood one behind the other in another logbook, and do so here."""

    here: int
    """Number of the first here."""
    there: int
    """Number of the first there."""
    count: int
    """How many."""


class EntriesTakenOver(Frozen):
    """Entries came from another logbook: where they stood there, so that a paper which names them can be followed."""

    KIND: ClassVar[str] = "entries taken over"
    head: int
    """Number of the last entry of that logbook then."""
    digest: str
    """Its digest there, in hexadecimal."""
    runs: tuple[TakenRun, ...]
    """Which entries, by their numbers, in order."""


SharedEntry = (
    SessionOpened
    | OperatorNamed
    | InstrumentAdded
    | InstrumentRetired
    | InstrumentMissing
    | ProcedureAdopted
    | BuildOpened
    | CautionAcknowledged
    | CautionsPrinted
    | StepDone
    | FindingRaised
    | FindingCured
    | WentWrong
    | PartChanged
    | StageOverridden
    | BuildPutAway
    | BuildBroughtBack
    | NoteAdded
    | ReportIssued
    | Withdrawn
    | EntriesTakenOver
    | SeriesEntry
)
"""Every kind of entry that belongs to no stage."""

SHARED_KINDS: tuple[type[SharedEntry], ...] = get_args(SharedEntry)
"""Their classes."""
