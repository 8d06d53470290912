"""One reading of a board as plain lines, told against the reading before it."""

from __future__ import annotations

from collections import Counter
from pathlib import PurePath
from typing import TYPE_CHECKING

from commission.bench.figures import degrees
from commission.record.machine.board_sensors import FanSensor, ReadState, TemperatureSensor

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.machine.board_sensors import BoardReading, ChipReading

Place = tuple[str, str, str]
"""Name of a chip, where it sits, and a channel of it: stays the same when chips are renumbered."""

_VANISHED = (ReadState.GONE, ReadState.ABSENT)


class Watched:
    """Remembers which sensors were there, so that one that vanishes is told once, and one that comes back again."""

    def __init__(self) -> None:
        self._names: dict[Place, str] = {}
        self._lost: set[Place] = set()
        self._zero: set[Place] = set()

    def lines(self, reading: BoardReading, at_s: float) -> Iterator[str]:
        """Yield a line for each sensor that is there, then one for each that vanished since the last reading.

        Parameters
        ----------
        at_s
            Time since the start [s].
        """
        gone = dict.fromkeys(self._names, "")
        for place, name, sensor in _sensors(reading):
            if sensor.state in _VANISHED and place in self._names:
                gone[place] = f" ({sensor.state})"
                continue
            gone.pop(place, None)
            self._names[place] = name
            self._lost.discard(place)
            yield f"{at_s:.1f} s, {name}: {self._value(place, sensor)}"
        for place, why in gone.items():
            if place not in self._lost:
                self._lost.add(place)
                yield f"{at_s:.1f} s, {self._names[place]}: sensor lost{why}"

    def _value(self, place: Place, sensor: FanSensor | TemperatureSensor) -> str:
        told = [str(sensor.state)]
        if isinstance(sensor, TemperatureSensor):
            if sensor.kelvin is not None:
                told = [degrees(sensor.kelvin)]
        elif sensor.rpm is not None:
            told = [f"{sensor.rpm:.0f} rpm"]
            told += self._meaning(place, sensor)
            told += ["alarm"] if sensor.alarm else []
        told += ["fault: the chip says not to trust it"] if sensor.fault else []
        return "; ".join(told)

    def _meaning(self, place: Place, fan: FanSensor) -> list[str]:
        """Return what a 0 may mean, where the speed has just become 0."""
        if not fan.zero_may_mean:
            self._zero.discard(place)
        elif place not in self._zero:
            self._zero.add(place)
            return [f"that may mean: {', '.join(fan.zero_may_mean)}"]
        return []


def _sensors(reading: BoardReading) -> Iterator[tuple[Place, str, FanSensor | TemperatureSensor]]:
    """Yield each sensor with its place, and the chip and channel by which a person knows it."""
    alike = Counter(chip.name for chip in reading.chips)
    for chip in reading.chips:
        name = chip.name if alike[chip.name] == 1 else f"{chip.name} at {_seat(chip)}"
        for kind, sensors in (("fan", chip.fans), ("temp", chip.temperatures)):
            for sensor in sensors:
                channel = f"{kind}{sensor.number}"
                label = "" if sensor.label == channel else f' "{sensor.label}"'
                yield (chip.name, chip.device, channel), f"{name}, {channel}{label}", sensor


def _seat(chip: ChipReading) -> str:
    return PurePath(chip.device).name or "a place not known"
