"""Reading a bundle: each line is checked before it is stored, and everything together before it is kept."""

import re
import sqlite3
from collections.abc import Callable, Iterable, Sequence
from typing import Any, Never, Protocol

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.record.face import Registry
from commission.record.logged import Head, Logged
from commission.record.series_entries import seals_of
from commission.storage import samples
from commission.storage.appending import put_entry
from commission.storage.canonical import JSON_MAX_CHARS, parse_at, parse_json
from commission.storage.chain import logged, next_digest, read_body
from commission.storage.codec import decode
from commission.storage.guards import without_sample_guard
from commission.storage.reread import Reread
from commission.storage.sample_rows import rows_of
from commission.storage.verify import verify

HEADER: dict[str, object] = {"bundle": "commission logbook", "version": 1}
"""The first line."""

MAX_CHARS = 2 * 1024**3
"""Longest bundle that is read."""

MOST_KEPT = 1000
"""Most refusals that are kept; our choice: more are read by nobody."""

_ENTRY = '{"body":'
_DIGEST = re.compile(r',"digest":"([0-9a-f]{64})"\}')


class SampleLine(Frozen):
    """A line with samples; each of them is still a JSON list."""

    series: str
    """Name of the series."""
    first: int
    """Number of the first sample in it."""


class EndLine(Frozen):
    """The last line; its seals are still JSON data."""

    entries: int
    """Number of entries."""
    digest: str
    """Digest of the last one."""


class Admit(Protocol):
    """Refuses, with a FileError, what the program itself would not have stored."""

    def entry(self, entry: Logged) -> None:
        """Take the next entry."""

    def samples(self, series: str, first: int, rows: Sequence[samples.Row]) -> None:
        """Take samples of a series, after all entries."""


class BundleReader:
    """Stores the lines of a bundle through a connection, inside the caller's transaction.

    ``keep`` takes the refusal of an entry, so that the next ones are looked at as well; without it the first is raised.
    """

    def __init__(
        self,
        connection: sqlite3.Connection,
        registry: Registry,
        admit: Admit | None = None,
        reread: Reread | None = None,
        keep: Callable[[FileError], None] | None = None,
    ) -> None:
        self._keep = keep
        self._spoilt: set[str] = set()
        self._digests: dict[str, samples.Digest] = {}
        self._kept = 0
        self._connection = connection
        self._registry = registry
        self._reread = reread
        self._admit = admit
        self._line = 0
        self._head = Head(seq=0, digest="")
        self._ended = False
        self._sampled = False

    def read(self, lines: Iterable[str]) -> Head:
        """Store all lines and return the head; raises FileError with the line where something does not fit."""
        with without_sample_guard(self._connection):
            self._read(lines)
        if not self._kept:
            self._look_through()
        return self._head

    def _read(self, lines: Iterable[str]) -> None:
        total = 0
        for self._line, line in enumerate(lines, 1):
            total += len(line)
            if len(line) > JSON_MAX_CHARS or total > MAX_CHARS:
                self._refuse("the bundle or one of its lines is too long")
            text = line.removesuffix("\n").removesuffix("\r")
            if self._kept and not text.startswith(_ENTRY):
                self._ended = self._ended or text.startswith('{"end":')
                continue  # readings and end do not fit to entries that were refused
            try:
                self._take_line(text)
            except FileError as error:
                if self._keep is None or not text.startswith(_ENTRY) or self._kept == MOST_KEPT:
                    raise
                self._kept += 1
                self._keep(error)
        if not self._ended:
            raise FileError(f"the bundle was cut off after line {self._line}: its last line is missing")

    def _look_through(self) -> None:
        for problem in verify(self._connection, self._registry, reread=self._reread):
            wrong = FileError(f"the bundle is not sound: entry {problem.seq}: {problem.message}")
            if self._keep is None:
                raise wrong
            self._keep(wrong)

    def _take_line(self, text: str) -> None:
        try:
            self._take(text)
        except FileError as error:
            if error.line is not None:
                raise
            raise FileError(str(error), line=self._line) from error
        except sqlite3.IntegrityError as error:
            raise FileError(f"it does not fit behind the lines before it ({error})", line=self._line) from error

    def _refuse(self, message: str) -> Never:
        raise FileError(message, line=self._line)

    def _take(self, line: str) -> None:
        if self._line == 1:
            if parse_json(line) != HEADER:
                self._refuse("not the first line of a logbook bundle that this program knows")
        elif self._ended:
            self._refuse("there are lines after the end")
        elif line.startswith(_ENTRY):
            self._take_entry(line)
        else:
            self._take_other(parse_json(line))

    def _take_entry(self, line: str) -> None:
        if self._sampled:
            self._refuse("an entry stands after the samples")
        before = self._head
        if told := _DIGEST.search(line):  # where this one is refused, the next is still looked at behind it
            self._head = Head(seq=before.seq + 1, digest=told[1])
        _, end = parse_at(line, len(_ENTRY))
        text, rest = line[len(_ENTRY) : end], _DIGEST.fullmatch(line, end)
        if rest is None:
            self._refuse("an entry must be followed by its digest")
        body, payload = read_body(text, self._registry)
        digest = next_digest(before.digest, text)
        if digest != rest[1]:
            self._spoilt.add(body.build)
            self._refuse(f"entry {body.seq} does not match its digest: it, or the line before it, was changed")
        self._head = Head(seq=body.seq, digest=digest)
        if body.build in self._spoilt or (self._spoilt and body.build.startswith(seals_of(""))):
            return  # what rests on an entry that was refused would be refused as well
        try:
            if self._admit is not None:
                self._admit.entry(logged(body, payload, digest))
        except FileError:
            self._spoilt.add(body.build)
            raise
        if self._kept:
            return  # nothing is stored behind a gap
        put_entry(self._connection, body, text, digest)

    def _take_other(self, data: object) -> None:
        match data:
            case {"samples": list(rows), **rest}:
                self._take_samples(decode(SampleLine, rest), rows)
            case {"end": {"series": dict(seals), **rest}, **nothing} if not nothing:
                self._take_end(decode(EndLine, rest), seals)
            case _:
                self._refuse("neither an entry nor samples nor the end of a bundle")

    def _take_samples(self, line: SampleLine, rows: list[Any]) -> None:
        self._sampled = True
        there = samples.count(self._connection, line.series)
        if line.first != there + 1:
            self._refuse(f"its first sample is number {line.first}, but {there} of this series stand before it")
        read = rows_of(rows)
        if self._admit is not None:
            self._admit.samples(line.series, line.first, read)
        samples.add(self._connection, line.series, read)
        self._digests.setdefault(line.series, samples.Digest()).add(read)

    def _take_end(self, line: EndLine, seals: dict[str, Any]) -> None:
        if Head(seq=line.entries, digest=line.digest) != self._head:
            self._refuse(f"the end names {line.entries} entries and another last digest; {self._head.seq} were read")
        found = {
            name: {"count": samples.count(self._connection, name), "digest": digest.text}
            for name, digest in self._digests.items()
        }
        if found != seals:
            self._refuse("the samples do not match their seals")
        self._ended = True
