"""The commands: they parse what was typed, call the logbook or the judge, and print one fact a line.

Exit status: 0 done; 2 a usage, file or logbook error, with one line on standard error; 130 ended by Ctrl-C; 141 nobody
reads the output any more. ``judge`` and ``close`` add 1 fail, 3 inconclusive and 4 invalid.
"""

import sys


def run() -> None:
    """Run the command that was typed and end the process with its exit status."""
    from commission.cli.console import leave, ready_streams
    from commission.cli.main import exit_status

    ready_streams()
    leave(exit_status(sys.argv[1:]))
