"""Instruments: what they read, how finely, how well, and how far."""

from enum import StrEnum
from typing import ClassVar

from commission.base.frozen import Frozen
from commission.base.quantity import Quantity


class InstrumentKind(StrEnum):
    """What an instrument reads in a pressure hold."""

    GAUGE = "gauge"
    ABSOLUTE_GAUGE = "absolute gauge"
    THERMOMETER = "thermometer"
    BAROMETER = "barometer"


class GaugeFace(StrEnum):
    """How a gauge shows its pressure."""

    UNKNOWN = ""
    """Nobody said; judged as a digital one."""
    DIGITAL = "digital"
    DIAL = "dial"


READS: dict[InstrumentKind, Quantity] = {
    InstrumentKind.GAUGE: Quantity.GAUGE_PRESSURE,
    InstrumentKind.ABSOLUTE_GAUGE: Quantity.ABSOLUTE_PRESSURE,
    InstrumentKind.THERMOMETER: Quantity.TEMPERATURE,
    InstrumentKind.BAROMETER: Quantity.ABSOLUTE_PRESSURE,
}
"""The quantity that each kind of instrument reads."""


class Instrument(Frozen):
    """One instrument of the workshop, shared by all builds. All figures in the SI unit of what it reads."""

    UNITS: ClassVar[dict[str, str]] = dict.fromkeys(
        ("resolution", "accuracy", "low", "high", "division"), "gauge_pa pa k"
    )
    instrument_id: str
    """Made by the program; never shown."""
    kind: InstrumentKind
    """What it reads."""
    name: str
    """What the builder calls it."""
    unit: str
    """The unit on its face, in which readings are typed and shown, such as ``mbar``."""
    resolution: float
    """One step of its display [SI]."""
    accuracy: float
    """Largest error its maker states (half-width) [SI]; 0 where none is stated."""
    low: float
    """Lowest value it can show [SI]."""
    high: float
    """Highest value it can show (full scale) [SI]."""
    calibrated_on: str = ""
    """Date of the last calibration, ISO 8601; empty where there was none."""
    face: GaugeFace = GaugeFace.UNKNOWN
    """Digits or a needle; of gauges only."""
    tapped: bool = False
    """Whether a dial is tapped before each reading; an untapped needle lags behind the pressure."""
    division: float = 0.0
    """Distance between two marks of a dial [SI]; 0: as far apart as one step."""
    step_guessed: bool = False
    """Whether the step of the display was guessed from its digits, because nobody stated it."""
    columns: str = ""
    """Which column of its logger's table is which of ours, as typed; empty where its table has our headings."""
    port: str = ""
    """The serial port on which it prints lines, with its speed, as typed; empty where it has none."""
    pattern: str = ""
    """A line that it prints, with ``{}`` where its number stands; empty where it prints none."""

    @property
    def needle_lags(self) -> bool:
        """Whether it is a dial that nobody taps."""
        return self.face is GaugeFace.DIAL and not self.tapped

    @property
    def face_asked(self) -> bool:
        """Whether it is known if it has digits or a needle, where that matters."""
        return self.quantity is Quantity.TEMPERATURE or self.face is not GaugeFace.UNKNOWN

    @property
    def quantity(self) -> Quantity:
        """The quantity it reads."""
        return READS[self.kind]
