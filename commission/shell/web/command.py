"""``commission web``: opens the door on this computer alone, prints its address, and serves until Ctrl+C."""

from __future__ import annotations

import os
import select
import shlex
import socket
import sys

import click

from commission.base.errors import InputError
from commission.shell.console import say_now
from commission.shell.options import chosen_logbook, logbook_option, typed_units
from commission.shell.start import SERVED_BY


@click.command("web")
@logbook_option
@click.option("--port", type=click.IntRange(1024, 65535), help="The port to listen on; without it, any free one.")
@click.pass_context
def in_the_browser(context: click.Context, *, port: int | None) -> None:
    """Show the screens in a browser on this computer, and on no other.

    It prints an address with a key that is new each time. Whoever has it can read
    the logbook and write to it, until Ctrl+C. Each page is a window; one of them
    writes. Needs the extra web.

    \b
    Example:
      commission web
      commission web --port 8765 --logbook bench.logbook
    """
    from commission.shell.web.serving import refuse_without_extra, serve

    refuse_without_extra()
    if not hasattr(select, "poll"):
        raise InputError("commission web needs Linux or macOS: here a window could outlive it and keep the logbook")
    from commission.shell.web.door import Door, new_key
    from commission.ui.lifeline import Lifeline

    with _listening(port) as listening, Lifeline() as lifeline:
        door = Door(port=listening.getsockname()[1], key=new_key())
        say_now(f"open in a browser on this computer: {door.address}")
        say_now("Whoever has this address can read and write the logbook. Ctrl+C ends it, and every window with it.")
        serve(door, listening, window_command(), lifeline)
    context.exit(0)


def _listening(port: int | None) -> socket.socket:
    from commission.shell.web.door import LOOPBACK

    try:
        return socket.create_server((LOOPBACK, port or 0))
    except OSError as error:
        raise InputError(f"port {port} cannot be listened on ({error.strerror}); leave out --port") from error


def window_command() -> str:
    """Return the line for the shell that becomes one window: the same program, logbook and units, and no child of it.

    The window is told who serves it, so that it ends with that process. A page has every sign, whatever this terminal
    has.
    """
    logbook, units = chosen_logbook(), typed_units()
    return "exec " + shlex.join(
        [
            *("env", "PYTHONUTF8=1", f"{SERVED_BY}={os.getpid()}", sys.executable, "-m", "commission"),
            *(() if units is None else ("--units", units)),
            "ui",
            *(() if logbook is None else ("--logbook", str(logbook.absolute()))),
        ]
    )
