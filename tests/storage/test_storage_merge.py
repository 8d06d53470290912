"""Two logbooks of one workshop made one, a bundle of one build, and what an import would bring: all or nothing."""

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from commission.base.errors import CommissionError, FileError
from commission.bootstrap import Opened, export_build, export_file, import_bundle, look_at_import, merge_logbook
from commission.record.arrival import Arrival
from commission.record.entries import EntriesTakenOver, Withdrawn
from commission.record.logbook import Logbook
from tests.holds import ready_build, start_hold
from tests.registered import REGISTRY, open_logbook
from tests.storage.making import stream

HOSTILE = '=1+1,"};\r\n{"end":{"entries":1}}\x00\x1b[2J\u202e</td>'
"""A text with all that ends a line, a cell, an entry or a page somewhere."""

Bench = Callable[[str], Logbook]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """Return what opens the logbook of a bench by its name."""
    books = []

    def opened(name: str) -> Logbook:
        book = open_logbook(tmp_path / f"{name}.logbook").book
        books.append(book)
        return book

    yield opened
    for book in books:
        book.close()


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with ``a.logbook``, which has a build in a running hold, and ``b.logbook``, made from a copy."""
    folder = tmp_path_factory.mktemp("two")
    opened = open_logbook(folder / "a.logbook")
    book = opened.book
    book.name_operator("Ilse")
    build = ready_build(book)
    start_hold(book, build)
    book.record_samples(_series(book, build), stream(70))
    export_file(opened, folder / "a.jsonl")
    book.close()
    import_bundle(folder / "a.jsonl", folder / "b.logbook", REGISTRY)
    return folder


@pytest.fixture
def two(made: Path, tmp_path: Path) -> Path:
    """Return a private copy of that folder."""
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    return tmp_path


def _series(book: Logbook, build: str) -> str:
    return next(str(e.payload.series) for e in book.entries(build) if hasattr(e.payload, "series"))


def _merge(folder: Path, source: str, target: str, *, dry: bool = False) -> Arrival:
    return merge_logbook(folder / source, folder / target, REGISTRY, "Ilse", dry=dry)


def _bytes(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _on(bench: Bench, name: str, *notes: str) -> Logbook:
    book = bench(name)
    build = book.find_build("Blue Heron")
    for note in notes:
        book.add_note(build, note)
    return book


def test_a_build_that_went_on_at_another_bench_goes_on_here_and_a_second_time_changes_nothing(
    two: Path, bench: Bench
) -> None:
    book = _on(bench, "b", "at the window", "wrong")
    build = book.find_build("Blue Heron")
    wrong = book.entries(build)[-1]
    book.withdraw(wrong.seq, "typed twice")
    book.record_samples(_series(book, build), stream(90)[70:])
    book.name_operator("Jonas")
    book.close()
    before = _bytes(two / "a.logbook")
    looked = _merge(two, "b.logbook", "a.logbook", dry=True)
    assert _bytes(two / "a.logbook") == before
    came = _merge(two, "b.logbook", "a.logbook")
    assert looked.refusals == ()
    assert (looked.entries, looked.builds, looked.readings) == (came.entries, (("Blue Heron", 3),), 20)
    here, there = bench("a"), bench("b")
    assert here.verify(came.head) == []
    theirs = [(e.uid, e.payload.KIND, e.mark) for e in there.entries(build)]
    assert [(e.uid, e.payload.KIND, e.mark) for e in here.entries(build)] == theirs
    assert here.build(build).notes == ("at the window",)
    # the withdrawal names the entry by the number that it has here, not by the one it had there
    last = here.entries(build)[-1].payload
    assert isinstance(last, Withdrawn)
    assert here.log.entry(last.target).uid == wrong.uid  # type: ignore[union-attr]
    assert here.log.seal(_series(here, build)) == there.log.seal(_series(there, build))
    assert here.shop().operator == "Ilse"
    here.close()
    same = _bytes(two / "a.logbook")
    again = _merge(two, "b.logbook", "a.logbook")
    assert (again.entries, again.readings, _bytes(two / "a.logbook")) == (0, 0, same)


def test_what_was_taken_over_says_where_it_stood(two: Path, bench: Bench) -> None:
    book = _on(bench, "b", "one", "two")
    head, build = book.head(), book.find_build("Blue Heron")
    there = {entry.uid: entry.seq for entry in book.entries(build)}
    book.close()
    _merge(two, "b.logbook", "a.logbook")
    here = bench("a")
    over = next(e.payload for e in here.entries("-") if isinstance(e.payload, EntriesTakenOver))
    assert (over.head, over.digest) == (head.seq, head.digest)
    told = {run.here + n: run.there + n for run in over.runs for n in range(run.count)}
    for entry in here.entries(build)[-2:]:
        assert told[entry.seq] == there[entry.uid]


def test_a_build_that_went_on_in_both_is_refused_whole_and_the_entries_are_named(two: Path, bench: Bench) -> None:
    ours = _on(bench, "a", "here")
    mine = ours.head().seq
    ours.close()
    book = _on(bench, "b", "there")
    his = book.head().seq
    ready_build(book, "Grey Owl")
    book.close()
    before = _bytes(two / "a.logbook")
    message = f"entry {mine} here and entry {his} there: the same build went on in both"
    with pytest.raises(FileError, match=message):
        _merge(two, "b.logbook", "a.logbook")
    assert [message in one for one in _merge(two, "b.logbook", "a.logbook", dry=True).refusals] == [True]
    assert _bytes(two / "a.logbook") == before
    # the build that only the other has would come in alone
    grey = bench("b")
    export_build(Opened(book=grey, path=two / "b.logbook"), grey.find_build("Grey Owl"), two / "grey.jsonl")
    grey.close()
    assert _merge(two, "grey.jsonl", "a.logbook").builds == (("Grey Owl", _count_of(bench, "Grey Owl")),)


def _count_of(bench: Bench, name: str) -> int:
    book = bench("a")
    found = len(book.entries(book.find_build(name)))
    assert book.verify() == []
    book.close()
    return found


def test_readings_that_differ_and_names_that_are_taken_are_refused(two: Path, bench: Bench) -> None:
    for name, first in (("a", 70), ("b", 71)):
        book = _on(bench, name)
        build = book.find_build("Blue Heron")
        book.record_samples(_series(book, build), stream(first + 3)[first:])
        ready_build(book, "Grey Owl")
        book.close()
    refusals = _merge(two, "b.logbook", "a.logbook", dry=True).refusals
    assert any('the name "Grey Owl" is taken' in one for one in refusals)
    assert any("readings 1 to 73 of the series" in one for one in refusals)
    with pytest.raises(CommissionError, match="more, which --dry-run tells"):
        _merge(two, "b.logbook", "a.logbook")


def test_a_bundle_of_one_build_is_a_sound_logbook_and_merges_back_to_nothing(two: Path, bench: Bench) -> None:
    book = _on(bench, "a", HOSTILE)
    ready_build(book, "Grey Owl")
    build = book.find_build("Blue Heron")
    head = export_build(Opened(book=book, path=two / "a.logbook"), build, two / "one.jsonl")
    import_bundle(two / "one.jsonl", two / "c.logbook", REGISTRY)
    alone = bench("c")
    assert alone.verify(head) == []
    assert [row.name for row in alone.builds()] == ["Blue Heron"]
    # without a number in it an entry is word for word the same
    assert [e.payload for e in alone.entries(build)] == [e.payload for e in book.entries(build)]
    assert alone.log.seal(_series(alone, build)) == book.log.seal(_series(book, build))
    alone.add_note(build, "on the road")
    alone.close()
    book.close()
    assert _merge(two, "one.jsonl", "a.logbook").entries == 0
    assert _merge(two, "c.logbook", "a.logbook").builds == (("Blue Heron", 1),)
    merged = bench("a")
    assert merged.verify() == []
    assert merged.build(build).notes == (HOSTILE, "on the road")


def test_a_look_at_an_import_tells_every_refusal_and_leaves_nothing(two: Path) -> None:
    lines = (two / "a.jsonl").read_text().splitlines()
    kinds = ("operator named", "part added")
    wanted = [next(n for n, line in enumerate(lines) if f'"kind":"{kind}"' in line) for kind in kinds]
    for n in wanted:
        lines[n] = lines[n].replace('"offset_min":', '"offset_min":1')
    (two / "bad.jsonl").write_text("\n".join(lines) + "\n")
    there = sorted(path.name for path in two.iterdir())
    looked = look_at_import(two / "bad.jsonl", two / "new.logbook", REGISTRY)
    assert [one.split(":")[0] for one in looked.refusals] == [f"line {n + 1}" for n in wanted]
    assert look_at_import(two / "a.jsonl", two / "new.logbook", REGISTRY).refusals == ()
    (taken,) = look_at_import(two / "a.jsonl", two / "b.logbook", REGISTRY).refusals
    assert "commission merge takes a bundle into one that is there" in taken
    assert sorted(path.name for path in two.iterdir()) == there


def _rechained(lines: list[str], change: Callable[[dict[str, object]], None], line: int) -> str:
    """Return the lines of a bundle with one entry changed by somebody who can make digests."""
    out, digest = [lines[0]], ""
    for number, before in enumerate(lines[1:], 1):
        text = before
        data = json.loads(text)
        if "body" in data:
            if number == line:
                change(data["body"])
            body = json.dumps(data["body"], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            digest = hashlib.sha256(f"{digest}\n{body}".encode()).hexdigest()
            text = f'{{"body":{body},"digest":"{digest}"}}'
        elif "end" in data:
            data["end"]["digest"] = digest
            text = json.dumps(data, sort_keys=True, separators=(",", ":"))
        out.append(text)
    return "\n".join(out) + "\n"


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        ("build opened", lambda body: body["payload"].update(name="x" * 900)),
        ("part added", lambda body: body["payload"]["part"].update(volume_m3=-1.0)),
        ("part added", lambda body: body.update(uid="")),
        ("part added", lambda body: body.update(kind="no such kind")),
        ("hold started", lambda body: body.update(build="another")),
        ("series sealed", lambda body: body["payload"].update(last=9)),
        ("session opened", lambda body: body.update(kind="entries taken over", payload={
            "head": 1, "digest": "x", "runs": [{"here": 1, "there": 1, "count": 9_007_199_254_740_991}]})),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_a_hostile_bundle_changes_nothing(two: Path, kind: str, change: Callable[[dict[str, object]], None]) -> None:
    lines = (two / "a.jsonl").read_text().splitlines()
    line = next(n for n, text in enumerate(lines) if f'"kind":"{kind}"' in text)
    (two / "bad.jsonl").write_text(_rechained(lines, change, line))
    before = {path.name: _bytes(path) for path in two.iterdir()}
    with pytest.raises(CommissionError) as caught:
        import_bundle(two / "bad.jsonl", two / "new.logbook", REGISTRY)
    assert "\n" not in str(caught.value)
    with pytest.raises(CommissionError):
        _merge(two, "bad.jsonl", "b.logbook")
    after = {path.name: _bytes(path) for path in two.iterdir() if not path.name.endswith(".lock")}
    assert after == {name: digest for name, digest in before.items() if not name.endswith(".lock")}
