"""A tree of real files in the form of the kernel's hwmon, and a board that moves them as its fans would."""

import errno
import os
from collections.abc import Callable, Mapping
from pathlib import Path

from commission.instruments.sensor_file import read_bytes


def put(path: Path, text: str) -> None:
    """Replace a file's text in one write, with nothing left of the old: `60` over `255` must not leave `605`."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    try:
        os.write(handle, text.encode())
    finally:
        os.close(handle)


def add_chip(root: Path, number: int, name: str, values: Mapping[str, object], *, old: bool = False) -> Path:
    """Add a chip as ``class/hwmon/hwmonN``, a link to its device as in the kernel; return its folder."""
    device = root / "devices" / "platform" / f"{name}.{number}"
    folder = device / "hwmon" / f"hwmon{number}"
    folder.mkdir(parents=True)
    (folder / "device").symlink_to(device)
    place = device if old else folder
    for file, value in {"name": name, **values}.items():
        put(place / file, f"{value}\n")
    links = root / "class" / "hwmon"
    links.mkdir(parents=True, exist_ok=True)
    (links / f"hwmon{number}").symlink_to(folder)
    return place


def failing(errors: Mapping[str, int], *, times: int = 1_000) -> Callable[[str], bytes]:
    """Return a reader that raises an error number for files of these names, so many times each."""
    left = dict.fromkeys(errors, times)

    def read(path: str) -> bytes:
        name = Path(path).name
        if left.get(name, 0) > 0:
            left[name] -= 1
            raise OSError(errors[name], os.strerror(errors[name]), path)
        return read_bytes(path)

    return read


class FakeBoard:
    """Stands for the person and the hardware: a duty is set, and the tach file follows as a fan of this kind would."""

    def __init__(self, root: Path, speed: Callable[[float], float], *, settle: float = 0.5) -> None:
        self.folder = add_chip(root, 0, "fakechip", {"fan1_input": 0, "pwm1": 255, "pwm1_enable": 1})
        self.speed = speed
        self.settle = settle
        self.duty_pct = 100.0
        self.there = True
        self.rpm = speed(100.0)
        self.tick()

    def set(self, duty_pct: float) -> None:
        """Set a duty, as the person does in the firmware."""
        self.duty_pct = duty_pct
        put(self.folder / "pwm1", f"{int(duty_pct * 255 / 100 + 0.5)}\n")

    def tick(self) -> None:
        """Let some time go by."""
        self.rpm += (self.speed(self.duty_pct) - self.rpm) * self.settle
        if self.there:
            put(self.folder / "fan1_input", f"{round(self.rpm)}\n")

    def vanish(self) -> None:
        """Let the tach file go, as when a driver is unloaded."""
        (self.folder / "fan1_input").unlink()
        self.there = False


RAISED = {
    "ENODATA": errno.ENODATA,
    "ENXIO": errno.ENXIO,
    "EIO": errno.EIO,
    "EAGAIN": errno.EAGAIN,
    "EBUSY": errno.EBUSY,
    "ETIMEDOUT": errno.ETIMEDOUT,
    "ENODEV": errno.ENODEV,
    "EOPNOTSUPP": errno.EOPNOTSUPP,
    "524": 524,
    "ENOENT": errno.ENOENT,
    "EACCES": errno.EACCES,
    "EPERM": errno.EPERM,
    "EISDIR": errno.EISDIR,
    "ELOOP": errno.ELOOP,
}
"""Errors of the kernel by name."""
