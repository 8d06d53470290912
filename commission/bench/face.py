"""What a stage shows of itself to bench, screens and commands: they know stages by their faces alone."""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.record.face import RecordFace
    from commission.record.logbook import Logbook


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopScreen:
    """A screen of the workshop that a stage brings along, such as its bottles."""

    name: str
    """By which it is called up."""
    title: str
    """How the list of all commands calls it."""
    told: str
    """What is on it, in a few words."""
    open: Callable[[Logbook], object]
    """Makes it; imports Textual only then."""


@dataclass(frozen=True, slots=True)
class Command:
    """A command of a stage, imported only when it is called."""

    target: str
    """Module and function, such as ``commission.stages.fill.shell.pour:pour``."""
    told: str
    """What it does, in one sentence."""

    def load(self) -> object:
        """Import it."""
        module, _, function = self.target.partition(":")
        return getattr(import_module(module), function)


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """One stage, as the bench, the screens and the commands see it. What is heavy is imported inside its functions."""

    id: str
    """Id of the stage in the procedure, and name of its screen."""
    record: Callable[[], RecordFace]
    """Loads what the record asks of it: its kinds, how they fold, what they say."""
    screen: Callable[[Logbook, str], object]
    """Makes its screen for a build, given by its id."""
    shop: tuple[ShopScreen, ...] = ()
    """Screens of the workshop that it brings along."""
    commands: Mapping[str, Command] = field(default_factory=dict)
    """Its commands by what is typed: ``pour``, or ``judge hold`` for one of a group."""


def face_of(faces: tuple[Face, ...], stage_id: str) -> Face | None:
    """Return the face of a stage, None where this program has no such stage."""
    return next((face for face in faces if face.id == stage_id), None)
