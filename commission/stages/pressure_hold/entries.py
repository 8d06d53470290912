"""What is recorded of a pressure hold: the source taken off, the plan, the readings, the end."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Measured
from commission.record.machine.instrument import Instrument
from commission.record.machine.loop import LoopVolume
from commission.stages.pressure_hold.model import HoldVerdict


class SourceOff(StrEnum):
    """How the source of pressure was kept from feeding the loop during a hold."""

    HOSE_OFF = "hose off"
    VENTED = "valve shut, line vented"
    VALVE_ONLY = "valve only"
    PUMP_LEFT = "hand pump left on"
    """There is no valve between: the pump with its own gauge stays part of the loop, and nobody moves it."""


def source_named(text: str) -> SourceOff | None:
    """Return the answer that a text means, by its whole words or its first ones; None where none or several fit.

    Examples
    --------
    >>> source_named(" Hose off"), source_named("valve shut"), source_named("valve")
    (<SourceOff.HOSE_OFF: 'hose off'>, <SourceOff.VENTED: 'valve shut, line vented'>, None)
    """
    wanted = " ".join(text.casefold().split())
    fits = [how for how in SourceOff if wanted and str(how).startswith(wanted)]
    return fits[0] if len(fits) == 1 else None


class Rig(StrEnum):
    """How pump, valve and gauge of the test are joined to the loop."""

    VALVED = "gauge on the loop, valve before the hose"
    OWN_GAUGE = "pump with its own gauge, no valve between"


class RigDescribed(Frozen):
    """The test rig was described; without it, it counts as one with a valve."""

    KIND: ClassVar[str] = "test rig described"
    attempt: int
    """Which attempt at the hold, from 1."""
    rig: Rig
    """How it is joined."""


class SourceIsolated(Frozen):
    """The source was taken off, or its valve was shut, before the clock started."""

    KIND: ClassVar[str] = "source isolated"
    attempt: int
    """Which attempt at the hold, from 1."""
    how: SourceOff
    """How."""


class HoldPlan(Frozen):
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
    assumed: tuple[str, ...] = ()
    """What nobody typed of a quick hold, by the words of the plan: it counts with what is usual."""

    @property
    def volume(self) -> LoopVolume:
        """The volume, and how far it can be off."""
        return LoopVolume(volume_m3=self.volume_m3, u_volume_m3=self.u_volume_m3, basis=self.volume_basis)


class HoldPlanned(Frozen):
    """A hold was planned, or its plan was changed before it started."""

    KIND: ClassVar[str] = "hold planned"
    attempt: int
    """Which attempt, from 1."""
    plan: HoldPlan
    """The plan."""


class HoldStarted(Frozen):
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


class ReadingTaken(Frozen):
    """One line was typed during a hold."""

    KIND: ClassVar[str] = "reading taken"
    UNITS: ClassVar[dict[str, str]] = {"pressure": "gauge_pa pa", "air": "k", "barometer": "pa"}
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


class RowsRefused(Frozen):
    """Rows of a file that is taken over lay after now: the start that was given is wrong."""

    KIND: ClassVar[str] = "rows refused"
    attempt: int
    """Which attempt, from 1."""
    elapsed_s: float
    """Where in the hold the first of them would lie [s after the start]."""


class RowNoted(Frozen):
    """What a fed table said beside the readings that it gave: a note in a row, or rows that could not be read."""

    KIND: ClassVar[str] = "row noted"
    attempt: int
    """Which attempt, from 1."""
    elapsed_s: float
    """Where in the hold the row lies, or the last reading before rows that could not be read [s after the start]."""
    note: str = ""
    """What stood in the row's column of notes."""
    unread: int = 0
    """So many rows could not be read [1]; 0 where it is about a note."""
    above: bool = False
    """Whether the note stood above the first row: it has no time, and counts for the whole hold."""


class RowWithdrawn(Frozen):
    """A fed row is wrong: it stays in its series and no longer counts."""

    KIND: ClassVar[str] = "row withdrawn"
    attempt: int
    """Which attempt, from 1."""
    number: int
    """Its place in the series of the hold, from 1, as it was told when it was stored."""
    reason: str
    """Why it is wrong."""


class HoldExtended(Frozen):
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


class HoldClosed(Frozen):
    """A hold was ended and judged."""

    KIND: ClassVar[str] = "hold closed"
    SHOWN: ClassVar[str] = "hold ended"
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


class PressureLetDown(Frozen):
    """The pressure was let down after a hold, and the gauge was seen at zero."""

    KIND: ClassVar[str] = "pressure let down"
    SHOWN: ClassVar[str] = "pressure vented"
    UNITS: ClassVar[dict[str, str]] = {"gauge": "gauge_pa pa"}
    attempt: int
    """Which attempt, from 1."""
    gauge: Measured
    """What the gauge showed."""
    valve_open: bool = False
    """Whether the loop stood open to the room, so that a gauge off its zero showed its own error."""


class TryWord(StrEnum):
    """What a try of the leak search showed."""

    LEAKS = "leaks"
    TIGHT = "tight"
    NOT_CLEAR = "not clear"


class SearchBegun(Frozen):
    """A leak is searched for by parting off the loop piece by piece, in the order in which the air reaches it."""

    KIND: ClassVar[str] = "leak search begun"
    attempt: int
    """The attempt that showed the leak, from 1."""
    suspects: tuple[str, ...]
    """Parts and joints from the gauge on, the test rig itself first."""


class SearchPumped(Frozen):
    """The loop was parted off behind a suspect, and what stays on the gauge was pumped up."""

    KIND: ClassVar[str] = "leak search pumped up"
    UNITS: ClassVar[dict[str, str]] = {"gauge": "gauge_pa pa"}
    attempt: int
    """Which attempt, from 1."""
    behind: str
    """The last suspect that stays on the gauge; the last of all: nothing is parted off."""
    gauge: Measured
    """What the gauge showed then."""


class SearchTried(Frozen):
    """How the pressure went in a try, and what that says."""

    KIND: ClassVar[str] = "leak search try"
    UNITS: ClassVar[dict[str, str]] = {"start": "gauge_pa pa", "end": "gauge_pa pa"}
    attempt: int
    """Which attempt, from 1."""
    behind: str
    """The last suspect that stayed on the gauge."""
    start: Measured
    """What the gauge showed at the start of the try."""
    end: Measured
    """What it showed at its end."""
    after_s: float
    """How long that took [s]."""
    word: TryWord
    """What that says."""


HoldEntry = (
    SourceIsolated
    | RigDescribed
    | HoldPlanned
    | HoldStarted
    | ReadingTaken
    | RowsRefused
    | RowNoted
    | RowWithdrawn
    | HoldExtended
    | HoldClosed
    | PressureLetDown
    | SearchBegun
    | SearchPumped
    | SearchTried
)
"""Every kind of entry of a pressure hold."""
