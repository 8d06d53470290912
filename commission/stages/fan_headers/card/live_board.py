"""Speeds that the operating system reads off the board, while a chain is swept: read, never written."""

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Quantity
from commission.bench.ask import one_of
from commission.record.machine.board_sensors import BoardReading, ChipReading, FanSensor, ReadState
from commission.stages.fan_headers.judge.sweep_live import SAMPLES, SPACING_S, LevelProgress, level_progress
from commission.stages.fan_headers.rows.live import sensor_text
from commission.units.show import show

MOST_KEPT = 2_000
"""Readings of one level that are kept; a level that nobody leaves for an hour needs no more."""
GONE_FOR_GOOD = 3
"""Readings in a row without the sensor after which it counts as lost; one may be a hiccup of the bus."""


class Channel(Frozen):
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
        self.counting = False
        """Whether the duty was set and its readings are kept."""
        self.faulty = False
        """Whether the chip ever said that the watched channel is not to be trusted."""
        self.samples = samples
        """Readings wanted of each level."""
        self._spacing_s = spacing_s
        self._name = ""
        self._gone = 0
        self._begun_s: float | None = None
        self._times: list[float] = []
        self._speeds: list[float | None] = []

    # --- what there is ---------------------------------------------------------------------------------------

    @property
    def channels(self) -> dict[Channel, str]:
        """Every speed input with its name."""
        chips = self.board.chips if self.board is not None else ()
        return {
            Channel(chip=chip.name, device=chip.device, number=fan.number): f"{chip.name} {fan.label}"
            for chip in chips
            for fan in chip.fans
        }

    @property
    def missing(self) -> str:
        """Why nothing can be read live; empty where something can, or nobody has looked yet."""
        if self.board is None or self.channels:
            return ""
        return self.board.missing or "there are temperatures here and no speeds: the driver may not be loaded"

    def named(self, text: str) -> Channel:
        """Return the channel that is meant: by its number in the list, or by its name.

        Raises
        ------
        InputError
            If there is none, or it is not clear which.
        """
        names = self.channels
        if not names:
            raise InputError(self.missing or "no speed was read yet; wait a moment, or type hand to type the readings")
        keys = list(names)
        return keys[int(one_of(text, {str(n): name for n, name in enumerate(names.values())}, "sensor"))]

    def watch(self, channel: Channel | None) -> None:
        """Watch a channel, or none."""
        self._name = self.channels.get(channel, "") if channel is not None else ""
        self.channel, self._gone, self.faulty = channel, 0, False
        self.forget_level()

    @property
    def lost(self) -> bool:
        """Whether the watched channel has vanished."""
        return self._gone >= GONE_FOR_GOOD

    # --- readings --------------------------------------------------------------------------------------------

    def begin_level(self) -> None:
        """Count the readings from now on: the duty is set."""
        self.forget_level()
        self.counting = True

    def forget_level(self) -> None:
        """Forget the readings of the level before, and wait until the next duty is set."""
        self.counting = False
        self._begun_s = self.board.at_s if self.board is not None else None
        self._times, self._speeds = [], []

    def take(self, board: BoardReading) -> None:
        """Take what was read."""
        self.board = board
        if self.channel is None:
            return
        sensor = self.channel.of(board)
        if sensor is not None and sensor.state is ReadState.SKIPPED:
            return
        gone = sensor is None or sensor.state in (ReadState.GONE, ReadState.ABSENT)
        self._gone = self._gone + 1 if gone else 0
        self.faulty = self.faulty or (sensor is not None and sensor.fault)
        if not self.counting:
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
            samples=self.samples,
            spacing_s=self._spacing_s,
        )

    def level(self, full_rpm: float) -> tuple[float | None, ...] | None:
        """Return the readings of the level that is done; None until enough were read, or where the sensor is gone."""
        if not self.counting or self._gone:
            return None
        progress = self.progress(full_rpm)
        return progress.samples if progress.enough else None

    # --- in words --------------------------------------------------------------------------------------------

    def told(self, full_rpm: float) -> tuple[str, str, str]:
        """Return the watched channel, what it shows, and how far the level has come."""
        if self.channel is None:
            return "", "", ""
        sensor = self.sensor
        if self.lost or sensor is None:
            return self._name, "SENSOR LOST", "it gave readings and is gone" if self.lost else "not there just now"
        fault = "the chip says that it is not to be trusted; " if sensor.fault and sensor.rpm is not None else ""
        return self._name, sensor_text(sensor), fault + self._come(sensor, full_rpm)

    def _come(self, sensor: FanSensor, full_rpm: float) -> str:
        zero = f"0 may mean: {' or '.join(sensor.zero_may_mean)}" if sensor.zero_may_mean else ""
        if not self.counting:
            return zero or "waits for the duty to be set"
        progress = self.progress(full_rpm)
        if progress.settled:
            said = f"{'never stood still' if progress.gave_up else 'stands still'}, "
            said += f"{len(progress.samples)} of {self.samples} readings"
        else:
            said = f"settling, {self._times[-1]:.0f} s so far" if self._times else "settling"
        return f"{said}; {zero}" if zero else said

    def temperatures(self) -> tuple[str, ...]:
        """Return the warmest temperatures with their labels, the highest first; empty where none is read."""
        chips: tuple[ChipReading, ...] = self.board.chips if self.board is not None else ()
        warm = [
            (one.kelvin, one.label)
            for chip in chips
            for one in chip.temperatures
            if one.kelvin is not None and not one.fault
        ]
        hottest = sorted(warm, reverse=True)[:3]
        return tuple(f"{label} {show(kelvin, Quantity.TEMPERATURE, digits=3)}" for kelvin, label in hottest)
