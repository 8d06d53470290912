"""How one person likes the program: its colours, whether it rings, and in which units; kept beside the logbook."""

import json
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from commission.base.errors import InputError
from commission.base.text import clean, fold
from commission.units.chosen import Chosen, read_units, told, use_units

if TYPE_CHECKING:
    from textual.app import App

    from commission.bench.clock_times import ClockTimes
    from commission.bench.unsent_kept import Beside

FLASH_S = 1.0
"""How long the title line stands reversed when something falls due [s]; our choice: long enough to be seen from the
corner of the eye."""
FLASH_CLASS = "-flash"
LONGEST_TITLE = 60
"""Characters of the terminal's title; our choice: what a tab or a window list shows of it."""


class Looks:
    """Theme, bell and units as they were chosen last; what cannot be read counts as not chosen.

    Parameters
    ----------
    beside
        Keeps them until the next start; None: nobody does.
    usual
        The theme that suits the terminal, for as long as none was chosen.
    """

    def __init__(self, beside: "Beside | None" = None, *, usual: str = "") -> None:
        self._beside = beside
        self.theme = usual
        """Name of the theme; empty: dark."""
        self.bell = True
        """Whether it rings when something falls due."""
        self.units = Chosen()
        """In which units amounts are shown."""
        self._due = ""
        self._titled = ""
        self._load()

    def choose(self, *, theme: str | None = None, bell: bool | None = None, units: Chosen | None = None) -> None:
        """Keep another choice; what another window or command chose since stays."""
        self._load()
        self.theme = self.theme if theme is None else theme
        self.bell = self.bell if bell is None else bell
        self.units = self.units if units is None else units
        if self._beside is not None:
            kept = {"theme": self.theme, "bell": self.bell, "units": self.units.text}
            self._beside.save(json.dumps(kept))

    def show_in(self, units: Chosen) -> str:
        """Show every amount in these units from now on, keep that, and return it in a line."""
        self.choose(units=units)
        use_units(units, of_bare=True)
        return told(units)

    def _load(self) -> None:
        kept: object = None
        with suppress(ValueError):
            kept = json.loads(self._beside.load()) if self._beside is not None else None
        if isinstance(kept, dict):
            theme, bell, units = kept.get("theme"), kept.get("bell"), kept.get("units")
            self.theme = theme if isinstance(theme, str) else self.theme
            self.bell = bell if isinstance(bell, bool) else True
            self.units = _units_of(units) if isinstance(units, str) else self.units

    def tell(self, app: "App[Any]", times: "ClockTimes | None", where: str) -> None:
        """Ring and flash once when something falls due, and let the terminal's title run with the clock.

        Parameters
        ----------
        times
            What the clock of the screen says; None where none runs.
        where
            What runs, such as the name of the build.
        """
        due = falls_due(times)
        if due and due != self._due:
            app.add_class(FLASH_CLASS)
            app.set_timer(FLASH_S, lambda: app.remove_class(FLASH_CLASS))
            if self.bell:
                app.bell()
        self._due = due
        self._entitle(app, running_title(times, where))

    def _entitle(self, app: "App[Any]", title: str) -> None:
        """Write the title of the terminal's window, where it changed and where there is a terminal (OSC 2, xterm)."""
        driver = app._driver  # Textual has no other way to a terminal's title
        if title == self._titled or driver is None or driver.is_headless:
            return
        self._titled = title
        driver.write(f"\x1b]2;{title or 'commission'}\x07")
        driver.flush()


def _units_of(text: str) -> Chosen:
    """Return the units that a kept text names; none where it is no such text."""
    with suppress(InputError):
        return read_units(text)
    return Chosen()


def falls_due(times: "ClockTimes | None") -> str:
    """Return what is due now, in a word that changes with what it is; empty where nothing is."""
    if times is None:
        return ""
    if times.ends_in_s is not None and times.ends_in_s <= 0:
        return "end"
    return times.what if times.due_in_s is not None and times.due_in_s <= 0 else ""


def running_title(times: "ClockTimes | None", where: str) -> str:
    """Return what the terminal's title says of a running clock, in ASCII without control characters.

    >>> from commission.bench.clock_times import ClockTimes
    >>> running_title(ClockTimes(elapsed_s=725, due_in_s=100, ends_in_s=1675), "Blue Heron")
    '12:05 of 40:00 - next reading in 1:40 - Blue Heron'
    """
    if times is None:
        return ""
    from commission.bench.clock_times import clock_text

    elapsed, end, due = times.elapsed_s, times.ends_in_s, falls_due(times)
    run = clock_text(elapsed) if end is None else f"{clock_text(elapsed)} of {clock_text(elapsed + end)}"
    following = f"next {times.what} in {clock_text(times.due_in_s)}" if times.due_in_s is not None else ""
    what = f"{due.upper()} DUE" if due else following
    return fold(clean(" - ".join(part for part in (run, what, where) if part)))[:LONGEST_TITLE]
