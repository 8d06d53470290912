"""The top command, and the end of every command: errors as one line, and the exit status."""

import sys
from collections.abc import Sequence

import click

from commission import __version__
from commission.cli.console import INTERRUPTED, PIPE_CLOSED, complain
from commission.cli.options import logbook_option
from commission.domain.errors import CommissionError

USAGE = 2
"""Exit status of a usage, file or logbook error."""


@click.group(
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Without a command the screens open. Every command answers --help with an example.",
)
@logbook_option
@click.version_option(__version__, prog_name="commission", message="%(prog)s %(version)s")
@click.pass_context
def commission(context: click.Context) -> None:
    """Keep the record of commissioning a custom liquid-cooled computer.

    The record starts with the proof that the empty loop holds air, with a verdict that can be trusted.

    \b
    Example:
      commission                              the screens, on your logbook
      commission judge hold hold.csv --volume "1.2 L"
      commission --logbook bench.db list
    """
    if context.invoked_subcommand is None:
        from commission.cli.screens import open_screens

        open_screens()


def _add_commands() -> None:
    from commission.cli import builds, exchange, feed, hold, judge, record, screens

    for module in (screens, judge, feed, hold, builds, record, exchange):
        for command in module.COMMANDS:
            commission.add_command(command)


_add_commands()


def exit_status(arguments: Sequence[str]) -> int:
    """Run a command line and return its exit status; errors that a person can mend become one line.

    click's own ending is not used: it would turn a closed pipe into status 1, which here means that a hold failed.
    """
    try:
        with commission.make_context("commission", list(arguments)) as context:
            commission.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as done:
        return done.exit_code
    except (KeyboardInterrupt, click.Abort):
        return INTERRUPTED
    except BrokenPipeError:
        return PIPE_CLOSED
    except click.UsageError as error:
        return _usage_error(error)
    except click.ClickException as error:
        complain(error.format_message())
    except CommissionError as error:
        complain(str(error))
    except OSError as error:
        complain(f"{error.filename or 'the operating system'}: {error.strerror or error}")
    else:
        return 0
    return USAGE


def _usage_error(error: click.UsageError) -> int:
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        error.show()
        return USAGE
    path = error.ctx.command_path if error.ctx is not None else "commission"
    complain(f'{error.format_message()} See "{path} --help".')
    return USAGE
