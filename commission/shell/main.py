"""The top command, and the end of every command: errors as one line, and the exit status."""

from collections.abc import Sequence
from importlib import import_module
from typing import ClassVar

import click

from commission import __version__
from commission.shell.console import INTERRUPTED, USAGE, complain, status_of
from commission.shell.options import chosen_logbook, logbook_option
from commission.shell.start import open_screens


class Commands(click.Group):
    """The commands by name; each is imported only when it is asked for: the screens and the help come quickly."""

    TABLE: ClassVar[dict[str, tuple[str, str, str]]] = {
        "ui": ("shell.screens", "user_interface", "Open the screens; the same as no command."),
        "demo": ("shell.screens", "demo", "Open the screens on a copy of the sample logbook."),
        "judge": ("stages.pressure_hold.shell.judge", "judge", "Judge readings in files, without a logbook."),
        "calc": ("shell.calc", "calc", "Work out one figure, without a logbook."),
        "watch": ("stages.fan_headers.shell.watch", "watch", "Print the speeds and temperatures of the board."),
        "feed": ("stages.pressure_hold.shell.feed", "feed", "Store readings from a pipe in a running hold."),
        "close": ("stages.pressure_hold.shell.close", "close", "End a running hold and judge it."),
        "rate": ("stages.build_sheet.shell", "rate", "Record the pressure rating of a part."),
        "let-down": ("stages.pressure_hold.shell.let_down", "let_down", "Record that the pressure is let down."),
        "bottle": ("stages.fill.shell.bottle", "bottle", "Keep bottles of coolant and water."),
        "pump-supply": (
            "stages.fill.shell.pump_supply",
            "pump_supply",
            "Record what powers the pump in fill and bleed.",
        ),
        "pour": ("stages.fill.shell.pour", "pour", "Record what went into a loop or out of it."),
        "finding": ("shell.fault", "finding", "Record a fault that was found."),
        "cure": ("shell.fault", "cure", "Record what was done about a fault."),
        "withdraw": ("shell.fault", "withdraw", "Withdraw a wrong entry, with a reason."),
        "list": ("shell.list_builds", "list_builds", "List the builds and where each stands."),
        "show": ("shell.builds", "show", "Show one build as plain lines."),
        "headers": ("stages.fan_headers.shell.headers", "headers", "Show what sits on which fan header, or sat there."),
        "verify": ("shell.verify", "verify", "Check whether the record is sound."),
        "export": ("shell.exchange", "export_record", "Write the whole record to a file."),
        "import": ("shell.exchange", "import_record", "Make a new logbook from an exported file."),
    }
    """Name, and of each: module, function, what it does in short."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the help."""
        return list(self.TABLE)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command; None where there is none of that name."""
        if cmd_name not in self.TABLE:
            return None
        module, function, _ = self.TABLE[cmd_name]
        command = getattr(import_module(f"commission.{module}"), function)
        assert isinstance(command, click.Command)  # the table above names only such
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the names and what they do, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, short) for name, (_, _, short) in self.TABLE.items()])


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Without a command the screens open. Every command answers --help with an example.",
)
@logbook_option
@click.version_option(__version__, prog_name="commission", message="%(prog)s %(version)s")
@click.pass_context
def commission(context: click.Context) -> None:
    """Keep the record of commissioning a custom liquid-cooled computer.

    The record starts with the proof that the empty loop holds air, with a verdict that can be trusted.

    \b
    Exit status: 0 done, 2 a usage, file or logbook error, 70 a fault of the
                 program, 130 ended by Ctrl-C, 141 nobody reads the output.
                 judge, calc, close and verify tell more: see their help.

    \b
    Example:
      commission                              the screens, on your logbook
      commission judge hold hold.csv --volume "1.2 L"
      commission --logbook bench.db list
    """
    if context.invoked_subcommand is None:
        context.exit(open_screens(chosen_logbook()))


def exit_status(arguments: Sequence[str]) -> int:
    """Run a command line and return its exit status; errors that a person can mend become one line.

    click's own ending is not used: it would turn a closed pipe into status 1, which here means that a hold failed.
    """
    return status_of(lambda: _run(arguments))


def _run(arguments: Sequence[str]) -> int:
    try:
        with commission.make_context("commission", list(arguments)) as context:
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
    return 0


def _usage_error(error: click.UsageError) -> int:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        error.show()
        return USAGE
    path = error.ctx.command_path if error.ctx is not None else "commission"
    complain(f'{" ".join(error.format_message().split()).rstrip(".")}; see "{path} --help"')
    return USAGE
