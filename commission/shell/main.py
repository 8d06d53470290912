"""The top command, and the end of every command: errors as one line, and the exit status."""

from collections.abc import Sequence

import click

from commission import __version__
from commission.bench.job import Job
from commission.shell.console import INTERRUPTED, USAGE, complain, status_of
from commission.shell.groups import Commands, job_here, own
from commission.shell.options import asked_units, chosen_logbook, logbook_option, units_option
from commission.shell.start import open_screens
from commission.units.chosen import Chosen, use_units

FIRST = {
    "ui": own("screens", "user_interface", "Open the screens; the same as no command."),
    "plain": own("plain.command", "plain", "Work line by line, without screens."),
    "web": own("web.command", "in_the_browser", "Show the screens in a browser on this computer."),
    "demo": own("screens", "demo", "Open the screens on a copy of the sample logbook."),
    "open": own("opening", "open_build", "Open a new build."),
    "like": own("opening", "like", "Copy parts list and plan of another build."),
    "operator": own("opening", "operator", "Name whoever works from now on."),
    "judge": own("judge", "judge", "Judge readings in files, without a logbook."),
    "calc": own("calc", "calc", "Work out one figure, without a logbook."),
}
"""Commands before those of the stages."""

LAST = {
    "defect": own("defect", "defect", "Record a leak, spill, smoke or burst, at any stage."),
    "repaired": own("defect", "repaired", "Record what was done about a defect."),
    "note": own("opening", "note", "Write down something worth remembering."),
    "withdraw": own("withdraw", "withdraw", "Withdraw a wrong entry, with a reason."),
    "put-away": own("put_away", "put_away", "Leave a build out of the list on the screen."),
    "bring-back": own("put_away", "bring_back", "List a build again that was put away."),
    "units": own("units", "units", "Show or choose the units that amounts are shown in."),
    "list": own("list_builds", "list_builds", "List the builds and where each stands."),
    "show": own("builds", "show", "Show one build as plain lines."),
    "report": own("report", "report", "Write a report of one build to a file."),
    "rests": own("rests", "rests_on", "Print what each proof rests on, and what undoes it."),
    "verify": own("verify", "verify", "Check whether the record is sound."),
    "export": own("exchange", "export_record", "Write the whole record to a file, or as tables."),
    "merge": own("exchange", "merge", "Take what another logbook has more into this one."),
    "copy": own("exchange", "copy", "Copy the logbook to a new file, checked."),
    "import": own("exchange", "import_record", "Make a new logbook from an exported file."),
}
"""Commands behind them."""


@click.group(
    cls=Commands,
    first=FIRST,
    last=LAST,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Without a command the screens open. Every command answers --help with an example.",
)
@logbook_option
@units_option
@click.version_option(__version__, prog_name="commission", message="%(prog)s %(version)s")
@click.pass_context
def commission(context: click.Context) -> None:
    """Logbook for bringing up a liquid-cooled PC: leak test, fill, bleed, power, fans, soak.

    You type what you see. It does the sums and says PASS, FAIL or "cannot tell", and why. It switches nothing.

    \b
    Exit status: 0 done, 2 a usage, file or logbook error, 70 a fault of the
                 program, 130 ended by Ctrl-C, 141 nobody reads the output.
                 judge, calc, end-hold and verify tell more: see their help.

    \b
    Example:
      commission                              the screens, on your logbook
      commission --plain                      the same, line by line
      commission judge hold hold.csv --volume "1.2 L"
      commission --logbook bench.db list
    """
    if context.invoked_subcommand is None:
        context.exit(open_screens(chosen_logbook(), job_here(), asked_units()))


def exit_status(arguments: Sequence[str], job: Job) -> int:
    """Run a command line for a job and return its exit status; errors that a person can mend become one line.

    click's own ending is not used: it would turn a closed pipe into status 1, which here means that a hold failed.
    """
    return status_of(lambda: _run(arguments, job))


def _run(arguments: Sequence[str], job: Job) -> int:
    try:
        with commission.make_context("commission", _plain_first(arguments), obj=job) as context:
            if "--json" in arguments:  # programs read the texts in it, too
                use_units(Chosen())
            commission.invoke(context)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.Abort:
        return INTERRUPTED
    except click.UsageError as error:
        return _usage_error(error)
    except click.ClickException as error:
        complain(error.format_message())
        return USAGE
    finally:
        use_units(Chosen())
    return 0


def _plain_first(arguments: Sequence[str]) -> list[str]:
    """Return the arguments with ``--plain`` as the command that it stands for; behind a command it is that one's."""
    at = 0
    while at < len(arguments) and arguments[at].partition("=")[0] == "--logbook":
        at += 1 if "=" in arguments[at] else 2
    typed = list(arguments)
    if typed[at : at + 1] == ["--plain"]:
        typed[at] = "plain"
    return typed


def _usage_error(error: click.UsageError) -> int:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        error.show()
        return USAGE
    path = error.ctx.command_path if error.ctx is not None else "commission"
    complain(f'{" ".join(error.format_message().split()).rstrip(".")}; see "{path} --help"')
    return USAGE
