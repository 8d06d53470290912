"""Help: every command and option is explained, with an example, and quickly."""

import subprocess
import sys
from collections.abc import Iterator

import click
import pytest
from click.testing import CliRunner

from commission import __version__
from commission.__main__ import job
from commission.shell.main import commission
from tests.shell.running import TOP_COMMANDS, environment, one_line, ran

HEAVY = ("textual", "rich", "pint", "numpy", "scipy", "sqlite_utils", "sqlite3", "platformdirs")


def commands(
    group: click.Group = commission, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    yield path, group
    context = click.Context(group, obj=job())
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))
        else:
            yield (*path, name), command


ALL = dict(commands())


def test_the_commands_are_those_of_the_shell() -> None:
    assert {" ".join(path) for path in ALL} == {
        "", "judge", "judge hold", "judge sweep", "judge rails", "calc", "calc coolant", "calc mix", "calc headspace",
        "calc bleed", "calc volume", "calc layout", "bottle", "bottle add", "bottle list", "bottle retire",
        "pump-supply", "amount", "hold-defect", "defect", "repaired", "withdraw", "speeds", "feed", "end-hold", "rate",
        "withdraw-row", "put-away", "bring-back", "units", "report",
        "vented", "search", "list", "show", "headers", "verify", "demo", "ui", "web", "plain",
        "export", "import", "merge", "copy", "rests",
        "open", "like", "operator", "note", "part", "parts", "part-out", "part-edit", "instrument", "quick", "plan",
        "bench-sheet",
        "fill", "fill step", "fill reservoir", "fill level", "fill end",
        "bleed", "bleed begin", "bleed cycle", "bleed end",
        "power", "power supply", "power meter", "power cable", "power rails", "power abort", "power pump", "power look",
        "power off",
        "power machine", "power repaired", "power end",
        "fans", "fans sheet", "fans header", "fans chain", "fans set", "fans plug", "fans found", "fans unplug",
        "fans remove", "fans sweep", "fans duty", "fans end",
        "judge soak", "calc heat", "soak", "soak begin", "soak read", "soak feed", "soak live", "soak joints",
        "soak limit", "soak look",
        "soak board", "soak level", "soak end",
        "handover", "due", "visit", "visit begin", "visit top-up", "visit looked", "visit cleaned", "visit changed",
        "visit drained", "visit end",
    }  # fmt: skip


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_every_command_explains_itself_with_an_example(path: tuple[str, ...]) -> None:
    shown = CliRunner().invoke(commission, [*path, "--help"], obj=job())
    assert shown.exit_code == 0
    example = shown.output.partition("Example:\n")[2].partition("\n\n")[0]
    assert f"commission{''.join(f' {word}' for word in path)}" in example
    assert max(map(len, shown.output.splitlines())) <= 80


def test_the_top_help_names_every_command_with_what_it_does() -> None:
    shown = CliRunner().invoke(commission, ["--help"], obj=job()).output
    for name, command in TOP_COMMANDS.items():
        assert f"  {name}" in shown
        assert command.told in shown


LINES_ALONE = {
    "", "ui", "web", "plain", "units", "feed", "verify", "export", "import", "merge", "copy", "bench-sheet",
    "bottle list",
}  # fmt: skip
"""Commands on a logbook that print lines alone: screens, talk, a choice, a stream, a page, and what a file tells."""


def test_every_command_on_a_logbook_tells_a_program_too() -> None:
    options = {
        " ".join(path): {option for parameter in command.params for option in parameter.opts}
        for path, command in ALL.items()
    }
    silent = {path for path, has in options.items() if "--logbook" in has and "--json" not in has}
    assert silent == LINES_ALONE


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_every_option_says_what_it_does(path: tuple[str, ...]) -> None:
    for parameter in ALL[path].params:
        if isinstance(parameter, click.Option):
            assert parameter.help, parameter.name
            assert parameter.help.endswith("."), parameter.name


@pytest.mark.parametrize("arguments", [("--help",), ("judge", "hold", "--help"), ("feed", "--help"), ("--version",)])
def test_help_and_version_load_nothing_heavy(arguments: tuple[str, ...]) -> None:
    code = (
        "import sys\nfrom commission.__main__ import main\n"
        f"sys.argv = ['commission', *{arguments!r}]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        f"sys.stderr.write(' '.join(sorted({{name.partition('.')[0] for name in sys.modules}} & set({HEAVY!r}))))"
    )
    done = subprocess.run([sys.executable, "-c", code], env=environment(), capture_output=True, text=True, check=True)
    assert done.stdout
    assert done.stderr == ""


def test_a_command_of_no_stage_is_found_without_the_stages() -> None:
    code = (
        "import sys\nfrom commission.__main__ import main\nsys.argv = ['commission', 'list', '--help']\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "sys.stderr.write(str('commission.stages.every' in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], env=environment(), capture_output=True, text=True, check=True)
    assert "Example:" in done.stdout
    assert done.stderr == "False"


def test_the_version_is_told_both_ways() -> None:
    for arguments in (("--version",), ("--logbook", "anywhere", "--version")):
        shown = ran(*arguments)
        assert (shown.status, shown.out) == (0, f"commission {__version__}\n")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("brew",), "No such command"),
        (("judge", "hold", "x.csv", "--brew"), "No such option"),
        (("show",), ""),
        (("feed", "--build", "x", "--hold", "30 min"), "--hold goes with --new"),
        (("judge", "hold", "x.csv", "--volume", "1.2"), "no unit"),
        (("judge", "hold", "x.csv", "--limit", "0 mbar*L/s"), "--limit"),
        (("judge", "hold", "x.csv", "--settle", "soon"), "--settle"),
    ],
)
def test_a_slip_on_the_command_line_ends_with_status_2(arguments: tuple[str, ...], said: str) -> None:
    slip = ran(*arguments)
    assert (slip.status, slip.out) == (2, "")
    assert said in slip.err
    assert "Traceback" not in slip.err
    if said:
        assert one_line(slip.err).startswith("commission: ")
