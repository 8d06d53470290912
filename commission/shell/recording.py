"""What commands that record share: cautions printed before, the deed of a typed line, and what was stored after it."""

from __future__ import annotations

import re
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import TYPE_CHECKING

import click

from commission.base.errors import FileError, InputError, NotAllowed
from commission.base.frozen import Frozen
from commission.bench.json_line import json_line
from commission.shell.console import say, tell
from commission.shell.day_type import At, MomentType
from commission.shell.options import logbook, opened_logbook, refuse_read_only
from commission.shell.verdict_status import STATUS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from typing import Any

    from commission.base.verdict import Outcome
    from commission.bench.at_hand import StageAtHand
    from commission.bench.deed import Deed
    from commission.procedure.model import When
    from commission.record.ladder import StageState
    from commission.record.logbook import Logbook
    from commission.record.logged import Logged
    from commission.record.stage_work import StageWork


class StoredEntry(Frozen):
    """One entry that a command stored."""

    seq: int
    """Its number."""
    kind: str
    """What it is, in the log's words."""
    text: str
    """What it says."""
    done: str | None = None
    """When it was done, where it is written up later [RFC 3339]; null: when it was stored."""


class Stored(Frozen):
    """What a command that records did."""

    build: str | None
    """The build; null where the whole workshop is meant."""
    understood: tuple[str, ...]
    """Each line as it was understood, in order."""
    cautions: tuple[str, ...]
    """Cautions that were printed on standard error before."""
    entries: tuple[StoredEntry, ...]
    """Entries that were stored, in order; cautions that were printed are one too."""
    outcome: str | None
    """The verdict where a stage or a part of it was judged: pass, fail, inconclusive or invalid; else null."""
    reasons: tuple[str, ...]
    """Why, in sentences."""
    remarks: tuple[str, ...]
    """What else to know, in sentences."""


class Recording:
    """Does what is typed, and tells it.

    Parameters
    ----------
    book
        The logbook, open for writing.
    build_id
        The build; empty for the workshop.
    as_json
        Whether one JSON object is printed at the end, in place of lines at once.
    """

    def __init__(self, book: Logbook, build_id: str, *, as_json: bool) -> None:
        self.book = book
        self.build_id = build_id
        self._as_json = as_json
        self._seen = book.head().seq
        self._understood: list[str] = []
        self._cautions: list[str] = []
        self._entries: list[StoredEntry] = []
        self._outcome: Outcome | None = None
        self._reasons: list[str] = []
        self._remarks: list[str] = []

    def do(self, deed: Deed, *, understood: str = "") -> None:
        """Do what a line means and tell what was stored; raises what the deed raises.

        ``understood``: the line in other words than the deed has.
        """
        deed.do()
        self._understood.append(understood or deed.told)
        self._line(f"understood: {understood or deed.told}")
        self.stored()

    def stored(self, *, silent: bool = False) -> None:
        """Tell the entries that came since this was asked last; silent: in the JSON object alone."""
        from commission.bench.moment import moment, rfc3339
        from commission.record.record import SHOP

        streams = dict.fromkeys((SHOP, self.build_id))
        fresh = sorted(
            (entry for stream in streams for entry in self.book.entries(stream) if entry.seq > self._seen),
            key=lambda entry: entry.seq,
        )
        self._seen = self.book.head().seq
        names = self.book.names(self.book.entries(self.build_id)) if fresh else {}
        for entry in fresh:
            text = self.book.entry_text(entry.payload, names=names)
            self._entries.append(
                StoredEntry(seq=entry.seq, kind=entry.payload.KIND, text=text, done=_done(entry, rfc3339))
            )
            if not silent:
                later = _done(entry, moment)
                self._line(f"stored: entry {entry.seq}{f', done {later}, written up now' if later else ''}")

    def print_cautions(self, hand: StageAtHand[Any], *whens: When, work: StageWork | None = None) -> None:
        """Print the cautions of some moments that this attempt has not seen yet, and record that they were printed.

        Raises
        ------
        NotAllowed
            If they cannot be printed: then nothing is recorded.
        """
        hand.refresh()
        work = work or hand.work
        work.reachable(self.build_id)
        unseen = [when for when in whens if work.missing_cautions(hand.state, when)]
        for when in unseen:
            missing = work.missing_cautions(hand.state, when)
            for caution in work.cautions(hand.state, when):
                if caution.id in missing:
                    self._caution(hand.caution_text(caution))
        if unseen:
            work.print_cautions(self.build_id, *unseen)
        self.stored(silent=True)
        hand.refresh()

    def leak(self, *, where: str, seen: str) -> None:
        """Write the leak down that a wet joint is, as its card does on the screen: a shell has no card to lead to.

        A joint that is wet at another look is the same leak until that is repaired.
        """
        from commission.record.mishap import Mishap
        from commission.record.mishaps import Mishaps

        known = [one.wrong for one in self.book.build(self.build_id).open_findings if one.wrong is not None]
        if any(one.what is Mishap.LEAK and one.where == where for one in known):
            return
        self.book.work(Mishaps).note(self.build_id, Mishap.LEAK, where=where, seen=seen)
        self.stored()
        self.say('next: "commission repaired" records what was done about it; then hold and fill again')

    def judged(self, outcome: Outcome, reasons: Iterable[str], *, lines: Iterable[str] | None = None) -> None:
        """Tell a verdict and its reasons, or these lines in their place where lines are printed."""
        self._outcome, self._reasons = outcome, list(reasons)
        told = (f"outcome: {outcome}", *(f"reason: {reason}" for reason in self._reasons))
        for line in told if lines is None else lines:
            self._line(line)

    def remark(self, text: str) -> None:
        """Tell what else to know, by the word remark where it is a line."""
        self._remarks.append(text)
        self._line(f"remark: {text}")

    def say(self, line: str) -> None:
        """Tell a fact that is a line of its own already; among the remarks where JSON is wanted."""
        self._remarks.append(line)
        self._line(line)

    @contextmanager
    def telling_stages(self) -> Iterator[None]:
        """Tell each stage whose word is another than before, once what is done meanwhile is stored."""
        before = {rung.stage.id: rung.word for rung in self._ladder()}
        yield
        for rung in self._ladder():
            if rung.word is not before[rung.stage.id]:
                self.say(f"{rung.stage.title.lower()}: {rung.word}, was {before[rung.stage.id]}")

    def _ladder(self) -> tuple[StageState, ...]:
        return self.book.ladder(self.book.build(self.build_id))

    @property
    def any_stored(self) -> bool:
        """Whether an entry was stored."""
        return bool(self._entries)

    @property
    def status(self) -> int:
        """The exit status that stands for what was judged; 0 where nothing was."""
        return 0 if self._outcome is None else STATUS[self._outcome]

    def end(self) -> None:
        """Print the JSON object, where one is wanted."""
        if not self._as_json:
            return
        told = Stored(
            build=self.book.build(self.build_id).name if self.build_id else None,
            understood=tuple(self._understood),
            cautions=tuple(self._cautions),
            entries=tuple(self._entries),
            outcome=self._outcome,
            reasons=tuple(self._reasons),
            remarks=tuple(self._remarks),
        )
        say(json_line(told))

    def _caution(self, text: str) -> None:
        if not tell(f"caution: {text}"):
            raise NotAllowed("the cautions could not be printed on standard error; nothing was recorded")
        self._cautions.append(text)

    def _line(self, line: str) -> None:
        if not self._as_json:
            say(line)


@contextmanager
def recording(build: str | None, *, as_json: bool) -> Iterator[Recording]:
    """Open the logbook for writing, find the build, and tell at the end what was stored, also where it ends early.

    The command ends with the status of what was judged.

    Raises
    ------
    ReadOnly
        If nothing can be recorded.
    UnknownName
        If there is no such build.
    """
    with opened_logbook() as opened:
        book = opened.book
        refuse_read_only(book)
        job = Recording(book, book.find_build(build) if build is not None else "", as_json=as_json)
        try:
            with _written_up(book):
                yield job
        except BaseException as error:
            job.stored()
            if job.any_stored:
                job.end()
            if isinstance(error, InputError):
                raise _as_mishap(error) from None
            raise
        job.stored()
        job.end()
    if job.status:
        click.get_current_context().exit(job.status)


_MISHAP = re.compile(r"\b(smok(e|es|ing|y)|burn(t|s|ing)|burst|spill(s|ed|t)?)\b", re.IGNORECASE)
"""Words of a refused line that speak of something else that went wrong than a leak; our choice: what is typed first."""


def _as_mishap(error: InputError) -> InputError:
    """Return a refusal that names the command for what went wrong, where the line speaks of that."""
    from commission.record.machine.dryness import told_wet

    context = click.get_current_context()
    lines = (one for name, one in context.params.items() if name != "build")  # a build may be called "Wet bench"
    typed = (text for one in lines for text in (one if isinstance(one, tuple) else (one,)))
    said = any(isinstance(text, str) and (_MISHAP.search(text) or told_wet(text)) for text in typed)
    if not said or context.info_name == "defect":
        return error
    return InputError(f"{str(error).rstrip('.')}. If something leaks, smokes or burst: commission defect --help")


def _written_up(book: Logbook) -> AbstractContextManager[None]:
    """Take what is recorded as done when ``--at`` or ``--began`` says; now where neither was typed."""
    asked = click.get_current_context().meta.get(_LATER)
    return nullcontext() if asked is None else book.past.written_up(asked.at.ms, begins=asked.begins)


def said_to_begin() -> bool:
    """Return whether the command that runs was given ``--began``."""
    asked = click.get_current_context().meta.get(_LATER)
    return asked is not None and asked.begins


def _done(entry: Logged, said: Callable[[int, int], str]) -> str | None:
    return None if entry.observed_ms is None else said(entry.observed_ms, entry.mark.offset_min)


@contextmanager
def of_file(file: str) -> Iterator[None]:
    """Put the name of a file before what is wrong in it.

    Raises
    ------
    FileError
        With the name.
    """
    try:
        yield
    except FileError as error:
        raise FileError(f"{file}: {error}") from None


_JSON: dict[str, Any] = {"is_flag": True, "help": "Print one JSON object of what was stored."}


def json_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command that records the option ``--json``."""
    return click.option("--json", "as_json", **_JSON)(command)


_LATER = "commission.written up later"


class _Later(Frozen):
    """When what a command records was done."""

    at: At
    """The moment."""
    begins: bool
    """Whether it begins then."""


def _keep_later(context: click.Context, parameter: click.Parameter, value: At | None) -> None:
    if value is not None and _LATER in context.meta:
        raise click.UsageError("--began is --at for what begins work; type only one of them")
    if value is not None:
        context.meta[_LATER] = _Later(at=value, begins=parameter.name == "began")


def _later(option: str) -> click.Option:
    """Return the option ``--at`` or ``--began``: what is recorded was done then, and is written up now."""
    what = "began" if option == "began" else "was done"
    told = f"When it {what}, where it is written up later, such as 2026-03-14T20:00+01:00."
    return click.Option([f"--{option}"], type=MomentType(), expose_value=False, callback=_keep_later, help=told)


def records(*arguments: str, name: str | None = None, later: str = "") -> Callable[[Callable[..., Any]], click.Command]:
    """Make a command that records: its arguments by their words, such as BUILD LINE..., its own, --json, --logbook.

    ``later``: ``at``, ``began`` or both, the options by which it is written up later than it was done; empty: none.
    """

    def made(function: Callable[..., Any]) -> click.Command:
        command = click.command(name, no_args_is_help=True)(function)
        times = tuple(map(_later, later.split()))
        last = (*times, click.Option(["--json", "as_json"], **_JSON), logbook())
        command.params = [*map(_argument, arguments), *command.params, *last]
        return command

    return made


def _argument(word: str) -> click.Argument:
    """Return an argument that must be given, by its word; one that ends in dots may be given more than once."""
    many = word.endswith("...")
    named = word.removesuffix("...").lower() + "s" * many
    return click.Argument([named], metavar=word, nargs=-1 if many else 1, required=True)
