"""Helpers of the fan header tests: a machine on its sheet, plugged together, and a board of files; all invented."""

from pathlib import Path

from commission.instruments.hwmon import HwmonBoard
from commission.record.logbook import Logbook
from commission.record.machine.board_sensors import BoardReading
from commission.stages.fan_headers.card.headers import HeadersFlow
from tests.fakes import HandClock, ListLog, built_once, new_book
from tests.instruments.hwmon_tree import FakeBoard
from tests.power_builds import powered_build
from tests.ui.bench import led
from tests.wet_builds import filled_build

HEADERS = (
    "header PUMP 4-pin 3 A pwm lock",
    "header CPU 4-pin 2 A pwm",
    "header SYS1 4-pin 2 A pwm/voltage set pwm",
    "header SYS2 4-pin 1 A pwm/voltage set voltage",
)
CHAINS = (
    "pump 4-wire 1.5 A start 2 A full reach PUMP 5 cm, CPU 6 cm, SYS1 30 cm, SYS2 20 cm",
    "chain front 3 fans 4-wire 0.2 A start 0.3 A 1500 rpm reach PUMP 30 cm, CPU 35 cm, SYS1 15 cm, SYS2 45 cm",
    "chain top 3 fans 4-wire 0.25 A start 0.35 A 1500 rpm reach PUMP 12 cm, CPU 10 cm, SYS1 40 cm, SYS2 25 cm",
    "chain rear 3-wire 0.15 A start 0.3 A reach PUMP 22 cm, CPU 20 cm, SYS1 45 cm, SYS2 8 cm",
    "chain floor 2 fans 4-wire 0.2 A start 0.3 A reach PUMP 35 cm, CPU 38 cm, SYS1 10 cm, SYS2 40 cm",
)
"""Currents and cables of a worked example: 1024 layouts, of which brute force finds 8 possible and one of 98 cm."""
DOWN_AND_UP = ("1498", "1258", "985", "842", "695", "548", "688", "835", "978", "1254", "1496")
"""Speeds of a fan that follows its duty from 100 % down to 30 % and up again."""
PLUGGED = ("header SYS1 4-pin 2 A pwm/voltage set pwm", "chain front 3 fans 4-wire 0.2 A start 0.3 A 1500 rpm")
PLUGGING = ("plug front SYS1", "", "", "", "")
"""The line, three cautions, and the line again."""
SWEEPING = ("sweep front", "", "", "")
"""The line, two cautions, and the line again."""


@built_once
def unpowered() -> tuple[Logbook, ListLog, HandClock, str]:
    """A filled build that was never powered."""
    book, log, clock = new_book()
    return book, log, clock, filled_build(book, clock)


@built_once
def powered() -> tuple[Logbook, ListLog, HandClock, str]:
    """A build that has climbed the ladder of the first power-on."""
    book, log, clock = new_book()
    return book, log, clock, powered_build(book, clock)


def plugged(*lines: str) -> tuple[HeadersFlow, Logbook, HandClock, str]:
    """A powered build with one chain plugged in, and then some lines."""
    book, _, clock, build = powered()
    flow = HeadersFlow(book, build)
    led(flow, [*PLUGGED, *PLUGGING, *lines])
    return flow, book, clock, build


class MovingBoard(HwmonBoard):
    """Reads a tree of real files; before each reading its fans move on, and the reader's clock by some seconds."""

    def __init__(self, tree: FakeBoard, root: Path, *, step_s: float = 2.0) -> None:
        self.now_s = 0.0
        self.tree = tree
        self.step_s = step_s
        super().__init__(root, clock=lambda: self.now_s)

    def read(self) -> BoardReading:
        self.now_s += self.step_s
        self.tree.tick()
        return super().read()
