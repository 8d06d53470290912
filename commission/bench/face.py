"""What a stage shows of itself to bench, screens and commands: they know stages by their faces alone."""

from __future__ import annotations

from enum import IntEnum
from importlib import import_module
from typing import TYPE_CHECKING, Any

from commission.base.frozen import Frozen, field

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.bench.ask import Flow
    from commission.bench.card import Fact
    from commission.bench.chart import Chart
    from commission.bench.listing import Listing
    from commission.record.face import RecordFace
    from commission.record.fold import BuildState
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook


class Urgency(IntEnum):
    """What of all that runs is told first."""

    PUMP = 0
    """A pump runs alone: a leak does harm."""
    PRESSURE = 1
    """A loop is under test pressure."""
    WORK = 2
    """Work goes on at the builder's own pace."""


class Running(Frozen, kw_only=False):
    """Something that runs now in a build."""

    urgency: Urgency
    """How soon it is told."""
    told: str
    """What runs and what is due, in a few words."""


class Span(Frozen):
    """What may run from one entry to another, by the words of their kinds."""

    begun: tuple[str, ...]
    """After such an entry something may run."""
    ended: tuple[str, ...]
    """After such a one it does not."""


def _nothing(_book: Logbook, _state: BuildState) -> tuple[()]:
    return ()


def _no_sample(_book: Logbook, _behind: Callable[[float], None]) -> None:
    return None


def _nothing_beside(_flow: Flow) -> None:
    return None


def _not(_state: BuildState) -> bool:
    return False


def _no_words(*_what: object) -> str:
    return ""


def _no_time(_book: Logbook, _state: BuildState) -> float:
    return 0.0


class Key(Frozen):
    """A key that leads to a screen from wherever one is."""

    key: str
    """Such as ``f2``."""
    label: str
    """What it is called in the row of keys."""
    title: str
    """How the list of all commands calls where it leads."""
    told: str = ""
    """What is there, in a few words."""
    shown: bool = True
    """Whether it stands there."""


class ShopScreen(Frozen):
    """A screen of the workshop that a stage brings along, such as its bottles."""

    name: str
    """By which it is called up."""
    title: str
    """How the list of all commands calls it."""
    told: str
    """What is on it, in a few words."""
    flow: Callable[[Logbook], Flow]
    """Makes what is asked on it, without a screen."""
    key: Key | None = None
    """The key that leads to it; None where there is none."""


class ByName(Frozen, kw_only=False):
    """A function or class of a stage, imported only when it is called: the list of all commands imports none."""

    target: str
    """Module and name, such as ``commission.stages.fill.shell.pour:pour``."""

    def load(self) -> Any:
        """Import it."""
        module, _, name = self.target.partition(":")
        return getattr(import_module(module), name)

    def __call__(self, *given: object) -> Any:
        """Call it."""
        return self.load()(*given)


class Command(ByName, kw_only=False):
    """A command of a stage."""

    told: str
    """What it does, in one sentence."""


class Start(Frozen):
    """A line among the builds that starts one with a stage prepared, as it was understood."""

    told: str
    """The line as understood, ready to read."""
    do: Callable[[], str]
    """Stores it, and returns the id of the new build."""


class Starter(Frozen):
    """A word among the builds by which a stage starts one."""

    example: str
    """A whole line, such as it is typed."""
    start: Callable[[Logbook, str], Start]
    """Reads what stands behind the word; raises InputError or NotAllowed where it cannot be done."""


class Face(Frozen):
    """One stage, as the bench, the screens and the commands see it. Its functions import what they need when called."""

    id: str
    """Id of the stage in the procedure, and name of its screen."""
    record: Callable[[], RecordFace]
    """Loads what the record asks of it: its kinds, how they fold, what they say."""
    flow: Callable[[Logbook, str], Flow]
    """Makes what is asked and shown of a build, without a screen."""
    beside: Callable[[Flow], object] = _nothing_beside
    """Makes what stands beside the card of such a flow, a ``Beside`` of the screens; imports Textual only then."""
    key: Key | None = None
    """The key that leads to its screen in the build that is open; None where there is none."""
    shop: tuple[ShopScreen, ...] = ()
    """Screens of the workshop that it brings along."""
    commands: Mapping[str, Command] = field(default_factory=dict)
    """Its commands by what is typed: ``amount``, or ``judge hold`` for one of a group."""
    renamed: Mapping[str, str] = field(default_factory=dict)
    """Names that its commands once had, each with the name of today."""
    rows: Callable[[Logbook, BuildState], Iterable[Fact]] = _nothing
    """What ``show`` prints of it for a build, a fact a line."""
    charts: Callable[[Logbook, BuildState], Iterable[Chart]] = _nothing
    """Its pictures for the report of a build."""
    listings: Callable[[Logbook, BuildState], Iterable[Listing]] = _nothing
    """Its tables for the report of a build: what its facts do not tell one by one."""
    decides: str = ""
    """By which rule its verdict is given, for the report."""
    shows: tuple[str, str] = ("", "")
    """The fact that stands for it where a report begins, a ``#`` for its attempt, and the words before that."""
    spans: tuple[Span, ...] = ()
    """When something of it may run: only then is a build asked for that."""
    running: Callable[[Logbook, BuildState], Iterable[Running]] = _nothing
    """What of it runs now in a build."""
    at_once: Callable[[BuildState], str] = _no_words
    """What a build needs before all else since it is under pressure or a pump runs; empty where it is not."""
    needs: Callable[[Logbook, BuildState, StageState | None], str] = _no_words
    """What a build needs for it, whose turn it is being given; empty where the word of the ladder says it."""
    takes: Callable[[Logbook, BuildState], float] = _no_time
    """The least time that it takes in a build from its beginning to its end [s]; 0 where nothing sets one."""
    under_way: str = "its end"
    """What it needs once it was begun."""
    starters: Mapping[str, Starter] = field(default_factory=dict)
    """Words among the builds by which it starts one, prepared in one line."""
    sample: Callable[[Logbook, Callable[[float], None]], None] = _no_sample
    """Writes into the sample logbook what of it runs while that is shown; the second sets its clock back by seconds."""
    heavy: tuple[str, ...] = ()
    """Modules that take long to import: they are loaded beforehand, when nobody types."""
    opens_first: Callable[[BuildState], bool] = _not
    """Whether a build is opened at its screen, whoever's turn it is."""


NO_SUCH_STAGE = "this version has no such stage; open the logbook with the one that recorded it"
"""Told of a stage that the log names and this program does not have."""


def face_of(faces: tuple[Face, ...], stage_id: str) -> Face | None:
    """Return the face of a stage, None where this program has no such stage."""
    return next((face for face in faces if face.id == stage_id), None)
