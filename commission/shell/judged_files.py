"""What the judges of files share: each file is judged for itself, and the exit status says the verdict."""

from __future__ import annotations

import glob
from pathlib import Path
from typing import TYPE_CHECKING

from commission.base.errors import CommissionError
from commission.base.text import clip, counted
from commission.shell.console import USAGE, complain, let_out, say
from commission.shell.verdict_status import STATUS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    import click

    from commission.base.quantity import Phrase
    from commission.base.text import FreeLine
    from commission.base.verdict import Outcome


def judge_files(
    context: click.Context,
    files: Sequence[str],
    judge_one: Callable[[str], tuple[Outcome, Iterable[str]]],
    *,
    as_json: bool,
) -> None:
    """Judge files one by one, print their lines, and end the command with the status that stands for the outcome.

    Parameters
    ----------
    context
        The command that runs.
    files
        Files as typed, with wildcards.
    judge_one
        Returns outcome and lines of one file; raises `CommissionError` where it cannot be judged.
    as_json
        Whether each file gives one line for programs, so that no empty line may stand between.
    """
    statuses: list[int] = []
    for file in _expanded(files):
        try:
            outcome, lines = judge_one(file)
        except CommissionError as error:
            complain(f"{file}: {error}")
            statuses.append(USAGE)
            continue
        if not as_json and any(status != USAGE for status in statuses):
            say()
        for line in lines:
            say(line)
        let_out()
        statuses.append(STATUS[outcome])
    if len(statuses) == 1:
        context.exit(statuses[0])
    context.exit(USAGE if USAGE in statuses else 0)


def not_judged(comments: Sequence[FreeLine]) -> list[str]:
    """Return what is to be said of the free comment lines of a table: no judge reads them."""
    if not comments:
        return []
    return [f"{counted(len(comments), 'comment line')} not judged, the last: {clip(comments[-1].text, 60)}"]


def sentence(phrase: Phrase) -> str:
    """Return a phrase as a sentence, in signs that standard output has."""
    from commission.units.show import say as told

    return told(phrase)


def _expanded(files: Sequence[str]) -> list[str]:
    """Return the files with wildcards filled in, for shells that leave that to the program."""
    named: list[str] = []
    for file in files:
        # not Path.glob: it takes no absolute pattern
        found = sorted(glob.glob(file)) if glob.has_magic(file) and not Path(file).exists() else []  # noqa: PTH207
        named.extend(found or [file])
    return named
