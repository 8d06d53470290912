"""Which chain goes on which header: the question, the rules, and the answer. Currents and costs are whole numbers."""

import math
from collections import Counter
from enum import StrEnum

from commission.base.board_range import MOST_MA
from commission.base.frozen import Frozen
from commission.base.quantity import Phrase
from commission.record.machine.seats import START_FACTOR, Drive, Reach

MOST_CHAINS = 12
"""Chains up to which every layout can be looked at in seconds; the work grows threefold with each; our choice: the
search stays within seconds."""
MOST_HEADERS = 24
"""Headers beyond which a list is a slip; our choice: more than any board with two hubs."""
MOST_DEVICES = 64
"""Devices on one plug beyond which a number is a slip; our choice: more than any hub has."""
MOST_COST = 100_000
"""Cable or penalty beyond which a figure is a slip [cm]; our choice: a kilometre of cable."""


class LayoutHeader(Frozen):
    """What a layout must know of a header."""

    name: str
    """Its label."""
    rating_ma: int
    """Largest current [mA]."""
    modes: tuple[Drive, ...]
    """Ways of driving that it can be set to."""
    full_speed_lock: bool = False
    """Whether nothing on it can stop a pump."""


class LayoutChain(Frozen):
    """What a layout must know of a chain."""

    name: str
    """Its name."""
    drive: Drive
    """How its speed is set."""
    steady_ma: int
    """Current from the header at full speed [mA]."""
    start_ma: int | None = None
    """Current from the header at start [mA]; None where no label gives it."""
    pump: bool = False
    """Whether it is a pump whose motor the header drives, itself or through a hub."""
    alone: bool = False
    """Whether nothing else may sit beside it; so it is for every pump."""
    control_wanted: bool = True
    """Whether its speed is to be controlled, so that the header must offer its drive."""
    fans: int = 1
    """Devices that share its plug."""
    reach: tuple[Reach, ...] = ()
    """Headers that its cable reaches; empty: all, at no cost."""


class Seat(Frozen):
    """A chain on a header, by their names."""

    chain: str
    """The chain."""
    header: str
    """The header."""


class LayoutProblem(Frozen):
    """A question for the best layout."""

    headers: tuple[LayoutHeader, ...]
    """Headers to choose among, in any order."""
    chains: tuple[LayoutChain, ...]
    """Chains to place, in any order."""
    share_penalty: int = 0
    """Cost of each chain that joins another on a header [cm of cable]."""
    steady_percent: int = 80
    """Share of a rating that steady currents may take [%]; our own choice."""
    start_factor: float = START_FACTOR
    """Start over steady current where no label gives it [1]."""
    start_override: bool = False
    """Whether start currents that no label tells are let be: they then count as the steady ones."""
    barred: tuple[Seat, ...] = ()
    """Seats that a sweep showed not to work."""
    now: tuple[Seat, ...] = ()
    """Where chains sit now; only used with a penalty."""
    move_penalty: int = 0
    """Cost of each chain that must be re-plugged [cm of cable]."""

    def start_of(self, chain: LayoutChain) -> int:
        """Return a chain's current at start, by the factor where no label gives it and it is not let be [mA]."""
        if chain.start_ma is not None:
            return chain.start_ma
        return chain.steady_ma if self.start_override else math.ceil(chain.steady_ma * self.start_factor)


class Rule(StrEnum):
    """Why a chain cannot sit on a header."""

    DRIVE = "drive not offered"
    PUMP = "can stop the pump"
    STEADY = "steady current"
    START = "start current"
    REACH = "out of reach"
    BARRED = "sweep failed there"


class Refusal(Frozen):
    """A seat that is impossible even with nothing else on the header, and the rule that forbids it."""

    chain: str
    """The chain."""
    header: str
    """The header."""
    rule: Rule
    """The rule; where several forbid it, the gravest."""
    why: Phrase
    """The rule with its figures."""


class Load(Frozen):
    """What sits on a header and draws from it."""

    header: str
    """The header."""
    chains: tuple[str, ...]
    """Chains on it, by name."""
    steady_ma: int
    """Their currents at full speed [mA]."""
    start_ma: int
    """Their currents when all start together [mA]."""
    rating_ma: int
    """The header's rating [mA]."""


class Layout(Frozen):
    """One way to plug everything in."""

    cost: int
    """Cable and penalties [cm]."""
    seats: tuple[Seat, ...]
    """Where each chain sits, by name of chain."""
    loads: tuple[Load, ...]
    """What each used header carries, by name of header."""


class Change(StrEnum):
    """Something outside the layout that would make it possible."""

    LOCK = "lock at full speed"
    CABLE = "longer cable"
    START = "override of start current"
    RATING = "larger rating"
    MODE = "another mode"
    FEED = "feed from elsewhere"


class Relaxation(Frozen):
    """The least that would have to change where no layout is possible."""

    changes: tuple[Change, ...]
    """What changes."""
    header: str
    """At which header; empty where chains are fed from elsewhere."""
    chains: tuple[str, ...]
    """Chains that would sit there, or be fed from elsewhere."""
    rating_ma: int | None
    """Rating that would be needed [mA]; None where the rating is enough."""
    what: Phrase
    """The same as a sentence."""


class LayoutAnswer(Frozen):
    """The best layouts, or why there is none."""

    optima: tuple[Layout, ...]
    """Layouts of least cost, the preferred first; at most some dozens of them. Empty where none is possible."""
    optima_count: int
    """How many layouts have the least cost."""
    runner_up: Layout | None
    """The best layout of the next cost; None where there is none."""
    refusals: tuple[Refusal, ...]
    """Seats that are impossible, each with its rule."""
    relaxations: tuple[Relaxation, ...]
    """Where no layout is possible: what would make one possible, the smallest first."""
    notes: tuple[Phrase, ...]
    """What the numbers do not say."""

    @property
    def best(self) -> Layout | None:
        """The preferred layout; None where none is possible."""
        return self.optima[0] if self.optima else None

    @property
    def status(self) -> str:
        """``optimal`` or ``infeasible``."""
        return "optimal" if self.optima else "infeasible"


def complaints(problem: LayoutProblem) -> tuple[str, ...]:
    """Return what is wrong with a question, in sentences; empty where it can be asked.

    Examples
    --------
    >>> header = LayoutHeader(name="A", rating_ma=0, modes=(Drive.PWM,))
    >>> complaints(LayoutProblem(headers=(header,), chains=()))
    ('there is no chain to place', 'header "A": a rating of 0 mA is outside 1 to 20000')
    """
    found = []
    if not problem.headers:
        found.append("there is no header")
    if not problem.chains:
        found.append("there is no chain to place")
    if len(problem.headers) > MOST_HEADERS:
        found.append(f"there are {len(problem.headers)} headers; up to {MOST_HEADERS} can be looked at")
    if len(problem.chains) > MOST_CHAINS:
        found.append(f"there are {len(problem.chains)} chains; up to {MOST_CHAINS} can be looked at: ask zone by zone")
    found += _repeated("header", [header.name for header in problem.headers])
    found += _repeated("chain", [chain.name for chain in problem.chains])
    known = {header.name for header in problem.headers}
    for header in problem.headers:
        found += _of_header(header)
    for chain in problem.chains:
        found += _of_chain(chain, known)
    for word, value in (("share_penalty", problem.share_penalty), ("move_penalty", problem.move_penalty)):
        if not 0 <= value <= MOST_COST:
            found.append(f"a {word} of {value} is outside 0 to {MOST_COST}")
    return tuple(found)


def _repeated(kind: str, names: list[str]) -> list[str]:
    return [f'{kind} "{name}" stands twice; give each its own name' for name, n in Counter(names).items() if n > 1]


def _of_header(header: LayoutHeader) -> list[str]:
    found = []
    if not 1 <= header.rating_ma <= MOST_MA:
        found.append(f'header "{header.name}": a rating of {header.rating_ma} mA is outside 1 to {MOST_MA}')
    if not header.modes:
        found.append(f'header "{header.name}": it offers no mode; name pwm, voltage or fixed')
    return found


def _of_chain(chain: LayoutChain, known: set[str]) -> list[str]:
    whose = f'chain "{chain.name}"'
    found = []
    if not 0 <= chain.steady_ma <= MOST_MA:
        found.append(f"{whose}: a steady current of {chain.steady_ma} mA is outside 0 to {MOST_MA}")
    if chain.start_ma is not None and not chain.steady_ma <= chain.start_ma <= MOST_MA:
        found.append(f"{whose}: a start current of {chain.start_ma} mA is not between steady current and {MOST_MA}")
    if not 1 <= chain.fans <= MOST_DEVICES:
        found.append(f"{whose}: {chain.fans} devices are outside 1 to {MOST_DEVICES}")
    for reach in chain.reach:
        if reach.header not in known:
            found.append(f'{whose}: there is no header "{reach.header}" to measure cable to')
        if not 0 <= reach.cable_cm <= MOST_COST:
            found.append(f"{whose}: a cable of {reach.cable_cm} cm is outside 0 to {MOST_COST}")
    return found + _repeated(f"{whose}: cable to header", [reach.header for reach in chain.reach])
