"""The logbook: everything that is recorded goes through here, and everything that is known comes from here."""

import platform
import unicodedata
import uuid
from collections.abc import Callable
from dataclasses import dataclass

from commission.domain.entries import (
    BuildOpened,
    Entry,
    HoldClosed,
    HoldStarted,
    InstrumentAdded,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    SessionOpened,
    StageOverridden,
    Withdrawn,
)
from commission.domain.errors import NotAllowed, UnknownName
from commission.domain.instrument import Instrument
from commission.domain.logged import Draft, Head, Logged, Problem
from commission.domain.state import BuildState, ShopState, fold_build, fold_shop, withdrawn_numbers
from commission.logbook.holds import Holds
from commission.logbook.ladder import StageState, ladder
from commission.logbook.ports import Clock, EntryLog
from commission.logbook.sheet import Sheet
from commission.procedure.load import load_procedure
from commission.procedure.model import Procedure

SHOP = ""
"""Stands in the place of a build's id on entries that the whole workshop shares."""

SESSIONS = "-"
"""Stands in the place of a build's id on the entries of program starts, so that they slow nothing down."""

LONGEST_NAME = 80
"""Longest name of a build, a part or a person [characters]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow:
    """One line of the list of builds."""

    build_id: str
    """Its id."""
    name: str
    """What the builder calls it."""
    opened_ms: int
    """When it was opened [ms since 1970 UTC]."""


class Logbook:
    """The record of a workshop: many builds, and the instruments that they share.

    Parameters
    ----------
    log
        Where entries are stored.
    clock
        Where the time comes from.
    procedure_toml
        The procedure under which new builds are opened.
    program, sqlite
        Versions that go into the entry of each session.
    new_id
        Makes ids; random unless a test fixes them.
    """

    def __init__(
        self,
        log: EntryLog,
        clock: Clock,
        *,
        procedure_toml: str,
        program: str,
        sqlite: str = "",
        new_id: Callable[[], str] = lambda: uuid.uuid4().hex,
    ) -> None:
        self._log = log
        self._clock = clock
        self._procedure_toml = procedure_toml
        self._sqlite = sqlite
        self._session_open = False
        self._operator: str | None = None
        self.program = program
        """Version of the program."""
        self.new_id = new_id
        """Makes ids."""
        self.sheet = Sheet(self)
        """The build sheet: parts, volume, warnings."""
        self.hold = Holds(self)
        """The pressure hold."""

    # --- recording -------------------------------------------------------------------------------------------

    def record(self, build_id: str, payload: Entry, *, observed_ms: int | None = None, uid: str = "") -> Logged:
        """Store one entry durably and return it; nothing may be shown as saved before this returns.

        Parameters
        ----------
        build_id
            The build, or ``SHOP`` for what the workshop shares.
        payload
            What was done.
        observed_ms
            When it was seen, if that was earlier than now [ms since 1970 UTC].
        uid
            Give the same one again to store the same thing only once; made here if empty.

        Raises
        ------
        LogbookError
            If it could not be stored; the message says what is known.
        """
        if self._operator is None:
            self._operator = self.shop().operator
        if not self._session_open:
            self._open_session(self._operator)
        return self._append(build_id, payload, self._operator, observed_ms, uid or self.new_id())

    def withdraw(self, seq: int, reason: str) -> Logged:
        """Withdraw an entry, with a reason; it stays in the log and no longer counts.

        Raises
        ------
        UnknownName
            If there is no such entry.
        NotAllowed
            If it is one that everything later rests on, was withdrawn already, or no reason is given.
        """
        target = self._log.entry(seq)
        if target is None:
            raise UnknownName(f"there is no entry {seq}; the last is {self._log.head().seq}")
        if isinstance(target.payload, SessionOpened | BuildOpened | HoldStarted | HoldClosed | Withdrawn):
            raise NotAllowed(f'entry {seq} ("{target.payload.KIND}") cannot be withdrawn; add a note instead')
        if seq in withdrawn_numbers(self._log.entries(target.build)):
            raise NotAllowed(f"entry {seq} was withdrawn already")
        if not reason.strip():
            raise NotAllowed("a withdrawal needs a reason; type why the entry is wrong")
        return self.record(target.build, Withdrawn(target=seq, reason=reason.strip()))

    def add_note(self, build_id: str, text: str) -> Logged:
        """Write down something worth remembering."""
        return self.record(build_id, NoteAdded(text=text))

    def override(self, build_id: str, stage: str, reason: str) -> Logged:
        """Override the lock of a stage, with a reason that every report will show.

        Raises
        ------
        NotAllowed
            If no reason is given.
        """
        if not reason.strip():
            raise NotAllowed("an override needs a reason; type why the lock does not apply")
        return self.record(build_id, StageOverridden(stage=stage, reason=reason.strip()))

    # --- the workshop ----------------------------------------------------------------------------------------

    def shop(self) -> ShopState:
        """Return who works, and the instruments in use."""
        return fold_shop(self._log.entries(SHOP))

    def name_operator(self, name: str) -> Logged:
        """Name whoever works from now on."""
        name = _checked_name(name)
        logged = self.record(SHOP, OperatorNamed(name=name))
        self._operator = name
        return logged

    def add_instrument(self, instrument: Instrument) -> Logged:
        """Describe an instrument.

        Raises
        ------
        NotAllowed
            If the name is taken, or the figures contradict each other.
        """
        name = _checked_name(instrument.name)
        if any(_key(other.name) == _key(name) for other in self.shop().instruments):
            raise NotAllowed(f'there is an instrument "{name}" already; give this one another name')
        if not (instrument.resolution > 0 and instrument.accuracy >= 0 and instrument.low < instrument.high):
            raise NotAllowed("an instrument needs a step above 0 and a range from low to high; correct the figures")
        if instrument.resolution > (instrument.high - instrument.low) / 4:
            raise NotAllowed("one step of the display is more than a quarter of the range; check the units")
        return self.record(SHOP, InstrumentAdded(instrument=instrument))

    def retire_instrument(self, instrument_id: str, reason: str) -> Logged:
        """Take an instrument out of use."""
        return self.record(SHOP, InstrumentRetired(instrument_id=instrument_id, reason=reason))

    # --- builds ----------------------------------------------------------------------------------------------

    def builds(self) -> tuple[BuildRow, ...]:
        """Return all builds, the one opened last first."""
        rows = [
            BuildRow(build_id=entry.build, name=entry.payload.name, opened_ms=entry.mark.wall_ms)
            for entry in self._log.entries_of_kind(BuildOpened.KIND)
            if isinstance(entry.payload, BuildOpened)
        ]
        return tuple(reversed(rows))

    def open_build(self, name: str) -> str:
        """Open a build under the procedure in force and return its id.

        Raises
        ------
        NotAllowed
            If the name is empty, too long or taken.
        """
        name = _checked_name(name)
        if any(_key(row.name) == _key(name) for row in self.builds()):
            raise NotAllowed(f'there is a build "{name}" already; give this one another name')
        build_id = self.new_id()
        self.record(build_id, BuildOpened(name=name, procedure_toml=self._procedure_toml))
        return build_id

    def find_build(self, name: str) -> str:
        """Return the id of the build of that name.

        Raises
        ------
        UnknownName
            If there is none; the message lists what there is.
        """
        rows = self.builds()
        for row in rows:
            if _key(row.name) == _key(name):
                return row.build_id
        known = ", ".join(f'"{row.name}"' for row in rows[:5]) or "none yet"
        raise UnknownName(f'there is no build "{name}"; there are: {known}')

    def build(self, build_id: str) -> BuildState:
        """Return the state of a build, folded anew from its entries."""
        return fold_build(build_id, self._log.entries(build_id))

    def procedure(self, state: BuildState) -> Procedure:
        """Return the procedure that a build is judged by."""
        return load_procedure(state.procedure_toml or self._procedure_toml)

    def ladder(self, state: BuildState) -> tuple[StageState, ...]:
        """Return the stages of a build, each with the word for its state."""
        return ladder(self.procedure(state), state)

    # --- the record itself -----------------------------------------------------------------------------------

    @property
    def log(self) -> EntryLog:
        """The log beneath, for what only passes samples through."""
        return self._log

    @property
    def clock(self) -> Clock:
        """The clocks."""
        return self._clock

    @property
    def read_only_because(self) -> str:
        """Why nothing can be recorded, in one line; empty where it can."""
        return self._log.read_only_because

    def entries(self, build_id: str | None = None) -> list[Logged]:
        """Return the entries in order: all, or those of one build."""
        return self._log.entries(build_id)

    def head(self) -> Head:
        """Return the end of the chain."""
        return self._log.head()

    def changed(self) -> bool:
        """Return whether another window has written since this was last asked."""
        return self._log.changed()

    def verify(self) -> list[Problem]:
        """Check the whole record; an empty list means that all is sound."""
        return self._log.verify()

    def close(self) -> None:
        """Let the record go."""
        self._log.close()

    def _open_session(self, operator: str) -> None:
        payload = SessionOpened(
            program=self.program,
            sqlite=self._sqlite,
            python=platform.python_version(),
            system=f"{platform.system()} {platform.release()}",
        )
        self._append(SESSIONS, payload, operator, None, self.new_id())
        self._session_open = True

    def _append(self, build_id: str, payload: Entry, operator: str, observed_ms: int | None, uid: str) -> Logged:
        return self._log.append(
            Draft(
                uid=uid,
                build=build_id,
                operator=operator,
                mark=self._clock.now(),
                observed_ms=observed_ms,
                payload=payload,
            )
        )


def _key(name: str) -> str:
    """Return what makes two names the same to a person."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _checked_name(name: str) -> str:
    name = " ".join(unicodedata.normalize("NFC", name).split())
    if not name:
        raise NotAllowed("a name is wanted; type one")
    if len(name) > LONGEST_NAME:
        raise NotAllowed(f"the name has {len(name)} characters; {LONGEST_NAME} are the most")
    return name
