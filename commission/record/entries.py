"""What a person did, as past facts: the payloads of the log's entries.

Each class is one kind of entry; its ``KIND`` is the word that stands in the log and never changes. Here are the kinds
that belong to no stage; each stage has its own in its ``entries``. A new one goes into ``SharedEntry``; mypy then names
every ``match`` that must learn it.
"""

from typing import ClassVar, get_args

from commission.base.frozen import dataclass
from commission.record.machine.instrument import Instrument
from commission.record.mishap import WentWrong
from commission.record.series_entries import SeriesEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionOpened:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorNamed:
    """Whoever works from now on was named."""

    KIND: ClassVar[str] = "operator named"
    name: str
    """The name as typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentAdded:
    """An instrument of the workshop was described."""

    KIND: ClassVar[str] = "instrument added"
    instrument: Instrument
    """Its description."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentRetired:
    """An instrument is no longer used."""

    KIND: ClassVar[str] = "instrument retired"
    instrument_id: str
    """Which one."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedureAdopted:
    """A procedure came into force; builds opened from now on are judged by it for ever."""

    KIND: ClassVar[str] = "procedure adopted"
    toml: str
    """The procedure, whole."""
    digest: str
    """SHA-256 of its UTF-8 text, in hexadecimal; builds name it by this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildOpened:
    """A build was opened."""

    KIND: ClassVar[str] = "build opened"
    name: str
    """What the builder calls it."""
    procedure: str
    """Digest of the procedure that it is judged by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionAcknowledged:
    """A caution was read and answered."""

    KIND: ClassVar[str] = "caution acknowledged"
    stage: str
    """Stage of the procedure."""
    attempt: int
    """Which attempt at it, from 1."""
    caution: str
    """Id of the caution."""
    text: str
    """Its text as it stood on the screen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionsPrinted:
    """The cautions were printed on a command line, where nobody can be asked."""

    KIND: ClassVar[str] = "cautions printed"
    stage: str
    """Stage of the procedure."""
    attempt: int
    """Which attempt at it, from 1."""
    cautions: tuple[str, ...]
    """Ids of the cautions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDone:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRaised:
    """A fault was found."""

    KIND: ClassVar[str] = "finding raised"
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


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingCured:
    """A fault was put right; only a retest shows whether it worked."""

    KIND: ClassVar[str] = "finding cured"
    finding_id: str
    """Which finding."""
    cure: str
    """What was done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageOverridden:
    """A lock was overridden with a reason; every report says so loudly."""

    KIND: ClassVar[str] = "stage overridden"
    stage: str
    """Which stage."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteAdded:
    """Something worth remembering was written down."""

    KIND: ClassVar[str] = "note added"
    text: str
    """The note."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawn:
    """An earlier entry was withdrawn: it stays in the log and no longer counts."""

    KIND: ClassVar[str] = "withdrawn"
    target: int
    """Sequence number of the withdrawn entry."""
    reason: str
    """Why."""


SharedEntry = (
    SessionOpened
    | OperatorNamed
    | InstrumentAdded
    | InstrumentRetired
    | ProcedureAdopted
    | BuildOpened
    | CautionAcknowledged
    | CautionsPrinted
    | StepDone
    | FindingRaised
    | FindingCured
    | WentWrong
    | StageOverridden
    | NoteAdded
    | Withdrawn
    | SeriesEntry
)
"""Every kind of entry that belongs to no stage."""

SHARED_KINDS: tuple[type[SharedEntry], ...] = get_args(SharedEntry)
"""Their classes."""
