"""The record beneath the logbook: stores what was done, withdraws what was wrong, folds what is known."""

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TypeVar, cast

from commission.base.errors import Damaged, NotAllowed, UnknownName
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import Procedure
from commission.procedure.own import differences
from commission.record.entries import (
    BuildOpened,
    EntriesTakenOver,
    InstrumentAdded,
    NoteAdded,
    ProcedureAdopted,
    ReportIssued,
    SessionOpened,
    Withdrawn,
)
from commission.record.entry_text import entry_text
from commission.record.face import Registry
from commission.record.fold import BuildState, ShopState, finding_of, fold_shop, withdrawn_numbers
from commission.record.kept import Kept
from commission.record.logged import Draft, Head, Logged, Problem, Sample
from commission.record.past import Past
from commission.record.payload import Payload, kind_shown
from commission.record.ports import Clock, EntryLog, Machine
from commission.record.series_entries import SeriesHeaded, SeriesSealed, seals_of
from commission.record.unknown import Unknown, refuse_unknown, unknown_text

W = TypeVar("W")

SHOP = ""
"""Stands in the place of a build's id on entries that the whole workshop shares."""

SESSIONS = "-"
"""Stands in the place of a build's id on the entries of program starts, so that they slow nothing down."""

PROCEDURES = "="
"""Stands in the place of a build's id on the entries that hold whole procedures."""

_STREAMS = frozenset({SHOP, SESSIONS, PROCEDURES})

KEPT = (
    SessionOpened,
    ProcedureAdopted,
    BuildOpened,
    ReportIssued,
    Withdrawn,
    EntriesTakenOver,
    SeriesHeaded,
    SeriesSealed,
)
"""Entries of no stage that everything later rests on: they are never withdrawn."""


def random_id() -> str:
    """Return an id that nobody else makes: 32 hexadecimal digits."""
    import uuid  # most starts of the program only read

    return uuid.uuid4().hex


class Record:
    """What every use case of the logbook stands on.

    Parameters
    ----------
    log
        Where entries are stored.
    clock
        Where the time comes from.
    registry
        The stages, in the order of the job.
    procedure_toml
        The procedure under which new builds are opened.
    program, machine
        Version of the program, and what tells what it runs on; both go into the entry of each session.
    new_id
        Makes ids; random unless a test fixes them.
    """

    def __init__(
        self,
        log: EntryLog,
        clock: Clock,
        *,
        registry: Registry,
        procedure_toml: str,
        program: str,
        machine: Callable[[], Machine] = Machine,
        new_id: Callable[[], str] = random_id,
    ) -> None:
        self.log = log
        """The log beneath, for what only passes samples through."""
        self.registry = registry
        """The stages."""
        self._kept = Kept(registry)
        self.clock = clock
        """The clocks."""
        self.program = program
        """Version of the program."""
        self.new_id = new_id
        """Makes ids."""
        self._machine = machine
        self._session_open = False
        self._operator: str | None = None
        self._toml = procedure_toml
        self._procedures = {_digest(procedure_toml): procedure_toml}
        self._works: dict[object, object] = {}
        self._looking = False
        self.past = Past(clock, registry, self.entries, self.build, self.own_procedure)
        """Past work that is written up now."""
        self.stored = 0
        """How many entries this start of the program has stored."""

    def work(self, cls: Callable[["Record"], W]) -> W:
        """Return the use cases of a stage by their class, which is made of the record alone, once."""
        found = self._works.get(cls)
        if found is None:
            found = self._works[cls] = cls(self)
        return cast(W, found)

    # --- recording ----------------------------------------------------------------------------------------------

    def record(self, build_id: str, payload: Payload, *, observed_ms: int | None = None, uid: str = "") -> Logged:
        """Store one entry durably and return it; nothing may be shown as saved before this returns.

        Parameters
        ----------
        build_id
            The build, or ``SHOP`` for what the workshop shares.
        observed_ms
            When it was seen, if that was earlier than now [ms since 1970 UTC].
        uid
            Give the same one again to store the same thing only once; made here if empty.

        Raises
        ------
        NotAllowed
            If it is said to be seen after now, or the build holds what this program does not know and it is no note.
        LogbookError
            If it could not be stored; the message says what is known.
        """
        self._refuse_while_looking()
        if observed_ms is not None and observed_ms > self.clock.now().wall_ms:
            raise NotAllowed("that time lies after now; correct it, or leave it out")
        if observed_ms is None and build_id not in _STREAMS:
            observed_ms = self.past.done_ms(build_id, payload)
        if build_id not in _STREAMS and not isinstance(payload, NoteAdded):
            refuse_unknown(self.build(build_id))
        logged = self.log.append(self._draft(build_id, payload, self._begin(), observed_ms, uid or self.new_id()))
        self.stored += 1
        return logged

    def record_samples(self, series: str, samples: list[Sample], header: str = "", *, seal: bool = False) -> int:
        """Store streamed samples durably, with the seal that is due, and return how many their series now holds.

        Parameters
        ----------
        series
            Name of the series.
        samples
            New ones, in order; may be none where only the seal is wanted.
        header
            The header row under which they came, so that their text can be read again; empty where there is none.
        seal
            Whether to seal now what has no seal yet.

        Raises
        ------
        LogbookError
            If they could not be stored, or what is stored without a seal was changed behind the program's back.
        """
        self._refuse_while_looking()
        operator = self._begin()

        def stamp(payload: Payload) -> Draft:
            return self._draft(seals_of(series), payload, operator, None, self.new_id())

        return self.log.add_samples(series, samples, stamp=stamp, header=header, seal=seal)

    def withdraw(self, seq: int, reason: str) -> Logged:
        """Withdraw an entry, with a reason; it stays in the log and no longer counts.

        Raises
        ------
        UnknownName
            If there is no such entry.
        NotAllowed
            If it is one that everything later rests on, was withdrawn already, no reason is given, it says what the
            loop consists of while a hold runs, or it describes an instrument.
        """
        target = self.log.entry(seq)
        if target is None:
            raise UnknownName(f"there is no entry {seq}; the last is {self.log.head().seq}")
        self.refuse_withdrawal(target)
        if not reason.strip():
            raise NotAllowed("a withdrawal needs a reason; type why the entry is wrong")
        return self.record(target.build, Withdrawn(target=seq, reason=reason.strip()))

    def refuse_withdrawal(self, target: Logged) -> None:
        """Raise NotAllowed where an entry cannot be withdrawn now, whatever the reason."""
        seq = target.seq
        if isinstance(target.payload, Unknown):
            raise NotAllowed(f"this program does not know what {unknown_text(target)} is; add a note instead")
        face = self.registry.of(target.payload)
        if isinstance(target.payload, KEPT if face is None else face.kept):
            other = {} if face is None else face.in_place
            instead = other.get(type(target.payload), "add a note instead")
            raise NotAllowed(f'entry {seq} ("{kind_shown(target.payload)}") cannot be withdrawn; {instead}')
        if isinstance(target.payload, InstrumentAdded):
            # a build does not hear of it, and a verdict by that gauge would go on counting; imports still take it
            raise NotAllowed(
                f'entry {seq} ("{kind_shown(target.payload)}") cannot be withdrawn. Retire the '
                "instrument; if it read wrong, note it in each build where it was used"
            )
        if seq in withdrawn_numbers(self.entries(target.build)):
            raise NotAllowed(f"entry {seq} was withdrawn already")
        self._refuse_repaired(target)
        if face is not None:
            face.refuse_withdrawal(self.build(target.build), target)

    def _refuse_repaired(self, target: Logged) -> None:
        """Raise NotAllowed where an entry found something that was repaired: the loop or the power was open since."""
        found = finding_of(target)
        if not found:
            return
        findings = self.build(target.build).findings
        cured_at = next((one.cured_at for one in findings if one.raised.finding_id == found), None)
        if cured_at is not None:
            raise NotAllowed(
                f'entry {target.seq} ("{kind_shown(target.payload)}") was repaired by entry {cured_at}. '
                "If neither happened, withdraw the repair first"
            )

    def adopt_procedure(self) -> str:
        """See to it that the procedure in force stands in the log, and return its digest."""
        digest = _digest(self._toml)
        if digest not in self._stored_procedures():
            self.record(PROCEDURES, ProcedureAdopted(toml=self._toml, digest=digest))
        return digest

    @contextmanager
    def only_looking(self) -> Iterator[None]:
        """Refuse to store anything meanwhile, with NotAllowed."""
        self._looking = True
        try:
            yield
        finally:
            self._looking = False

    def _refuse_while_looking(self) -> None:
        if self._looking:
            raise NotAllowed("nothing is stored while a form is taken up again")

    # --- what is known ------------------------------------------------------------------------------------------

    def shop(self) -> ShopState:
        """Return who works, and the instruments in use."""
        return fold_shop(self.registry, self.entries(SHOP))

    def build(self, build_id: str) -> BuildState:
        """Return the state of a build: the fold of its entries, of which only the new ones are read and folded."""
        return self._kept.state(self.log, build_id)

    def procedure(self, state: BuildState) -> Procedure:
        """Return the procedure that a build is judged by.

        Raises
        ------
        Damaged
            If the log does not hold the procedure that the build names.
        """
        digest = state.procedure or _digest(self._toml)
        if digest not in self._procedures:
            self._procedures |= self._stored_procedures()
        if digest not in self._procedures:
            raise Damaged(f'the procedure of "{state.name}" is missing from the logbook; run commission verify')
        return load_procedure(self._procedures[digest])

    def own_procedure(self, state: BuildState) -> tuple[str, ...]:
        """Return in what the procedure of a build is none that ships, each in words; nothing where it is one."""
        shipped = state.procedure in ("", _digest(self._toml))
        return () if shipped else differences(self.procedure(state), load_procedure(default_toml()))

    @property
    def new_procedure(self) -> Procedure:
        """The procedure under which the next build is opened."""
        return load_procedure(self._toml)

    @property
    def read_only_because(self) -> str:
        """Why nothing can be recorded, in one line; empty where it can."""
        return self.log.read_only_because

    def entries(self, build_id: str) -> tuple[Logged, ...]:
        """Return the entries of a build or stream, in order."""
        return self._kept.entries(self.log, build_id)

    def names(self, entries: Sequence[Logged]) -> Mapping[str, str]:
        """Return the names of what entries hold only by its id, withdrawn ones too."""
        return self.registry.names(entries)

    def entry_text(self, payload: Payload, *, names: Mapping[str, str] | None = None) -> str:
        """Return what an entry says beside its kind, in one line; see :func:`commission.record.entry_text`."""
        return entry_text(self.registry, payload, names=names)

    def entries_of_kind(self, kind: str) -> tuple[Logged, ...]:
        """Return the entries of one kind, of all builds, in order."""
        return self._kept.of_kind(self.log, kind)

    def begun_since(self, begun: str, ended: Sequence[str]) -> list[str]:
        """Return the builds with an entry of a kind after the last that ends it, in the order in which that came."""
        return self.log.begun_since(begun, ended, withdrawn_numbers(self.entries_of_kind(Withdrawn.KIND)))

    def head(self) -> Head:
        """Return the end of the chain."""
        return self.log.head()

    def changed(self) -> bool:
        """Return whether another window has written since this was last asked."""
        return self.log.changed()

    @property
    def can_take_over(self) -> bool:
        """Whether another window writes, so that this one may once that is gone."""
        return self.log.can_take_over

    def take_over(self) -> bool:
        """Record from now on where another window did and is gone; return whether that came about now."""
        return self.log.take_over()

    def verify(self, known: Head | None = None) -> list[Problem]:
        """Check the whole record; an empty list means that all is sound.

        ``known``: a pair of number and digest that was written down outside the computer; it must be in the chain.
        """
        return self.log.verify(known)

    def unsealed(self) -> list[tuple[str, int]]:
        """Return name of the build and number of readings of each series whose last readings have no seal yet."""
        names = {
            e.build: e.payload.name
            for e in self.entries_of_kind(BuildOpened.KIND)
            if isinstance(e.payload, BuildOpened)
        }
        of = {
            entry.payload.series: names.get(entry.build, entry.build)
            for kinds in self.registry.series
            for entry in self.entries_of_kind(kinds.begun.KIND)
            if isinstance(entry.payload, kinds.begun)
        }
        return [(of.get(one.series, one.series), one.count) for one in self.log.unsealed()]

    def close(self) -> None:
        """Let the record go."""
        self.log.close()

    # --- beneath ------------------------------------------------------------------------------------------------

    def _stored_procedures(self) -> dict[str, str]:
        payloads = (entry.payload for entry in self.entries(PROCEDURES))
        return {p.digest: p.toml for p in payloads if isinstance(p, ProcedureAdopted)}

    def _begin(self) -> str:
        """See to it that this start of the program stands in the log, and return who works."""
        if self._operator is None:
            self._operator = self.shop().operator
        if not self._session_open:
            self._open_session(self._operator)
        return self._operator

    def _open_session(self, operator: str) -> None:
        machine = self._machine()
        payload = SessionOpened(
            program=self.program, sqlite=machine.sqlite, python=machine.python, system=machine.system
        )
        self.log.append(self._draft(SESSIONS, payload, operator, None, self.new_id()))
        self._session_open = True

    def _draft(self, build_id: str, payload: Payload, operator: str, observed_ms: int | None, uid: str) -> Draft:
        return Draft(
            uid=uid,
            build=build_id,
            operator=operator,
            mark=self.clock.now(),
            observed_ms=observed_ms,
            payload=payload,
        )


def _digest(toml: str) -> str:
    return hashlib.sha256(toml.encode()).hexdigest()
