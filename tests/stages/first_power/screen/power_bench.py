"""Helpers of the first power-on's tests: a filled build with its ladder climbed up to some rung, by typed lines."""

from commission.record.logbook import Logbook
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from commission.stages.first_power.card.first_power import FirstPowerFlow
from tests.answers import POWER
from tests.fakes import HandClock, ListLog, built_once, new_book
from tests.power_builds import FED_BY_THE_SUPPLY
from tests.ui.bench import led
from tests.wet_builds import filled_build

PLUG = "24-pin +12 12.05 +5 5.02 +3.3 3.31 +5VSB 5.08"
"""Voltages well inside every window (ATX12V design guide 2.0, table 2: 5 % either way)."""
CABLE = ("cpu-4-pin 18 AWG 0.6 m", "one to one", "", "0.2")
"""Describes a cable up to the meter's leads."""
JOINTS = "block in, block out, radiator"
"""Joints of the invented loop."""


@built_once
def filled() -> tuple[Logbook, ListLog, HandClock, str]:
    """A build whose hold has passed and whose fill is signed off, with a pump that the supply feeds."""
    book, log, clock = new_book()
    book.name_operator("Ada")
    build = filled_build(book, clock)
    book.work(FanHeaders).seats.add_chain(build, FED_BY_THE_SUPPLY)
    return book, log, clock, build


@built_once
def described(*cables: str) -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with its supply described, and cables made by hand."""
    book, log, clock, build = filled()
    led(FirstPowerFlow(book, build), [*POWER, "Larkspur 850 ATX3", ", ".join(cables) or "none"])
    return book, log, clock, build


@built_once
def supplied() -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with the voltages of the supply read and declared done, and the pump's cautions answered."""
    book, log, clock, build = described()
    led(FirstPowerFlow(book, build), [PLUG, "", "", ""])
    return book, log, clock, build


@built_once
def watching() -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with the pump running and three joints to watch."""
    book, log, clock, build = supplied()
    led(FirstPowerFlow(book, build), [JOINTS, "", ""])
    return book, log, clock, build


@built_once
def watched() -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with its watch passed and the machine's cautions answered."""
    book, log, clock, build = watching()
    flow = FirstPowerFlow(book, build)
    for _ in range(3):
        clock.run(601)
        led(flow, ["all dry"])
    led(flow, ["off", "steady quiet", "ready", ""])
    return book, log, clock, build


@built_once
def closed(*lines: str) -> tuple[Logbook, ListLog, HandClock, str]:
    """The same with these lines typed at the machine, and the ladder judged."""
    book, log, clock, build = watched()
    led(FirstPowerFlow(book, build), [*(lines or ("speed 2 s 4700 rpm", "right 41 degC")), ""])
    return book, log, clock, build
