"""``commission ui`` and ``commission demo``: the screens, on the logbook or on a private copy of the sample one."""

import shutil
import tempfile
from pathlib import Path

import click

from commission.shell.console import say
from commission.shell.groups import job_here
from commission.shell.options import chosen_logbook, logbook_option
from commission.shell.start import open_screens, refuse_without_terminal, show_screens


@click.command("ui")
@logbook_option
@click.pass_context
def user_interface(context: click.Context) -> None:
    """Open the screens on the logbook; the same as no command at all.

    \b
    Example:
      commission ui --logbook bench.logbook
    """
    context.exit(open_screens(chosen_logbook(), job_here()))


@click.command()
@click.option("--keep", is_flag=True, help="Keep the copy at the end, and print where it is.")
@click.pass_context
def demo(context: click.Context, *, keep: bool) -> None:
    """Open the screens on a private copy of the sample logbook; nothing that you do there touches your own.

    The copy is deleted at the end.

    \b
    Example:
      commission demo
    """
    from commission.bootstrap import glance, sample_logbook

    refuse_without_terminal()
    folder = Path(tempfile.mkdtemp(prefix="commission-demo-"))
    opened = sample_logbook(folder, job_here().registry())
    status = show_screens(lambda: opened.book, glance(opened.path), job_here())
    if keep:
        say(f"demo logbook: {opened.path}")
    else:
        shutil.rmtree(folder, ignore_errors=True)
        say("That was a sample logbook, and it is deleted; demo --keep keeps it. Your own: commission")
    context.exit(status)
