"""The way in: ``python -m commission`` and the ``commission`` command."""

import sys
from contextlib import suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commission.bench.face import Face
    from commission.bench.job import Job


def main() -> None:
    """Answer ``--version`` before anything is imported; hand everything else to the command line."""
    if sys.argv[1:] == ["--version"] and sys.stdout is not None:
        from commission import __version__

        with suppress(OSError):  # where the output is full or nobody reads it, the command line ends it truthfully
            sys.stdout.write(f"commission {__version__}\n")
            sys.stdout.flush()
            return
    from commission.shell import run

    run(job())


def job() -> "Job":
    """Return what the program is made for: all stages, which are loaded only where one is needed."""
    from commission.bench.job import Job

    return Job(stages=_stages)


def _stages() -> "tuple[Face, ...]":
    from commission.stages.every import STAGES

    return STAGES


if __name__ == "__main__":
    main()
