"""The job that the program is made for: its stages and its procedure, handed on from where the program starts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.bench.face import Face
    from commission.record.face import Registry


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Stages and procedure; nothing is loaded before it is asked for, since the first picture needs none of it."""

    stages: Callable[[], tuple[Face, ...]]
    """Returns the faces of the stages, in the order of the job."""

    def registry(self) -> Registry:
        """Return what a record is read with: each stage as the record sees it."""
        from commission.record.face import Registry

        return Registry(tuple(face.record() for face in self.stages()))
