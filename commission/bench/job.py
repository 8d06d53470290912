"""The job that the program is made for: its stages and its procedure, handed on from where the program starts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.frozen import Frozen

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.bench.face import Face
    from commission.bootstrap import Opened
    from commission.record.face import Registry


def shipped_procedure() -> str:
    """Return the text of the procedure that ships with the program."""
    from commission.procedure.load import default_toml

    return default_toml()


class Job(Frozen):
    """Stages and procedure; nothing is loaded before it is asked for, since the first picture needs none of it."""

    stages: Callable[[], tuple[Face, ...]]
    """Returns the faces of the stages, in the order of the job."""
    procedure: Callable[[], str] = shipped_procedure
    """Returns the text of the procedure under which new builds are opened."""

    def registry(self) -> Registry:
        """Return what a record is read with: each stage as the record sees it."""
        from commission.record.face import Registry

        return Registry(tuple(face.record() for face in self.stages()))

    def open(self, path: Path | None, *, read_only: bool = False) -> Opened:
        """Open a logbook with these stages, the usual one where no path is given; raises as `open_logbook` does."""
        from commission.bootstrap import open_logbook

        return open_logbook(path, self.registry(), procedure=self.procedure(), read_only=read_only)
