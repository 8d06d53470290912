"""Speeds and temperatures from the Linux kernel's hwmon files: read, never written.

A file that cannot be read concerns its own channel and never ends the scan. Nothing here needs Linux to be imported;
where there are no such files the reading says so.

Sources: Linux Documentation/hwmon/sysfs-interface.rst (commit 2555693d), Documentation/ABI/testing/sysfs-class-hwmon
(commit 02d0fdd4), i2c/fault-codes.rst (commit 2cc2c3cb).
"""

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from commission.base.board_range import MOST_SWEEP_RPM
from commission.base.frozen import Frozen
from commission.base.text import clean
from commission.instruments.sensor_file import Value, read_bytes, read_text, read_value
from commission.physics.gas import ICE_POINT_K
from commission.record.machine.board_sensors import (
    BoardReading,
    ChipReading,
    FanSensor,
    ReadState,
    TemperatureSensor,
)

BUDGET_S = 0.25
"""Time after which the channels that are left wait for the next reading [s]."""

_INPUT = re.compile(r"(fan|temp)([0-9]+)_input")
_NO_HWMON = "no hwmon here: this system offers no speeds or temperatures as files (only Linux does). Type the readings"


class _Chip(Frozen):
    """What a scan found and what does not change until the next."""

    folder: Path
    name: str
    device: str
    fans: tuple[int, ...]
    temperatures: tuple[int, ...]
    files: frozenset[str]
    labels: dict[str, str]


class HwmonBoard:
    """Reads every chip under a root.

    Parameters
    ----------
    root
        The folder that holds ``class/hwmon``; ``/sys`` on Linux.
    clock
        Seconds that never step.
    read
        Returns the bytes of a file or raises `OSError`.
    budget_s
        Time after which a reading stops and leaves the rest for the next.
    """

    def __init__(
        self,
        root: Path,
        *,
        clock: Callable[[], float] = time.monotonic,
        read: Callable[[str], bytes] = read_bytes,
        budget_s: float = BUDGET_S,
    ) -> None:
        self._folder = root / "class" / "hwmon"
        self._clock = clock
        self._read = read
        self._budget_s = budget_s
        self._names: tuple[str, ...] | None = None
        self._chips: tuple[_Chip, ...] = ()
        self._end = 0.0

    def read(self) -> BoardReading:
        """Return what every chip says now; a chip that is new or gone since the last reading is noticed."""
        at_s = self._clock()
        self._end = at_s + self._budget_s
        try:
            names = tuple(sorted(entry.name for entry in self._folder.iterdir() if entry.name.startswith("hwmon")))
        except OSError:
            self._names = None
            return BoardReading(at_s=at_s, chips=(), missing=_NO_HWMON)
        if names != self._names:
            found = (self._scanned(self._folder / name) for name in names)
            self._chips = tuple(sorted((c for c in found if c is not None), key=lambda chip: (chip.name, chip.device)))
            self._names = names
        chips = tuple(self._chip(chip) for chip in self._chips)
        if any(state is ReadState.GONE for chip in chips for state in _states(chip)):
            self._names = None  # look again at what is there
        missing = "" if chips else "hwmon is here, but no chip of it has a speed or a temperature; type the readings"
        return BoardReading(at_s=at_s, chips=chips, missing=missing)

    def _scanned(self, folder: Path) -> _Chip | None:
        """Return a chip with its channels, or None where it has none or cannot be listed."""
        for place in (folder, folder / "device"):  # old drivers keep their files one level below
            try:
                files = frozenset(entry.name for entry in place.iterdir())
            except OSError:
                continue
            numbers = _numbers(files)
            if "name" in files and any(numbers.values()):
                return self._described(folder, place, files, numbers)
        return None

    def _described(self, folder: Path, place: Path, files: frozenset[str], numbers: dict[str, list[int]]) -> _Chip:
        labelled = [f"{kind}{n}" for kind in ("fan", "temp") for n in numbers[kind] if f"{kind}{n}_label" in files]
        return _Chip(
            folder=place,
            name=clean(self._text(place, "name")),
            device=_real(folder / "device"),
            fans=tuple(numbers["fan"]),
            temperatures=tuple(numbers["temp"]),
            files=files,
            labels={name: label for name in labelled if (label := clean(self._text(place, f"{name}_label")))},
        )

    def _chip(self, chip: _Chip) -> ChipReading:
        return ChipReading(
            name=chip.name,
            device=chip.device,
            fans=tuple(self._fan(chip, n) for n in chip.fans),
            temperatures=tuple(self._temperature(chip, n) for n in chip.temperatures),
        )

    def _fan(self, chip: _Chip, n: int) -> FanSensor:
        value = self._value(chip.folder, f"fan{n}_input")
        alarms = (f"fan{n}_alarm", f"fan{n}_min_alarm", f"fan{n}_max_alarm")
        sound = value.number is None or 0 <= value.number <= MOST_SWEEP_RPM
        return FanSensor(
            number=n,
            label=chip.labels.get(f"fan{n}", f"fan{n}"),
            rpm=float(value.number) if value.number is not None and sound else None,
            state=value.state if sound else ReadState.NOT_A_NUMBER,
            fault=self._flag(chip, f"fan{n}_fault"),
            alarm=any(self._flag(chip, name) for name in alarms),
        )

    def _temperature(self, chip: _Chip, n: int) -> TemperatureSensor:
        value = self._value(chip.folder, f"temp{n}_input")
        sound = value.number is None or value.number / 1000 + ICE_POINT_K > 0
        return TemperatureSensor(
            number=n,
            label=chip.labels.get(f"temp{n}", f"temp{n}"),
            kelvin=None if value.number is None or not sound else value.number / 1000 + ICE_POINT_K,
            state=value.state if sound else ReadState.NOT_A_NUMBER,
            fault=self._flag(chip, f"temp{n}_fault"),
        )

    def _flag(self, chip: _Chip, name: str) -> bool:
        return name in chip.files and self._value(chip.folder, name).number == 1

    def _value(self, folder: Path, name: str) -> Value:
        if self._clock() > self._end:
            return Value(number=None, state=ReadState.SKIPPED)
        return read_value(f"{folder}/{name}", self._read)

    def _text(self, folder: Path, name: str) -> str:
        return read_text(f"{folder}/{name}", self._read)


def _states(chip: ChipReading) -> Iterator[ReadState]:
    yield from (fan.state for fan in chip.fans)
    yield from (temperature.state for temperature in chip.temperatures)


def _numbers(files: frozenset[str]) -> dict[str, list[int]]:
    """Return the channels of each kind in the order of their numbers: fan2 before fan10."""
    numbers: dict[str, list[int]] = {"fan": [], "temp": []}
    for name in files:
        found = _INPUT.fullmatch(name)
        if found is not None:
            numbers[found[1]].append(int(found[2]))
    return {kind: sorted(found) for kind, found in numbers.items()}


def _real(link: Path) -> str:
    try:
        return str(link.resolve(strict=True))
    except (OSError, RuntimeError):
        return ""
