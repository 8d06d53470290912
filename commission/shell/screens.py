"""``commission ui`` and ``commission demo``: the screens, on the logbook or on a private copy of the sample one."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission.shell.console import say
from commission.shell.groups import job_here
from commission.shell.options import asked_units, chosen_logbook, logbook_option
from commission.shell.start import open_screens, refuse_without_terminal, show_screens

if TYPE_CHECKING:
    from commission.bench.job import Job
    from commission.record.logbook import Logbook


@click.command("ui")
@logbook_option
@click.pass_context
def user_interface(context: click.Context) -> None:
    """Open the screens on the logbook; the same as no command at all.

    \b
    Example:
      commission ui --logbook bench.logbook
    """
    context.exit(open_screens(chosen_logbook(), job_here(), asked_units()))


ABOUT = "A sample workshop, all invented. Try anything: your own logbook is safe."
"""What the first screen says of itself."""


@click.command()
@click.option("--keep", is_flag=True, help="Keep the copy at the end, and print where it is.")
@click.option("--plain", "lines", is_flag=True, help="Line by line, without screens.")
@click.pass_context
def demo(context: click.Context, *, keep: bool, lines: bool) -> None:
    """Open the screens on a private copy of the sample logbook; nothing that you do there touches your own.

    A hold runs in it. The copy is deleted at the end.

    \b
    Example:
      commission demo
    """
    from commission.bootstrap import SAMPLE_COPY, sample_names

    if not lines:
        refuse_without_terminal()
    job, folder = job_here(), Path(tempfile.mkdtemp(prefix="commission-demo-"))

    def clear() -> None:
        if not keep:
            shutil.rmtree(folder, ignore_errors=True)

    def lost(status: int) -> None:
        clear()
        os._exit(status)

    try:
        if lines:
            status = _line_by_line(folder, job)
        else:
            status = show_screens(
                lambda: _sample(folder, job), sample_names(), job, units=asked_units(), about=ABOUT, end=lost
            )
    finally:
        clear()
    if keep:
        say(f"demo logbook: {folder / SAMPLE_COPY}")
    else:
        say("That was a sample logbook, and it is deleted; demo --keep keeps it. Your own: commission")
    context.exit(status)


def _sample(folder: Path, job: Job) -> Logbook:
    """Make the copy behind the first picture, and start in it what runs."""
    from commission.bootstrap import sample_logbook

    return sample_logbook(folder, job.registry(), [face.sample for face in job.stages()]).book


def _line_by_line(folder: Path, job: Job) -> int:
    """Work on the copy without screens."""
    from contextlib import closing

    from commission.shell.plain.command import work

    say(ABOUT)
    with closing(_sample(folder, job)) as book:
        return work(book, job)
