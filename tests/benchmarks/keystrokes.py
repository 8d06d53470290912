"""How many keys the quick ways to a first stored reading take, typed into the real program one by one.

Run it by hand: ``python -m tests.benchmarks.keystrokes``; it ends with 1 where one takes more than its aim.

* a quick hold, from an empty logbook with volume, gauge, pressure and the lowest rating: limit 90
* a second build like the first, from the list of builds: limit 50
* another hold of the same loop, from the let-down of the one before: limit 40 (our choice: the cautions are most of it)

Each caution is answered by itself, each step is reported, and the source is said to be off: nothing is left out.
"""

import asyncio
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from textual.pilot import Pilot

from commission.__main__ import job
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.ui.app import CommissionApp
from commission.ui.screens.home import HomeScreen
from tests.answers import HOLD, HOLD_AGAIN
from tests.fakes import HandClock, new_book

STEPS = ("", "", "")
"""Reports of the three steps: connect, pump up, shut off."""
QUICK = ("Ada", "quick North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar", *HOLD, *STEPS, "1", "400")
"""A hold from an empty logbook."""
LIKE = ("South", "yes", "like North", "", *HOLD, *STEPS, "1", "400")
"""A second build, from the list of builds."""
AGAIN = ("", "0", "again", "", *HOLD_AGAIN, *STEPS, "1", "400")
"""The hold is ended, let down, and begun again."""
WAYS = {"quick hold": QUICK, "like": LIKE, "again": AGAIN}
LIMITS = {"quick hold": 90, "like": 50, "again": 40}


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to a stored reading."""

    name: str
    keys: int
    """Keys that were pressed, Enter among them."""
    readings: int
    """Readings that are stored in the hold that runs at its end."""


async def ways() -> list[Way]:
    """Return the ways, each typed into the program behind the one before."""
    book, _, clock = new_book()
    app = CommissionApp(lambda: book, job=job(), warm=lambda _: None)
    async with app.run_test(size=(80, 24)) as pilot:
        while not (isinstance(app.screen, HomeScreen) and app.screen.opened):
            await pilot.pause(0.01)
        return [await _way(pilot, book, clock, *one) for one in WAYS.items()]


async def _way(pilot: Pilot[None], book: Logbook, clock: HandClock, name: str, lines: Sequence[str]) -> Way:
    keys = 0
    if name == "like":
        await pilot.press("escape")
    if name == "again":
        await _held(pilot, clock)
    for line in lines:
        for key in (*line, "enter"):
            await pilot.press({" ": "space", ".": "full_stop"}.get(key, key))
            keys += 1
    return Way(name=name, keys=keys, readings=_readings(book))


async def _held(pilot: Pilot[None], clock: HandClock) -> None:
    """Let the hold that runs go to its end, with a reading each time the clock asks."""
    for _ in range(11):
        clock.run(300)
        await pilot.press(*"400", "enter")


def _readings(book: Logbook) -> int:
    running = [hold_of(book.build(row.build_id)) for row in book.builds()]
    return sum(len(hold.readings) for hold in running if hold.running)


def main() -> int:
    """Print the keys of each way, and return 1 where one takes too many."""
    found = asyncio.run(ways())
    for way in found:
        print(f"{way.name}: {way.keys} keys to the first stored reading, aim {LIMITS[way.name]}")
    return int(any(way.keys > LIMITS[way.name] for way in found))


if __name__ == "__main__":
    sys.exit(main())
