"""A group of commands: its own, and those that the stages bring; each is imported only when it is called."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from commission.bench.face import Command
from commission.bench.job import Job

if TYPE_CHECKING:
    from collections.abc import Mapping


def own(module: str, function: str, told: str) -> Command:
    """Return a command that stands in this folder."""
    return Command(f"commission.shell.{module}:{function}", told)


def job_here() -> Job:
    """Return the job that the program was started for."""
    job = click.get_current_context().find_object(Job)
    assert job is not None  # main.exit_status hands it on
    return job


class Commands(click.Group):
    """The commands by name; nothing is imported for a list of them, and no stage to find one that is no stage's.

    Parameters
    ----------
    path
        What is typed before its commands, such as ``judge``; empty for the top.
    first, last
        Its own commands, before and behind those of the stages.
    """

    def __init__(
        self,
        *args: Any,
        path: str = "",
        first: Mapping[str, Command] | None = None,
        last: Mapping[str, Command] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.path = path
        self.first, self.last = first or {}, last or {}

    def of_stages(self, job: Job) -> dict[str, Command]:
        """Return the commands that stages bring to this group, in the order of the job."""
        found = {}
        for face in job.stages():
            for typed, command in face.commands.items():
                before, _, name = typed.rpartition(" ")
                if before == self.path:
                    found[name] = command
        return found

    def all_commands(self, ctx: click.Context) -> dict[str, Command]:
        """Return every command of this group by its name, in the order of the help."""
        job = ctx.find_object(Job)
        return {**self.first, **(self.of_stages(job) if job is not None else {}), **self.last}

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the help."""
        return list(self.all_commands(ctx))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command; None where there is none of that name."""
        found = self.first.get(cmd_name) or self.last.get(cmd_name) or self.all_commands(ctx).get(cmd_name)
        if found is None:
            self._tell_renamed(ctx, cmd_name)
            return None
        command = found.load()
        assert isinstance(command, click.Command)  # a face names only such
        return command

    def _tell_renamed(self, ctx: click.Context, old: str) -> None:
        """Refuse a name that a command once had, with the name of today."""
        job = ctx.find_object(Job)
        for face in job.stages() if job is not None else ():
            new = face.renamed.get(f"{self.path} {old}".strip())
            if new is not None:
                raise click.UsageError(f"{old} is renamed: type {new}", ctx)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the names and what they do, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, command.told) for name, command in self.all_commands(ctx).items()])
