"""What is kept of the log is what reading and folding all of it again gives, and one answer folds one entry."""

import copy
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission.base.errors import Damaged
from commission.record import fold as folding
from commission.record.entries import NoteAdded, Withdrawn
from commission.record.face import Registry
from commission.record.fold import BuildState
from commission.record.logged import Draft, Logged
from commission.record.payload import Payload
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.fakes import ListLog, new_book
from tests.power_builds import header, powered_build
from tests.registered import fold_build, new_kept, open_log, open_log_for_reading, sample_logbook
from tests.storage.making import PAYLOADS, draft, filled, raw, without_guards

BUILDS = ("b1", "b2")
ANY_ENTRY = st.tuples(st.sampled_from(BUILDS), PAYLOADS)
A_WITHDRAWAL = st.tuples(
    st.sampled_from(BUILDS), st.builds(Withdrawn, target=st.integers(1, 14), reason=st.just("a slip"))
)
"""Of an entry before it, one that comes later, one of another build, or one that never comes."""


def whole(log: ListLog, build: str) -> BuildState:
    return fold_build(build, log.entries(build))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(rows=st.lists(ANY_ENTRY | A_WITHDRAWAL, max_size=12), looks=st.sets(st.integers(0, 12)))
def test_the_kept_state_is_the_fold_of_all_whatever_was_entered(
    rows: list[tuple[str, Payload]], looks: set[int]
) -> None:
    log, kept = ListLog(), new_kept()
    for number, (build, payload) in enumerate(rows):
        log.append(draft(payload, build=build))
        if number in looks:
            assert [kept.state(log, each) for each in BUILDS] == [whole(log, each) for each in BUILDS]
    assert [kept.state(log, each) for each in BUILDS] == [whole(log, each) for each in BUILDS]
    assert [kept.entries(log, each) for each in BUILDS] == [tuple(log.entries(each)) for each in BUILDS]
    kinds = {payload.KIND for _, payload in rows}
    assert {kind: kept.of_kind(log, kind) for kind in kinds} == {k: tuple(log.entries_of_kind(k)) for k in kinds}


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> list[Logged]:
    """The entries of the builds of the demo workshop: work that fits together, of nearly every kind."""
    opened = sample_logbook(tmp_path_factory.mktemp("demo"))
    try:
        return [entry for row in opened.book.builds() for entry in opened.book.entries(row.build_id)]
    finally:
        opened.book.close()


def again(entry: Logged, payload: Payload, uid: str) -> Draft:
    return Draft(
        uid=uid, build=entry.build, operator="Kim", mark=entry.mark, observed_ms=entry.observed_ms, payload=payload
    )


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_the_kept_state_is_the_fold_of_all_of_a_workshop_with_withdrawals_at_random(
    worked: list[Logged], data: st.DataObject
) -> None:
    log, kept = ListLog(), new_kept()
    first = data.draw(st.integers(0, len(worked) - 1), label="first")
    slips = data.draw(
        st.dictionaries(st.integers(0, 80), st.integers(0, 40), max_size=6), label="withdrawn, how far back"
    )
    rows = worked[first : first + 80]
    for number, entry in enumerate(rows):
        stored = log.append(again(entry, entry.payload, f"work {number}"))
        if number in slips:
            slip = Withdrawn(target=max(1, stored.seq - slips[number]), reason="a slip")
            log.append(again(entry, slip, f"slip {number}"))
        if number % 7 == 0:
            assert kept.state(log, entry.build) == whole(log, entry.build)
    for build in {entry.build for entry in rows}:
        assert kept.state(log, build) == whole(log, build)


# --- what it is good for -----------------------------------------------------------------------------------------


class CountingLog(ListLog):
    """A log that counts the entries of builds that it hands out."""

    read = 0

    def entries(self, build: str | None = None, *, after: int = 0) -> list[Logged]:
        found = super().entries(build, after=after)
        self.read += len(found)
        return found


def test_an_answer_reads_and_folds_its_own_entry_only(monkeypatch: pytest.MonkeyPatch) -> None:
    log = CountingLog()
    book, _, clock = new_book(log)
    build = powered_build(book, clock)
    folded: list[int] = []
    apply: Callable[[Registry, BuildState, Logged], BuildState] = folding._apply_entry

    def counted(registry: Registry, state: BuildState, entry: Logged) -> BuildState:
        folded.append(entry.seq)
        return apply(registry, state, entry)

    monkeypatch.setattr(folding, "_apply_entry", counted)
    book.build(build)
    folded.clear()
    log.read, before = 0, log.head().seq
    for number in range(5):
        book.work(FanHeaders).seats.add_header(build, header(f"SYS {number}"))
        book.build(build)
    stored = log.head().seq - before
    assert stored == 5
    assert len(folded) == len(set(folded)) == stored
    assert log.read == stored


def test_a_state_that_was_handed_out_stays_as_it_was() -> None:
    book, log, clock = new_book()
    build = powered_build(book, clock)
    early, text = book.build(build), repr(book.build(build))
    book.work(FanHeaders).seats.add_header(build, header("SYS 1"))
    book.add_note(build, "later")
    book.withdraw(log.head().seq, "a slip")
    assert book.build(build) != early
    assert repr(early) == text


def test_a_copy_of_a_book_goes_its_own_way() -> None:
    book, _, _ = new_book()
    build = book.open_build("North")
    assert book.build(build).notes == ()
    other = copy.deepcopy(book)
    other.add_note(build, "only here")
    assert (book.build(build).notes, other.build(build).notes) == ((), ("only here",))


# --- a log that was changed behind the program -------------------------------------------------------------------


def test_what_was_kept_is_read_anew_where_the_file_was_changed_behind_it(tmp_path: Path) -> None:
    log, kept = filled(tmp_path / "x"), new_kept()
    assert kept.state(log, "b1").problems == fold_build("b1", log.entries("b1")).problems
    assert len(kept.of_kind(log, "note added")) == 5
    other = without_guards(tmp_path / "x")
    other.execute("UPDATE entry SET body = replace(body, 'note', 'tone') WHERE seq = 3")
    for look in (kept.entries, kept.state):
        with pytest.raises(Damaged, match="entry 3 does not match its digest"):
            look(log, "b1")
    with pytest.raises(Damaged, match="entry 3 does not match its digest"):
        kept.of_kind(log, "note added")
    other.close()
    log.close()


def test_an_entry_that_was_taken_out_behind_the_program_no_longer_counts_for_it(tmp_path: Path) -> None:
    """As reading the file again tells it: the last entry has no later one whose digest would miss it."""
    log, kept = filled(tmp_path / "x"), new_kept()
    last = log.append(draft(NoteAdded(text="the last")))
    assert kept.state(log, "b1").notes[-1] == "the last"
    other = without_guards(tmp_path / "x")
    other.execute("DELETE FROM entry WHERE seq = ?", (last.seq,))
    assert kept.state(log, "b1").last == log.entries("b1")[-1] != last
    other.close()
    log.close()


def test_a_window_that_only_reads_shows_what_another_stores(tmp_path: Path) -> None:
    writer, kept = open_log(tmp_path / "x", holder="tests"), new_kept()
    writer.append(draft(NoteAdded(text="one")))
    reader = open_log_for_reading(tmp_path / "x")
    for text in ("two", "three"):
        writer.append(draft(NoteAdded(text=text)))
        assert kept.state(reader, "b1") == fold_build("b1", writer.entries("b1"))
        assert kept.of_kind(reader, "note added")[-1].payload == NoteAdded(text=text)
    reader.close()
    writer.close()


def test_the_mark_is_another_after_every_change_but_an_own_one(tmp_path: Path) -> None:
    log = filled(tmp_path / "x")
    mark = log.outside_mark()
    log.append(draft())
    assert log.outside_mark() == mark
    other = raw(tmp_path / "x")
    other.execute("CREATE TABLE passing (n)")
    other.close()
    changed = log.outside_mark()
    assert changed != mark
    # a disk error lets the file go; what stands in it is known only after reading it again
    log._disconnect()
    assert log.outside_mark() not in (mark, changed)
    log.close()
