"""``commission feed``: readings from a pipe into the running hold of a build."""

from __future__ import annotations

import sys
from contextlib import ExitStack, suppress
from typing import TYPE_CHECKING

import click

from commission.base.errors import CommissionError, FileError, InputError
from commission.base.quantity import Quantity
from commission.base.text import as_notes
from commission.record.machine.instrument import InstrumentKind
from commission.shell.columns_option import asked_columns, columns_option
from commission.shell.console import USAGE, say_now, tell
from commission.shell.day_type import MomentType
from commission.shell.live_gauge import asked_live, live_options
from commission.shell.options import chosen_logbook, logbook_option, opened_logbook
from commission.shell.quantity_type import QuantityType
from commission.stages.pressure_hold.shell.options import Wish, class_option, source_option
from commission.stages.pressure_hold.work.holds import Holds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.record.logbook import Logbook
    from commission.shell.day_type import At
    from commission.stages.pressure_hold.entries import SourceOff
    from commission.stages.pressure_hold.files.placed import Places
    from commission.stages.pressure_hold.files.rows import Sample

LONGEST_LINE = 65_538
"""Longer lines are cut, and the reader refuses the pieces [bytes]."""


@click.command(no_args_is_help=True)
@click.option("--build", "name", required=True, metavar="NAME", help="The build whose running hold the rows go into.")
@click.option("--new", is_flag=True, help="Start a new hold with the first row; opens the build if there is none.")
@click.option(
    "--hold",
    "hold_s",
    type=QuantityType(Quantity.DURATION),
    help="With --new: how long the hold is planned; else the time that decides. The verdict is due then.",
)
@click.option(
    "--began",
    type=MomentType(),
    help="With --new: when the hold of a logger's file began, such as 2026-03-14T20:00+01:00.",
)
@click.option("--planned", is_flag=True, help='With --new: by the plan of the build, as "commission plan" made it.')
@click.option("--drained", is_flag=True, help="With --new: the loop that held coolant is drained and dried.")
@class_option
@source_option
@columns_option
@live_options
@logbook_option
def feed(
    name: str,
    new: bool,
    hold_s: float | None,
    began: At | None,
    leak_class: float | None,
    source: SourceOff | None,
    *,
    planned: bool,
    drained: bool,
) -> None:
    """Store readings from standard input in the running hold of a build, one by one.

    With --live the rows come from a gauge that prints lines on a serial port, as "commission instrument" describes it.
    Each is stamped on arrival; a port that is lost is looked for until it is there again, and is never written to.

    The input is a table as for "commission judge hold": comment lines, a header row, then rows. Each row is written to
    the disk before "stored N" is printed; N counts the rows of the hold. What was acknowledged survives Ctrl-C, a
    closed pipe and a kill. Started again, it carries on: a row that is there already answers "already stored N".

    A row without a time column is stamped on arrival; elapsed counts from the start of the hold; time is placed by the
    wall clock. A row that cannot be read is refused with one line on standard error, and the rest goes on. The end of
    the input does not end the hold: "commission end-hold" judges it.

    No row may lie after now. A logger's file of an earlier hold, of the last year, is taken over with --new --began:
    the verdict then says that it is taken over. If such a file reaches past now, its start was given wrongly and the
    hold passes nothing.

    With --new the volume comes from a line "# volume: 1.2 L", or from the parts of the build. How the source is off
    must be said, by --source or by a line "# source: hose off". Where the record has coolant in the loop, --drained
    must say that it is out: the hold is on air.

    \b
    Exit status: 0 all rows stored, 2 something was refused, 130 ended by Ctrl-C,
                 141 nobody reads the output.

    \b
    Example:
      gauge-logger | commission feed --build "Desk loop" --new --source "hose off"
      commission feed --build "Desk loop" --new --source "hose off" --live P2
      commission feed --build "Desk loop" --new --source "hose off" \\
        --began 2026-03-14T20:00+01:00 < log.csv
    """
    for option, given, why in (
        ("--hold", hold_s is not None, "the plan of a running hold stands."),
        ("--began", began is not None, "the start of a running hold stands."),
        ("--source", source is not None, "it was answered before the running hold started."),
        ("--class", leak_class is not None, "the plan of a running hold stands."),
        ("--planned", planned, "the plan of a running hold stands."),
        ("--drained", drained, "it was asked before the running hold started."),
    ):
        if given and not new:
            raise click.UsageError(f"{option} goes with --new; {why}")
    if planned and (hold_s is not None or leak_class is not None):
        raise click.UsageError('--planned takes time and limit from the plan; change them by "commission plan"')
    began_ms = None if began is None else began.ms
    wish = Wish(
        hold_s=hold_s,
        limit_pa_m3_s=leak_class,
        source=source,
        began_ms=began_ms,
        planned=planned,
        drained=drained,
    )
    with ExitStack() as stack:
        feeder = _Feeder(stack, name, new=new, wish=wish, columns=asked_columns())
        feeder.refuse_early()
        for line in _lines():
            feeder.take(line)
        feeder.end()
        click.get_current_context().exit(USAGE if feeder.refused else 0)


def _lines() -> Iterator[bytes]:
    live = asked_live(_HEADED)
    if live is not None:
        yield from live
        return
    if sys.stdin is None:
        raise FileError("standard input is closed; pipe the readings in")
    source = sys.stdin.buffer
    while line := source.readline(LONGEST_LINE):
        yield line


_HEADED = {InstrumentKind.GAUGE: "gauge", InstrumentKind.ABSOLUTE_GAUGE: "absolute"}
"""Gauges that a hold is read with, and how their column is headed."""


class _Feeder:
    """Takes the lines one by one; opens the logbook for writing only when the first good row is there."""

    def __init__(self, stack: ExitStack, name: str, *, new: bool, wish: Wish, columns: str) -> None:
        from commission.stages.pressure_hold.files.stream import HoldStream

        self._stack = stack
        self._name = name
        self._new = new
        self._wish = wish
        self._stream = HoldStream(columns)
        self._book: Logbook | None = None
        self._build_id = ""
        self._places: Places | None = None
        self._stored = False
        self._comments: list[str] = []
        """Free comment lines since the last row."""
        self._last_s = 0.0
        """When the last row was read, since the hold began [s]."""
        self._unread = 0
        """Rows behind the last stored one that could not be read."""
        self.refused = 0
        """Lines that were refused."""

    def refuse_early(self) -> None:
        """Say what stands against it before the first line is waited for, without taking the right to write."""
        from commission.bootstrap import default_path
        from commission.stages.pressure_hold.shell.feed_begin import build_or_none, running_build
        from commission.stages.pressure_hold.work.plan_rules import refuse_wet

        if self._new and not (chosen_logbook() or default_path()).exists():
            return
        with opened_logbook(read_only=True) as opened:
            if self._new:
                state = build_or_none(opened.book, self._name)
                if state is not None and self._wish.began_ms is None:
                    refuse_wet(state, drained=self._wish.drained)
            else:
                running_build(opened.book, self._name)

    def take(self, line: bytes) -> None:
        """Take one line: store it and say so, or refuse it and say why."""
        from commission.stages.pressure_hold.files.rows import Sample
        from commission.stages.pressure_hold.files.settings import Comment

        try:
            if not line.endswith(b"\n"):
                self._refuse_cut_off(line)
            taken = self._pushed(line)
        except FileError as error:
            if self._stream.header is None:
                raise  # without a header no later line can be understood
            self._refuse(error)
            return
        if isinstance(taken, Comment) and taken.free:
            self._comments.append(taken.free)
        if not isinstance(taken, Sample):
            return
        if self._places is None:
            self._places = self._begin(taken)
        try:
            self._store(self._places, taken)
        except FileError as error:
            self._refuse(error)

    def _pushed(self, line: bytes) -> object:
        """Return what a line says, and count those that cannot be read: what they hide may be what leaked."""
        try:
            return self._stream.push(line)
        except FileError:
            self._unread += 1
            raise

    def end(self) -> None:
        """Say how it stands once the input has ended.

        Raises
        ------
        FileError
            If no header came.
        """
        if (missing := self._stream.missing()) is not None:
            raise missing
        if self._places is None:
            if not self.refused:
                raise FileError("no row of readings came; nothing was stored")
            return
        tell(
            f'the hold of "{self._name}" goes on; "commission show" tells how it stands, "commission end-hold" ends it'
        )

    def _seal_at_last(self) -> None:
        """Seal the last rows, however the input ended; where that cannot be, they stay as a tail without a seal."""
        if self._book is None:
            return
        with suppress(CommissionError):
            if self._stored:
                self._book.work(Holds).seal_stream(self._build_id)
            if self._stored:
                self._note_comments()
            if self._unread:
                self._book.work(Holds).tell_unread(self._build_id, self._unread)

    def _store(self, places: Places, row: Sample) -> None:
        from commission.stages.pressure_hold.files.placed import Already

        placed = places.place(row, self._stream.line)
        if isinstance(placed, Already):
            self._comments.clear()
            say_now(f"already stored {placed.number}")
            return
        assert self._book is not None  # opened together with the places
        try:
            count = self._book.work(Holds).stream(self._build_id, [placed], header=self._stream.header_text)
        except InputError as error:
            raise FileError(str(error), line=self._stream.line) from error
        places.stored(placed)
        self._stored, self._unread = True, 0
        self._last_s = placed.elapsed_s
        if row.note:
            self._book.work(Holds).note_row(self._build_id, placed.elapsed_s, row.note)
        self._note_comments(above=self._new and count == 1)
        say_now(f"stored {count}")

    def _note_comments(self, *, above: bool = False) -> None:
        """Keep the free comment lines since the last row as a note of this one; those above the first as of all."""
        assert self._book is not None  # a row was stored
        for note in as_notes(self._comments):
            self._book.work(Holds).note_row(self._build_id, self._last_s, note, above=above)
        self._comments.clear()

    def _begin(self, row: Sample) -> Places:
        """Open the logbook for writing, start the hold if it is a new one, and see to it that the input fits."""
        from commission.shell.options import refuse_read_only
        from commission.stages.pressure_hold.files.placed import Places
        from commission.stages.pressure_hold.shell.feed_begin import (
            begin_hold,
            build_or_none,
            refuse_other_instruments,
            refuse_untimed,
            running_build,
            seen_in,
            stage_of,
            tell_other_lines,
        )
        from commission.stages.pressure_hold.state.attempt import hold_of

        header = self._stream.header
        assert header is not None  # a row came, so a header did
        book = self._stack.enter_context(opened_logbook()).book
        refuse_read_only(book)
        if self._new:
            hold_s = self._wish.hold_s or stage_of(book, build_or_none(book, self._name)).limit("hold_s")
            decimals = {str(role): count for role, count in self._stream.decimals.items()}
            seen = seen_in(header.columns, decimals, row, self._stream.line, hold_s)
            if self._wish.began_ms is not None:
                refuse_untimed(row, self._wish.began_ms, book.clock.now(), self._stream.line)
            self._build_id = begin_hold(book, self._name, seen, self._stream.settings, self._wish)
        else:
            self._build_id = running_build(book, self._name)
            plan = hold_of(book.build(self._build_id)).plan
            assert plan is not None  # a running hold has one
            refuse_other_instruments(plan, self._stream.settings)
            tell_other_lines(book, self._build_id, self._stream.settings)
        places = Places(book, self._build_id, tell, fresh=self._new)
        if places.absolute is not header.absolute:
            wanted = "absolute [kPa]" if places.absolute else "gauge [mbar]"
            raise FileError(f"the running hold is read otherwise; its pressure column is headed like {wanted}")
        self._book = book
        # undone in turn: the seal comes before the logbook is let go
        self._stack.callback(self._seal_at_last)
        return places

    def _refuse_cut_off(self, line: bytes) -> None:
        """Refuse a last line that may be the torn half of one: half a number is a false reading.

        It is whole where its last cell has as many decimals as the rows before it.
        """
        header = self._stream.header
        if header is None or line.lstrip(b' "\t').startswith(b"#"):
            return
        last = line.rpartition(header.separator.encode())[2].strip().partition(b".")[2]
        wanted = self._stream.decimals.get(header.columns[-1].role, 0)
        if not wanted or len(last) != wanted:
            self._stream.push(b"")  # the line counts all the same
            raise FileError(
                ("the last line has no line end and may be torn off. If it is whole, end it with a line feed"),
                line=self._stream.line,
            )

    def _refuse(self, error: FileError) -> None:
        self.refused += 1
        tell(f"refused: {error}")
