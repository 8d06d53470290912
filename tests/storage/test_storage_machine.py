"""The log equals a plain list, whatever is done to it in whatever order."""

import math
import shutil
import tempfile
from pathlib import Path
from typing import Any, cast

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from commission.base.frozen import replace
from commission.record.entries import Withdrawn
from commission.record.logged import Draft, Head, Logged, Sample
from commission.record.payload import Payload
from commission.record.series_entries import SeriesSealed
from commission.storage.exchange import export_bundle
from commission.storage.store import SqliteLog
from tests.registered import import_bundle, open_log, open_log_for_reading
from tests.storage.making import PAYLOADS, draft, started, stream

BUILDS = st.sampled_from(["", "b1", "b2"])
SERIES = st.sampled_from(["s1", "s2"])
INVENTED = PAYLOADS.filter(lambda payload: not isinstance(payload, SeriesSealed))
"""Any entry but a seal, which would be checked against samples that were never there."""


class LogMachine(RuleBasedStateMachine):
    """A log beside a list of drafts and a list of samples a series."""

    log: SqliteLog

    @initialize()
    def begin(self) -> None:
        self.folder = Path(tempfile.mkdtemp())
        self.path = self.folder / "0.logbook"
        self.log = open_log(self.path, holder="machine")
        self.drafts: list[Draft] = []
        self.series: dict[str, list[Sample]] = {"s1": [], "s2": []}
        self.head = Head(seq=0, digest="")
        self.copies = 0

    def teardown(self) -> None:
        assert self.log.verify(self.head) == []
        self.log.close()
        shutil.rmtree(self.folder)

    @rule(payload=INVENTED, build=BUILDS)
    def append(self, payload: Payload, build: str) -> None:
        # the seal of an invented closing would be checked against samples that were never there
        self._append(draft(_unsealed(payload), build=build))

    def _append(self, new: Draft) -> None:
        stored = self.log.append(new)
        self.drafts.append(new)
        self.head = Head(seq=stored.seq, digest=stored.digest)

    @precondition(lambda self: self.drafts)
    @rule(data=st.data())
    def append_again(self, data: st.DataObject) -> None:
        seq = data.draw(st.integers(1, len(self.drafts)))
        assert self.log.append(self.drafts[seq - 1]).seq == seq

    @precondition(lambda self: self.drafts)
    @rule(data=st.data())
    def withdraw(self, data: st.DataObject) -> None:
        target = data.draw(st.integers(1, len(self.drafts)))
        self._append(draft(Withdrawn(target=target, reason="slip"), build=self.drafts[target - 1].build))

    @rule(name=SERIES, count=st.integers(0, 5))
    def add_samples(self, name: str, count: int) -> None:
        rows = self.series[name]
        if not rows and count:
            self._append(draft(started(name), build="b3"))
        rows += stream(count, first=len(rows))
        assert self.log.add_samples(name, rows[len(rows) - count :]) == len(rows)

    @rule()
    def open_again(self) -> None:
        self.log.close()
        self.log = open_log(self.path, holder="machine")
        assert self.log.read_only_because == ""

    @precondition(lambda self: self.drafts)
    @rule()
    def crash_inside_a_transaction(self) -> None:
        connection = self.log.connection
        connection.execute("BEGIN IMMEDIATE")
        (number,) = connection.execute("SELECT ifnull(max(id), 0) + 1 FROM series").fetchone()
        connection.execute("INSERT INTO series VALUES (?, 'lost')", (number,))
        connection.close()
        self.log._connection = None
        self.open_again()

    @rule()
    def go_on_with_a_copy(self) -> None:
        self.copies += 1
        target = self.folder / f"{self.copies}.logbook"
        assert import_bundle(list(export_bundle(self.log)), target) == self.head
        self.log.close()
        self.path = target
        self.log = open_log(self.path, holder="machine")

    @rule()
    def another_window_reads(self) -> None:
        reader = open_log_for_reading(self.path)
        assert reader.head() == self.head
        assert not reader.changed()
        reader.close()
        second = open_log(self.path, holder="second")
        assert second.read_only_because.startswith("machine ")
        second.close()

    @rule()
    def verify(self) -> None:
        assert self.log.verify(self.head) == []

    @invariant()
    def the_entries_are_those_of_the_model(self) -> None:
        entries = self.log.entries()
        assert [_as_draft(entry) for entry in entries] == self.drafts
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert self.log.head() == self.head
        for build in ("", "b1", "b2"):
            assert self.log.entries(build) == [entry for entry in entries if entry.build == build]
        if entries:
            kind = entries[-1].payload.KIND
            assert self.log.entry(len(entries)) == entries[-1]
            assert self.log.entries_of_kind(kind) == [entry for entry in entries if kind == entry.payload.KIND]

    @invariant()
    def the_samples_are_those_of_the_model(self) -> None:
        for name, rows in self.series.items():
            found = self.log.samples(name)
            assert list(found.elapsed_s) == [row.elapsed_s for row in rows]
            assert [None if math.isnan(value) else value for value in found.air_k] == [row.air_k for row in rows]
            assert self.log.last_sample(name) == (rows[-1] if rows else None)
            assert self.log.seal(name).count == len(rows)


def _unsealed(payload: Payload) -> Payload:
    changes: dict[str, Any] = {"samples": 0, "digest": ""} if hasattr(payload, "samples") else {}
    changes |= {"series": "never"} if hasattr(payload, "series") else {}
    return cast(Payload, replace(cast(Any, payload), **changes))


def _as_draft(entry: Logged) -> Draft:
    return Draft(**{name: getattr(entry, name) for name in Draft.__struct_fields__})


LogMachine.TestCase.settings = settings(
    max_examples=20, stateful_step_count=20, deadline=None, suppress_health_check=list(HealthCheck)
)


class TestTheLogEqualsItsModel(LogMachine.TestCase):  # type: ignore[misc,valid-type]
    """Run by pytest."""
