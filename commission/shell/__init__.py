"""The commands: they parse what was typed, call the logbook or the judge, and print one fact a line.

Exit status: 0 done; 2 a usage, file or logbook error, or an output that could not be written, with one line on standard
error; 70 a fault of the program; 130 ended by Ctrl-C; 141 nobody reads the output any more; from the screens also 129
the terminal or the parent went away, 143 told to end. ``judge`` and ``close`` add 1 fail, 3 inconclusive and 4 invalid;
``verify`` adds 1 not sound; ``calc headspace`` adds 1 liquid-full.
"""

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commission.bench.job import Job


def run(job: "Job") -> None:
    """Run the command that was typed for a job and end the process with its exit status."""
    from commission.shell.console import FAULT, leave, ready_streams, tell_fault

    ready_streams()
    status = FAULT
    try:
        status = _status(sys.argv[1:], job)
    finally:
        if status == FAULT and (error := sys.exc_info()[1]) is not None:
            tell_fault(error)
        leave(status)


def _status(arguments: list[str], job: "Job") -> int:
    """Run the command; where none but the screens is asked for, open them past everything that parses commands."""
    if arguments in ([], ["ui"]):
        from commission.shell.console import status_of
        from commission.shell.start import logbook_of_environment, open_screens, units_asked_for

        return status_of(lambda: open_screens(logbook_of_environment(), job, units_asked_for(None)))
    from commission.shell.main import exit_status

    return exit_status(arguments, job)
