"""Two logbooks of one workshop made one: what the other has more comes behind what is here, or nothing does.

What a build is stands in the order of its entries. So a build that both have goes on only where one is the other's
beginning; where both went on by themselves, all is refused. What the workshop shares (instruments, bottles) is put
together. Who works stays who it was here.
"""

import sqlite3
from collections.abc import Callable, Iterator, Mapping

from commission.base.errors import FileError
from commission.base.frozen import Frozen, field
from commission.record.entries import EntriesTakenOver, OperatorNamed, ProcedureAdopted
from commission.record.face import Registry
from commission.record.logged import Draft, Head, Logged
from commission.record.payload import Payload
from commission.record.record import PROCEDURES, SESSIONS, SHOP
from commission.storage import samples
from commission.storage.appending import append_inside, put_entry
from commission.storage.bundle import Admit
from commission.storage.canonical import parse_json
from commission.storage.chain import logged, next_digest, read_body
from commission.storage.renumber import Numbers, origins, renumbered, taken_over

SHARED = frozenset({SHOP, SESSIONS, PROCEDURES})
"""Streams whose entries are put together; of all others one must be the beginning of the other."""

LEFT_OUT = (OperatorNamed, EntriesTakenOver)
"""Kinds that are not taken over: who works here, and what was taken over there, which is said again."""

BATCH = 500

Refuse = Callable[[FileError], None]
"""Takes a refusal: raises it, or keeps it and goes on."""


class Stored(Frozen, kw_only=False):
    """An entry as it is stored and as it is read."""

    entry: Logged
    """As it is read."""
    text: str
    """As it is stored."""


class Merged(Frozen):
    """What a merge brought, or would bring."""

    head: Head
    """The end of the chain after it."""
    entries: int = 0
    """Entries taken over."""
    of_builds: Mapping[str, int] = field(default_factory=dict)
    """How many of each build, by its id, in order; a build of which all is here already has 0."""
    readings: int = 0
    """Streamed readings taken over."""
    came: frozenset[int] = frozenset()
    """Numbers there of the entries taken over."""


def stored_entries(connection: sqlite3.Connection, registry: Registry) -> Iterator[Stored]:
    """Yield the entries of a logbook in order; raises FileError where one does not match its digest."""
    before, last = "", 0
    while rows := connection.execute(
        "SELECT body, digest FROM entry WHERE seq > ? ORDER BY seq LIMIT ?", (last, BATCH)
    ).fetchall():
        for text, digest in rows:
            body, payload = read_body(text, registry)
            if next_digest(before, text) != digest:
                raise FileError(f"entry {body.seq} does not match its digest; run commission verify")
            before, last = digest, body.seq
            yield Stored(logged(body, payload, digest), text)


class Merge:
    """Takes the entries and readings of another logbook into one, inside the caller's transaction.

    Parameters
    ----------
    here, there
        Connections to the logbook and to the other one, which is sound.
    registry
        The stages.
    admit
        Takes every entry here and every new one, and refuses what the screens would not have stored.
    refuse
        What is done with each refusal.
    """

    def __init__(
        self,
        here: sqlite3.Connection,
        there: sqlite3.Connection,
        registry: Registry,
        admit: Admit,
        refuse: Refuse,
    ) -> None:
        self._here = here
        self._there = there
        self._registry = registry
        self._admit = admit
        self._refuse = refuse
        self._numbers = Numbers()
        self._by_uid: dict[str, Stored] = {}
        self._streams: dict[str, list[Stored]] = {}
        self._procedures: set[str] = set()
        self._head = Head(seq=0, digest="")
        self._places: dict[str, int] = {}
        self._split: set[str] = set()

    def run(self, stamp: Callable[[Payload], Draft]) -> Merged:
        """Take over what is new and return what that was; ``stamp`` makes the entry that says where it came from."""
        self._look_here()
        others = list(stored_entries(self._there, self._registry))
        head = Head(seq=others[-1].entry.seq, digest=others[-1].entry.digest) if others else self._head
        new, came, builds = [], set[int](), dict[str, int]()
        for other, origin in zip(others, origins(head, [one.entry for one in others]), strict=True):
            build = other.entry.build
            if build not in SHARED and not build.startswith("~"):
                builds.setdefault(build, 0)
            if self._is_here(other):
                continue
            if build in builds:
                builds[build] += 1
            new.append((self._take(other), origin))
            came.add(other.entry.seq)
        readings = self._take_samples()
        for over in taken_over(new):
            stored = append_inside(self._here, stamp(over))
            self._head = Head(seq=stored.seq, digest=stored.digest)
        return Merged(head=self._head, entries=len(new), of_builds=builds, readings=readings, came=frozenset(came))

    # What is here

    def _look_here(self) -> None:
        for one in stored_entries(self._here, self._registry):
            try:
                self._admit.entry(one.entry)
            except FileError as error:
                raise FileError(f"this logbook itself would not be imported: {error}") from error
            self._by_uid[one.entry.uid] = one
            self._streams.setdefault(one.entry.build, []).append(one)
            if isinstance(one.entry.payload, ProcedureAdopted):
                self._procedures.add(one.entry.payload.digest)
            self._head = Head(seq=one.entry.seq, digest=one.entry.digest)

    def _is_here(self, other: Stored) -> bool:
        """Return whether an entry stands here already or is not wanted, and remember its number."""
        entry = other.entry
        if entry.build not in SHARED:
            return self._is_next(other)
        found = self._by_uid.get(entry.uid)
        if found is None:
            known = isinstance(entry.payload, ProcedureAdopted) and entry.payload.digest in self._procedures
            return known or isinstance(entry.payload, LEFT_OUT)
        self._compare(found, other)
        self._numbers.put(entry.seq, found.entry.seq)
        return True

    def _is_next(self, other: Stored) -> bool:
        entry = other.entry
        place = self._places.get(entry.build, 0)
        self._places[entry.build] = place + 1
        here = self._streams.get(entry.build, [])
        if entry.build in self._split:
            return True
        if place >= len(here):
            return False
        self._compare(here[place], other)
        self._numbers.put(entry.seq, here[place].entry.seq)
        return True

    def _compare(self, here: Stored, there: Stored) -> None:
        """Refuse two entries in one place that differ in more than their numbers."""
        own = here.entry.uid == there.entry.uid and self._content(here.text, None)
        if own and own == self._content(there.text, self._numbers):
            return
        both = f"entry {here.entry.seq} here and entry {there.entry.seq} there"
        if there.entry.build in SHARED:
            self._refuse(FileError(f"{both} have one id and say different things"))
        else:
            self._split.add(there.entry.build)
            self._refuse(FileError(f"{both}: the same build went on in both by itself, from these two on"))

    def _content(self, text: str, numbers: Numbers | None) -> object:
        body = parse_json(text if numbers is None else renumbered(text, 0, numbers, self._registry))
        assert isinstance(body, dict)  # it was read as an entry before
        return {**body, "seq": 0}

    # What comes in

    def _take(self, other: Stored) -> int:
        seq = self._head.seq + 1
        self._numbers.put(other.entry.seq, seq)
        text = renumbered(other.text, seq, self._numbers, self._registry)
        body, payload = read_body(text, self._registry)
        digest = next_digest(self._head.digest, text)
        new = logged(body, payload, digest)
        try:
            self._admit_new(new)
        except FileError as error:
            self._split.add(new.build)  # what rests on it would be refused as well
            why = str(error).removeprefix(f"entry {seq}: ")
            if new.build == SHOP:
                why += "; commission export --build there makes a file of one build, which merges without it"
            self._refuse(FileError(f"entry {other.entry.seq} there: {why}"))
        else:
            put_entry(self._here, body, text, digest)
            self._head = Head(seq=seq, digest=digest)
        return seq

    def _admit_new(self, new: Logged) -> None:
        if (known := self._by_uid.get(new.uid)) is not None:
            raise FileError(f"entry {known.entry.seq} here has its id")
        self._admit.entry(new)

    def _take_samples(self) -> int:
        came, ends = 0, samples.ends(self._here)
        for name, count in samples.ends(self._there).items():
            there = ends.get(name, 0)
            both = min(there, count)
            if both and samples.seal(self._here, name, both) != samples.seal(self._there, name, both):
                self._refuse(FileError(f'readings 1 to {both} of the series "{name[:40]}" are not the same in both'))
                continue
            first = both + 1
            if both and count > both:
                self._admit_samples(name, both, samples.rows(self._here, name, both, both))
            for part in samples.chunks(self._there, name, count, first):
                self._admit_samples(name, first, part)
                samples.add(self._here, name, part)
                first += len(part)
            came += count - both
        return came

    def _admit_samples(self, name: str, first: int, rows: list[samples.Row]) -> None:
        try:
            self._admit.samples(name, first, rows)
        except FileError as error:
            self._refuse(error)
