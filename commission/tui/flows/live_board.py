"""Speeds that the operating system reads off the board, while a chain is swept: read, never written."""

from dataclasses import dataclass

from commission.domain.board_sensors import BoardReading, ChipReading, FanSensor, ReadState
from commission.domain.errors import InputError
from commission.evaluate.sweep_live import SAMPLES, SPACING_S, LevelProgress, level_progress
from commission.tui.flows.ask import one_of
from commission.units.show import show

MOST_KEPT = 2_000
"""Readings of one level that are kept; a level that nobody leaves for an hour needs no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One speed input, told apart by where its chip sits and not by the order in which chips are found."""

    chip: str
    """Name of the chip."""
    device: str
    """Where the chip sits."""
    number: int
    """Number of the input."""

    def of(self, board: BoardReading) -> FanSensor | None:
        """Return what it reads; None where it is gone."""
        for chip in board.chips:
            if (chip.name, chip.device) == (self.chip, self.device):
                return next((fan for fan in chip.fans if fan.number == self.number), None)
        return None


class LiveBoard:
    """What was last read, which channel is watched, and its readings since the duty was last set."""

    def __init__(self, *, samples: int = SAMPLES, spacing_s: float = SPACING_S) -> None:
        self.board: BoardReading | None = None
        self.channel: Channel | None = None
        self.lost = False
        """Whether the channel gave readings and then vanished."""
        self._samples, self._spacing_s = samples, spacing_s
        self._begun_s: float | None = None
        self._times: list[float] = []
        self._speeds: list[float | None] = []

    # --- what there is ---------------------------------------------------------------------------------------

    @property
    def channels(self) -> dict[Channel, str]:
        """Every speed input with its name and what it shows."""
        chips = self.board.chips if self.board is not None else ()
        found: dict[Channel, str] = {}
        for chip in chips:
            for fan in chip.fans:
                found[Channel(chip=chip.name, device=chip.device, number=fan.number)] = f"{chip.name} {fan.label}"
        return found

    @property
    def missing(self) -> str:
        """Why nothing can be read live; empty where something can, or nobody has looked yet."""
        return self.board.missing if self.board is not None else ""

    def named(self, text: str) -> Channel:
        """Return the channel that is meant: by its number in the list, or by its name.

        Raises
        ------
        InputError
            If there is none, or it is not clear which.
        """
        names = self.channels
        if not names:
            raise InputError(self.missing or "no speed is read live here; type the readings")
        keys = list(names)
        return keys[int(one_of(text, {str(n): name for n, name in enumerate(names.values())}, "sensor"))]

    def watch(self, channel: Channel | None) -> None:
        """Watch a channel, or none."""
        self.channel, self.lost = channel, False
        self.begin_level()

    # --- readings --------------------------------------------------------------------------------------------

    def begin_level(self) -> None:
        """Forget the readings of the level before: the duty is set anew from here."""
        self._begun_s = self.board.at_s if self.board is not None else None
        self._times, self._speeds = [], []

    def take(self, board: BoardReading) -> None:
        """Take what was read."""
        self.board = board
        if self.channel is None:
            return
        sensor = self.channel.of(board)
        self.lost = sensor is None or sensor.state in (ReadState.GONE, ReadState.ABSENT)
        if sensor is not None and sensor.state is ReadState.SKIPPED:
            return
        if self._begun_s is None:
            self._begun_s = board.at_s
        self._times.append(max(0.0, board.at_s - self._begun_s))
        self._speeds.append(None if sensor is None else sensor.rpm)
        del self._times[:-MOST_KEPT], self._speeds[:-MOST_KEPT]

    @property
    def sensor(self) -> FanSensor | None:
        """What the watched channel reads now."""
        return self.channel.of(self.board) if self.channel is not None and self.board is not None else None

    def progress(self, full_rpm: float) -> LevelProgress:
        """Return how far the level has come."""
        return level_progress(
            self._times,
            self._speeds,
            full_rpm=full_rpm,
            step_rpm=1.0,
            samples=self._samples,
            spacing_s=self._spacing_s,
        )

    def proposal(self, duty_pct: float, full_rpm: float) -> str | None:
        """Return the line that Enter would take at a level; None until enough was read."""
        if self.channel is None or self.lost:
            return None
        progress = self.progress(full_rpm)
        if not progress.enough:
            return None
        shown = " ".join("lost" if speed is None else f"{speed:.0f}" for speed in progress.samples)
        return f"{duty_pct:g} {shown}"

    # --- in words --------------------------------------------------------------------------------------------

    def told(self, full_rpm: float) -> tuple[str, str]:
        """Return what the watched channel shows and how far the level has come."""
        if self.channel is None:
            return "", ""
        name = self.channels.get(self.channel, f"{self.channel.chip} fan{self.channel.number}")
        sensor = self.sensor
        if self.lost or sensor is None:
            return name, "SENSOR LOST: it gave readings and is gone; type the rest, or name another sensor"
        if sensor.fault:
            return name, "the chip says that this channel is not to be trusted"
        if sensor.rpm is None:
            return name, f"{sensor.state}; type the reading if the firmware shows it"
        return f"{name}: {sensor.rpm:.0f} rpm", self._come(sensor, full_rpm)

    def _come(self, sensor: FanSensor, full_rpm: float) -> str:
        progress = self.progress(full_rpm)
        if progress.enough:
            said = f"{len(progress.samples)} readings taken"
            said += "; it never stood still" if progress.gave_up else ""
        elif progress.settled:
            said = f"stands still, {len(progress.samples)} of {self._samples} readings"
        else:
            said = "settling"
        zero = " or ".join(sensor.zero_may_mean)
        return f"{said}; 0 may mean: {zero}" if zero else said

    def temperatures(self) -> str:
        """Return the temperatures in one line; empty where none is read."""
        chips: tuple[ChipReading, ...] = self.board.chips if self.board is not None else ()
        warm = [
            (one.kelvin, one.label)
            for chip in chips
            for one in chip.temperatures
            if one.kelvin is not None and not one.fault
        ]
        from commission.domain.quantity import Quantity

        hottest = sorted(warm, reverse=True)[:3]
        return " · ".join(f"{label} {show(kelvin, Quantity.TEMPERATURE, digits=3)}" for kelvin, label in hottest)
