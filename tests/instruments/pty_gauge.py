"""A gauge on a cable: a pair of pseudo terminals (POSIX) that is pulled and plugged."""

import os
import tty
from pathlib import Path


class Gauge:
    """One end of a cable, the other end a name in the file system that can be pulled and plugged."""

    def __init__(self, name: Path) -> None:
        self.name = name
        self.ends: tuple[int, int] = (-1, -1)

    def plug(self) -> None:
        self.ends = os.openpty()
        tty.setraw(self.ends[1])
        self.name.unlink(missing_ok=True)
        self.name.symlink_to(os.ttyname(self.ends[1]))

    def pull(self) -> None:
        for end in self.ends:
            os.close(end)

    def say(self, text: bytes) -> None:
        os.write(self.ends[0], text)
