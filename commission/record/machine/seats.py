"""Headers of a board, chains of fans or a pump, and which chain sat on which header at what time."""

import math
import re
from collections.abc import Iterable
from enum import StrEnum

from commission.base.frozen import Frozen

START_FACTOR = 2.0
"""Start over steady current where no label gives it [1]; our own choice: the specification's limits give 1.47, up to
5 occurs without current limiting (common practice, no source)."""
UNKNOWN_RATING_MA = 1000
"""Rating of a header whose manual nobody has [mA]; our choice: the smallest that boards commonly print."""
SLOWEST_PUMP_RPM = 200.0
"""A pump that shows less has not started, or stands [rpm]; our choice: a rotor that only twitches shows some
tens, and a pump that runs at its slowest several times as much (from memory)."""

SLOW_PLATE = 0.4
"""Speed over nameplate at full duty below which nothing is passed [1]; our choice: one pulse a turn explains a half."""

FAST_PLATE = 1.2
"""Speed over nameplate above which a tach is not to be trusted, or the number was mistyped [1]; our choice: nameplates
are usually good to a tenth, and twice that is no tolerance."""


class Drive(StrEnum):
    """How the speed of a fan is set."""

    PWM = "pwm"
    VOLTAGE = "voltage"
    FIXED = "fixed"


class StopCause(StrEnum):
    """What can stop or starve a pump on a header, as its settings stand."""

    ZERO_DUTY = "a duty down to 0 %"
    FAN_STOP = "an automatic fan stop"
    SILENT_PROFILE = "a silent profile"
    VOLTAGE_MODE = "voltage mode"


class Feed(StrEnum):
    """Where the motor current of a chain comes from."""

    HEADER = "from the header"
    HUB = "from a powered hub"
    SUPPLY = "from the power supply, tach lead only on the header"


class Header(Frozen):
    """A plug for fans or a pump on the board or on a hub."""

    header_id: str
    """Made by the program; never shown."""
    name: str
    """Its label as printed."""
    pins: int
    """Pins of the plug, 3 or 4."""
    rating_ma: int
    """Largest current by the board's manual [mA]."""
    rating_assumed: bool
    """Whether the rating is a guess and not from the manual."""
    modes: tuple[Drive, ...]
    """Ways of driving that it can be set to."""
    set_to: Drive | None = None
    """How it is set; None where that is not known or automatic."""
    full_speed_lock: bool = False
    """Whether it is locked at full speed, so that no duty can stop a pump."""
    stops: tuple[StopCause, ...] = ()
    """What could still stop a pump on it."""
    place: str = ""
    """Where it sits, in the builder's words."""

    @property
    def may_stop_a_pump(self) -> bool:
        """Whether a pump on it could be stopped or starved."""
        return bool(self.stops) or not self.full_speed_lock


class Device(Frozen):
    """One fan or pump of a chain."""

    name: str
    """What the builder calls it."""
    wires: int
    """Wires of its lead, 2 to 4."""
    steady_ma: int
    """Current at 12 V and full speed, from its label [mA]."""
    start_ma: int | None = None
    """Current at start, from its label [mA]; None where the label gives none."""
    nameplate_rpm: float | None = None
    """Highest speed that its maker states [rpm]; None where not known."""
    pulses: int = 2
    """Tach pulses a revolution."""
    level_db: float | None = None
    """Sound level at full speed that its maker states [dB]; None where not known."""


class Reach(Frozen):
    """How much cable a chain needs to a header."""

    header: str
    """The header's label."""
    cable_cm: int
    """Length of cable [cm]."""


def names_a_pump(text: str) -> bool:
    """Return whether a name says that something is a pump.

    >>> names_a_pump("main pumps"), names_a_pump("pumpkin fans")
    (True, False)
    """
    return any(word.strip(".,:;()").rstrip("s") == "pump" for word in re.split(r"[\s_-]+", text.casefold()))


class Chain(Frozen):
    """Fans or a pump that share one plug."""

    chain_id: str
    """Made by the program; never shown."""
    name: str
    """What the builder calls it."""
    devices: tuple[Device, ...]
    """Its fans or its pump, in order from the plug."""
    drive: Drive
    """How its speed is meant to be set."""
    pump: bool = False
    """Whether it is a pump."""
    feed: Feed = Feed.HEADER
    """Where its motor current comes from."""
    reports: int | None = None
    """Which device reports the tach, from 1; None where none does."""
    zone: str = ""
    """Which part of the machine it serves."""
    reach: tuple[Reach, ...] = ()
    """Headers that its cable can reach; empty where nobody measured: then all."""
    control_wanted: bool = True
    """Whether its speed is to be controlled; not for a pump at full speed."""
    lowest_duty_pct: float | None = None
    """Lowest duty that the pump's maker allows [%]; None where none is stated."""

    @property
    def called_a_pump(self) -> bool:
        """Whether its name, or that of a device on it, says that it is a pump."""
        return names_a_pump(" ".join((self.name, *(device.name for device in self.devices))))

    @property
    def needs_header(self) -> bool:
        """Whether anything of it goes to a header: its current, its tach lead, or the lead that sets its speed."""
        return self.feed is not Feed.SUPPLY or self.reports is not None or self.control_wanted

    @property
    def steady_ma(self) -> int:
        """Current at full speed of all its devices [mA]."""
        return sum(device.steady_ma for device in self.devices)

    @property
    def header_steady_ma(self) -> int:
        """Current at full speed that the header itself gives [mA]; 0 where a hub or the supply feeds it."""
        return self.steady_ma if self.feed is Feed.HEADER else 0

    @property
    def start_known(self) -> bool:
        """Whether every label gives a current at start."""
        return all(device.start_ma is not None for device in self.devices)

    @property
    def start_told_ma(self) -> int:
        """Current at start as far as labels tell it: a device without such a label counts with its steady one [mA]."""
        return sum(device.start_ma or device.steady_ma for device in self.devices)

    def start_ma(self, factor: float = START_FACTOR) -> int:
        """Return the current when all its devices start together, with the factor where a label gives none [mA]."""
        return sum(
            math.ceil(device.steady_ma * factor) if device.start_ma is None else device.start_ma
            for device in self.devices
        )


class Move(Frozen):
    """A chain was plugged in, re-plugged or unplugged."""

    chain_id: str
    """Which chain."""
    header_id: str | None
    """On which header it sits from then on; None: on none."""
    at_ms: int
    """When that was seen [ms since 1970 UTC]."""
    seq: int = 0
    """Number of its entry."""
    why: str = ""
    """Why, in the builder's words."""
    overridden: str = ""
    """The reason for which a share or a guessed start current was let be; empty where nothing was."""


def seats(moves: Iterable[Move], *, at_ms: int | None = None) -> dict[str, str]:
    """Return which header each chain sat on.

    Parameters
    ----------
    moves
        All moves, in any order.
    at_ms
        The moment [ms since 1970 UTC]; None: after the last move.

    Returns
    -------
    dict
        Header by chain; chains that sat nowhere are left out.

    Examples
    --------
    >>> history = [
    ...     Move(chain_id="front", header_id="A", at_ms=1000),
    ...     Move(chain_id="front", header_id="B", at_ms=2000),
    ...     Move(chain_id="rear", header_id="A", at_ms=3000),
    ... ]
    >>> seats(history, at_ms=1500), seats(history)
    ({'front': 'A'}, {'front': 'B', 'rear': 'A'})
    """
    found: dict[str, str] = {}
    for move in sorted(moves, key=lambda move: (move.at_ms, move.seq)):
        if at_ms is not None and move.at_ms > at_ms:
            break
        found.pop(move.chain_id, None)
        if move.header_id is not None:
            found[move.chain_id] = move.header_id
    return found
