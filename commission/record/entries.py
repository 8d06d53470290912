"""What a person did, as past facts: the payloads of the log's entries.

Each class is one kind of entry; its ``KIND`` is the word that stands in the log and never changes. A new kind goes
into ``Entry`` and ``KINDS``; mypy then names every ``match`` that must learn it.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from commission.base.quantity import Measured
from commission.record.machine.instrument import Instrument
from commission.record.machine.parts import Part
from commission.record.series_entries import SeriesEntry
from commission.stages.fill.entries import BottleAdded, BottleRetired, CoolantEntry
from commission.stages.first_power.entries import PowerEntry
from commission.stages.pressure_hold.entries import BenchEntry
from commission.stages.pressure_hold.model import HoldVerdict


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
class PartAdded:
    """A part was fitted to the loop."""

    KIND: ClassVar[str] = "part added"
    part: Part
    """Its description."""
    typed: tuple[str, ...] = ()
    """The figures as they were typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRemoved:
    """A part was taken out of the loop."""

    KIND: ClassVar[str] = "part removed"
    part_id: str
    """Which one."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeMeasured:
    """The loop's volume was measured on air."""

    KIND: ClassVar[str] = "volume measured"
    method: str
    """``strokes`` or ``reference volume``."""
    volume_m3: float
    """Result [m3]."""
    u_volume_m3: float
    """Its standard uncertainty [m3]."""
    inputs: tuple[Measured, ...]
    """What was typed for it, in the order asked."""


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
class HoldPlan:
    """How a hold is to be run and judged."""

    limit_pa_m3_s: float
    """Largest leak rate that passes [Pa·m3/s at 20 °C, at the test pressure]."""
    hold_s: float
    """Planned length after settling [s]."""
    settle_s: float | None
    """Settling left out at the start [s]; None: found from the readings."""
    target_gauge_pa: float
    """Test pressure [Pa gauge]."""
    every_s: float
    """When the next typed reading is due after the last [s]."""
    gauge: Instrument
    """The gauge, as described when the hold was planned."""
    thermometer: Instrument | None
    """The thermometer, or None."""
    barometer: Instrument | None
    """The barometer, or None."""
    room_swing_k: float
    """How far the room may wander unseen where there is no thermometer [K]."""
    volume_m3: float
    """Volume by which the leak rate is computed [m3]."""
    u_volume_m3: float
    """Its standard uncertainty [m3]."""
    volume_basis: str
    """Where the volume comes from: ``parts``, ``measured on air`` or ``typed``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPlanned:
    """A hold was planned, or its plan was changed before it started."""

    KIND: ClassVar[str] = "hold planned"
    attempt: int
    """Which attempt, from 1."""
    plan: HoldPlan
    """The plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldStarted:
    """The source was shut off and the clock started."""

    KIND: ClassVar[str] = "hold started"
    attempt: int
    """Which attempt, from 1."""
    plan: HoldPlan
    """The plan it runs under."""
    series: str
    """Name of the series that streamed samples of this hold go into."""
    left_out: tuple[str, ...] = ()
    """Names of the parts that were left out of the test."""
    began_ms: int | None = None
    """When it really began, where its readings are taken over from a file [ms since 1970 UTC]; None: it began now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTaken:
    """One line was typed during a hold."""

    KIND: ClassVar[str] = "reading taken"
    attempt: int
    """Which attempt, from 1."""
    pressure: Measured | None
    """What the gauge showed."""
    air: Measured | None
    """What the thermometer showed."""
    barometer: Measured | None
    """What the barometer showed."""
    note: str = ""
    """What the builder added."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldExtended:
    """A hold that had not decided by its planned end goes on."""

    KIND: ClassVar[str] = "hold extended"
    attempt: int
    """Which attempt, from 1."""
    hold_s: float
    """New planned length after settling [s]."""


class Ending(StrEnum):
    """How a hold came to its end."""

    PLANNED = "at its planned end"
    GROSS_LEAK = "early, gross leak"
    BY_HAND = "ended by hand"
    INTERRUPTED = "interrupted"
    ABANDONED = "abandoned"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldClosed:
    """A hold was ended and judged."""

    KIND: ClassVar[str] = "hold closed"
    attempt: int
    """Which attempt, from 1."""
    ending: Ending
    """How it came to its end."""
    verdict: HoldVerdict
    """What it proved, with the limit it was judged by."""
    program: str
    """Version of the program that judged."""
    samples: int
    """Streamed samples in its series."""
    digest: str
    """Their SHA-256 digest in hexadecimal; empty where there are none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureLetDown:
    """The pressure was let down after a hold, and the gauge was seen at zero."""

    KIND: ClassVar[str] = "pressure let down"
    attempt: int
    """Which attempt, from 1."""
    gauge: Measured
    """What the gauge showed."""
    valve_open: bool = False
    """Whether the loop stood open to the room, so that a gauge off its zero showed its own error."""


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


Entry = (
    SessionOpened
    | OperatorNamed
    | InstrumentAdded
    | InstrumentRetired
    | ProcedureAdopted
    | BuildOpened
    | PartAdded
    | PartRemoved
    | VolumeMeasured
    | CautionAcknowledged
    | CautionsPrinted
    | StepDone
    | HoldPlanned
    | HoldStarted
    | ReadingTaken
    | HoldExtended
    | HoldClosed
    | PressureLetDown
    | FindingRaised
    | FindingCured
    | StageOverridden
    | NoteAdded
    | Withdrawn
    | BottleAdded
    | BottleRetired
    | CoolantEntry
    | PowerEntry
    | SeriesEntry
    | BenchEntry
)
"""Every kind of entry."""

KINDS: dict[str, type[Entry]] = {cls.KIND: cls for cls in Entry.__args__}
"""The word in the log, and the class it stands for."""
