"""A sweep from a file: duty and speed as columns, what is known of the fan in comment lines."""

from collections.abc import Mapping, Sequence
from typing import TypeVar

from commission.base.board_range import MOST_SWEEP_RPM
from commission.base.frozen import Frozen
from commission.base.text import FreeLine
from commission.instruments.header_row import in_our_headings
from commission.instruments.steps import step_of
from commission.instruments.table_csv import Heading, Table, TableRow, number_of, read_table, word_of
from commission.instruments.text_lines import Source
from commission.record.machine.seats import Drive, Feed
from commission.stages.fan_headers.model.sweep import FULL_PCT, Direction, Rotation, Sweep, SweepReading, SweepSetup

COLUMNS = (
    Heading(name="duty", units=("%",)),
    Heading(name="speed", units=("rpm", "1/min")),
    Heading(name="direction", needed=False),
    Heading(name="sample", needed=False),
)
"""Columns of a sweep; an empty speed is a reading that failed."""
SETTINGS = (
    "nameplate", "display step", "wires", "mode", "feed", "fans", "pump", "turning", "fault", "full speed wanted",
    "outcome", "word",
)  # fmt: skip
"""Words before the colon of a comment line that set something."""
RENAMED = {"verdict": "outcome (pass, fail, ...) or word (controlled, ...)"}
"""Words that once stood there, each with the one of today."""

ENOUGH_SPEEDS = 8
"""Different speeds from which on their differences tell the step of the display."""
COUNTING_STEP = 30.0
"""Step of a chip that counts for a second, 60/(2·1 s) [rpm]. Source: Linux drivers/hwmon/pwm-fan.c, commit 01695410."""

_Word = TypeVar("_Word", bound=str)

_YES_NO = {"yes": "yes", "no": "no"}
_MODES = {"pwm": Drive.PWM, "voltage": Drive.VOLTAGE, "dc": Drive.VOLTAGE, "fixed": Drive.FIXED}
_FEEDS = {"header": Feed.HEADER, "hub": Feed.HUB, "supply": Feed.SUPPLY}
_TURNING = {"yes": Rotation.SEEN, "no": Rotation.NOT_SEEN, "not asked": Rotation.NOT_ASKED}
_WAYS = {"down": Direction.DOWN, "up": Direction.UP}


class SweepFile(Frozen):
    """One sweep as a file gives it."""

    sweep: Sweep
    """The readings in the order of the file."""
    setup: SweepSetup
    """What its comment lines tell, and the step of its speeds."""
    outcome: str
    """The outcome that it must give; for tests, never used to judge. Empty where it does not say."""
    word: str
    """The word that it must give, likewise."""
    comments: tuple[FreeLine, ...] = ()
    """What its other comment lines say."""


def read_sweep(source: Source, *, pump: bool = False, columns: str = "") -> SweepFile:
    r"""Return the sweep that a file holds.

    Parameters
    ----------
    source
        Its path, ``-`` for standard input, its bytes, or its lines one by one.
    pump
        Whether it is a pump whatever the file says.
    columns
        Which column is which where it has headings of its own; empty where it has ours.

    Returns
    -------
    SweepFile
        All rows in their order; nothing is left out or filled in. A pump is meant to run at full speed unless a line
        says ``full speed wanted: no``.

    Raises
    ------
    FileError
        If anything in it cannot be read; one line that names line and field and what to do.

    Examples
    --------
    >>> file = read_sweep(b"# nameplate: 1500 rpm\nduty [%],speed [rpm]\n100,1480\n80,1190\n60,\n")
    >>> [(reading.duty_pct, reading.rpm) for reading in file.sweep.readings], file.setup.nameplate_rpm
    ([(100.0, 1480.0), (80.0, 1190.0), (60.0, None)], 1500.0)
    """
    table = read_table(in_our_headings(source, columns) if columns else source, COLUMNS, SETTINGS, RENAMED)
    decimals = [0]
    readings = tuple(_reading(row, decimals) for row in table.rows)
    running = [reading.rpm for reading in readings if reading.rpm]
    step = _setting(table, "display step")
    pump = pump or _word(table, "pump", _YES_NO) == "yes"
    full = _word(table, "full speed wanted", _YES_NO)
    setup = SweepSetup(
        step_rpm=step if step is not None else step_shown(running, max(decimals)),
        nameplate_rpm=_setting(table, "nameplate"),
        wires=_wires(table),
        mode=_word(table, "mode", _MODES),
        feed=_word(table, "feed", _FEEDS) or Feed.HEADER,
        fans=_fans(table),
        pump=pump,
        control_wanted=full == "no" or (full is None and not pump),
    )
    sweep = Sweep(
        readings=readings,
        rotation=_word(table, "turning", _TURNING) or Rotation.NOT_ASKED,
        fault=_word(table, "fault", _YES_NO) == "yes",
    )
    outcome, word = table.setting("outcome"), table.setting("word")
    return SweepFile(sweep=sweep, setup=setup, outcome=outcome, word=word, comments=tuple(table.comments))


def step_shown(speeds: Sequence[float], decimals: int) -> float:
    """Return the step of a display from the speeds that it showed.

    Parameters
    ----------
    speeds
        Speeds above 0 [rpm].
    decimals
        Most digits after the decimal sign in any of them.

    Returns
    -------
    float
        The step [rpm]: from the digits, or from the differences where there are enough of them; at most 30 rpm, that
        of a chip that counts two pulses a turn for one second. A few round speeds of a straight curve would otherwise
        look like a display with huge steps.

    Examples
    --------
    >>> step_shown([1500, 1200, 900, 750, 600, 450], 0), step_shown([1497, 1201, 899], 0)
    (10.0, 1.0)
    """
    if len(set(speeds)) >= ENOUGH_SPEEDS:
        return min(step_of(speeds, decimals, dial=True) or 1.0, COUNTING_STEP)
    tens = decimals == 0 and bool(speeds) and all(speed % 10 == 0 for speed in speeds)
    return 10.0 if tens else 10.0**-decimals


def _reading(row: TableRow, decimals: list[int]) -> SweepReading:
    cells, line = row.cells, row.line
    duty, _ = number_of(cells["duty"], line=line, name="duty", unit="%", low=0, high=FULL_PCT)
    rpm: float | None = None
    if cells["speed"]:
        rpm, places = number_of(cells["speed"], line=line, name="speed", unit="rpm", low=0, high=MOST_SWEEP_RPM)
        decimals.append(places)
    if cells.get("sample"):
        number_of(cells["sample"], line=line, name="sample", unit="", low=0, high=1e6)
    way = Direction.NOT_SAID
    if "direction" in cells:
        way = Direction(word_of(cells["direction"], dict(_WAYS), line=line, name="direction"))
    return SweepReading(duty_pct=duty, rpm=rpm, direction=way)


def _setting(table: Table, key: str) -> float | None:
    """Return a speed from a comment line; None where it stands in none."""
    found = table.settings.get(key)
    if found is None:
        return None
    return number_of(found[1], line=found[0], name=key, unit="rpm", low=0.001, high=MOST_SWEEP_RPM)[0]


def _wires(table: Table) -> int | None:
    found = table.settings.get("wires")
    if found is None:
        return None
    return int(word_of(found[1], {n: n for n in ("2", "3", "4")}, line=found[0], name="wires"))


def _fans(table: Table) -> int:
    line, text = table.settings.get("fans", (0, "1"))
    return int(number_of(text, line=line, name="fans", unit="", low=1, high=64)[0])


def _word(table: Table, key: str, words: Mapping[str, _Word]) -> _Word | None:
    found = table.settings.get(key)
    if found is None:
        return None
    told = word_of(found[1], {word: word for word in words}, line=found[0], name=key)
    return words[told]
