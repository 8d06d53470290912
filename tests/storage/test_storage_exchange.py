"""Bundles: out and in again is the same record; anything that is not quite a bundle leaves no logbook behind."""

import io
import json
from pathlib import Path

import pytest

from commission.base.errors import CommissionError, FileError, NotALogbook, ReadOnly
from commission.storage import exchange, samples
from commission.storage.exchange import export_bundle
from tests.registered import import_bundle, open_log, open_log_for_reading
from tests.storage.making import draft, filled, started, stream


@pytest.fixture(scope="module")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Return the lines of a bundle: header, 8 entries, one line of samples, the end."""
    log = filled(tmp_path_factory.mktemp("bundle") / "x.logbook")
    lines = list(export_bundle(log))
    log.close()
    return lines


@pytest.mark.parametrize("page", [1, 3, 8, 500])
def test_out_and_in_and_out_again_is_the_same(tmp_path: Path, page: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exchange, "PAGE", page)
    monkeypatch.setattr(samples, "CHUNK", 7 * page)
    log = filled(tmp_path / "x.logbook", streamed=45)
    log.append(draft(started("open"), build="b9"))
    log.add_samples("open", stream(3))
    lines = list(export_bundle(log))
    head = import_bundle(lines, tmp_path / "shop" / "y.logbook")
    assert head == log.head()
    again = open_log(tmp_path / "shop" / "y.logbook", holder="tests")
    assert again.read_only_because == ""
    assert again.verify(head) == []
    assert again.entries() == log.entries()
    assert again.seal("s1") == log.seal("s1")
    assert again.seal("open") == log.seal("open")
    assert list(export_bundle(again)) == lines
    assert again.append(draft()).seq == head.seq + 1
    log.close()
    again.close()


def test_an_empty_log_goes_out_and_in(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    lines = list(export_bundle(log))
    log.close()
    assert len(lines) == 2
    assert import_bundle(lines, tmp_path / "y").seq == 0


def test_the_lines_are_json_and_their_first_and_last_say_what_they_are(bundle: list[str]) -> None:
    data = [json.loads(line) for line in bundle]
    assert all(line.endswith("\n") and line.count("\n") == 1 for line in bundle)
    assert data[0] == {"bundle": "commission logbook", "version": 1}
    assert [entry["body"]["seq"] for entry in data[1:9]] == list(range(1, 9))
    assert data[9]["series"] == "s1"
    assert len(data[9]["samples"]) == 40
    assert data[10]["end"]["entries"] == 8
    assert data[10]["end"]["series"] == {"s1": {"count": 40, "digest": data[7]["body"]["payload"]["digest"]}}


def test_a_file_is_read_as_its_lines_are(bundle: list[str], tmp_path: Path) -> None:
    data = "".join(bundle).encode()
    first = import_bundle(io.BytesIO(data), tmp_path / "a")
    assert import_bundle(io.BytesIO(data.replace(b"\n", b"\r\n")), tmp_path / "b") == first
    assert import_bundle(io.BytesIO(data.removesuffix(b"\n")), tmp_path / "c") == first
    (tmp_path / "file").write_bytes(data)
    with (tmp_path / "file").open("rb") as file:
        assert import_bundle(file, tmp_path / "d") == first


def test_an_export_holds_what_was_there_when_it_began_and_blocks_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exchange, "PAGE", 4)
    path = tmp_path / "x.logbook"
    log = filled(path)
    reader = open_log_for_reading(path)
    lines = export_bundle(reader)
    begun = [next(lines) for _ in range(3)]
    log.append(draft())
    log.add_samples("s2", stream(5))
    rest = list(lines)
    assert import_bundle(begun + rest, tmp_path / "y").seq == 8
    reader.close()
    log.close()


def _changed(bundle: list[str], line: int, old: str, new: str) -> list[str]:
    assert old in bundle[line - 1]
    return [*bundle[: line - 1], bundle[line - 1].replace(old, new), *bundle[line:]]


def _refusal(lines: object, path: Path) -> str:
    with pytest.raises(CommissionError) as caught:
        import_bundle(lines, path)  # type: ignore[arg-type]
    assert not path.exists()
    assert not path.with_name(path.name + "-journal").exists()
    message = str(caught.value)
    assert "\n" not in message
    return message


@pytest.mark.parametrize(
    ("line", "old", "new", "message"),
    [
        (1, "logbook", "cookbook", "line 1: not the first line of a logbook bundle"),
        (1, ":1", ":2", "line 1: not the first line of a logbook bundle"),
        (1, "{", "\ufeff{", "line 1: not JSON"),
        (2, "note ", "Note ", "line 2: entry 1 does not match its digest"),
        (3, '"text":"', '"text":"x', "line 3: entry 2 does not match its digest"),
        (3, '"seq":2', '"seq":3', "line 3: entry 3 does not match its digest"),
        (3, '"digest":"', '"digest":"0', "line 3: an entry must be followed by its digest"),
        (3, '"}', '"} ', "line 3: an entry must be followed by its digest"),
        (3, '{"body"', '{ "body"', "line 3: neither an entry nor samples nor the end"),
        (3, '"offset_min":120', '"offset_min":NaN', "line 3: NaN is not a number"),
        (3, '"offset_min":120', '"offset_min":120,"offset_min":120', "line 3: the key"),
        (3, '"offset_min":120', '"offset_min":1e999', "line 3"),
        (3, '"offset_min":120', '"offset_min":' + "[" * 5000, "line 3: not readable: brackets"),
        (3, '"offset_min":120', '"offset_min":' + "1" * 5000, "line 3: not readable: a number"),
        (3, '"offset_min":120,', "", 'line 3: field "offset_min": this key is missing'),
        (10, '"first":1', '"first":2', "line 10: its first sample is number 2, but 0"),
        (10, "[0.0,", "[0.0,0,", "line 10: a sample must be a list of 6"),
        (10, "[0.0,", "[null,", 'line 10: field "elapsed_s": a number was expected'),
        (10, "[0.0,", "[1e999,", 'line 10: field "elapsed_s": a finite number'),
        (10, "[0.0,", "[2e300,", "line 10: it does not fit behind"),
        (10, "[0.0,", "[0.001,", "line 11: the samples do not match their seals"),
        (10, '"series":"s1"', '"series":5', 'line 10: field "series": a text was expected'),
        (10, '"series":"s1"', '"series":""', "line 10: it does not fit behind"),
        (10, '"series":"s1"', '"extra":1,"series":"s1"', 'line 10: field "extra": this key is not known'),
        (11, '"entries":8', '"entries":9', "line 11: the end names 9 entries"),
        (11, '"count":40', '"count":41', "line 11: the samples do not match their seals"),
        (11, '"end"', '"fin"', "line 11: neither an entry nor samples nor the end"),
        (11, '{"end"', '{"more":1,"end"', "line 11: neither an entry nor samples nor the end"),
    ],
)
def test_a_line_that_was_changed_is_refused_by_its_number_and_leaves_no_logbook(
    bundle: list[str], tmp_path: Path, line: int, old: str, new: str, message: str
) -> None:
    assert message in _refusal(_changed(bundle, line, old, new), tmp_path / "y")


def test_missing_doubled_and_misplaced_lines_are_refused(bundle: list[str], tmp_path: Path) -> None:
    path = tmp_path / "y"
    assert "cut off after line 0" in _refusal([], path)
    for end in range(1, len(bundle)):
        assert f"cut off after line {end}" in _refusal(bundle[:end], path)
    assert "line 3: entry 3 does not match" in _refusal([*bundle[:2], *bundle[3:]], path)
    assert "line 3: entry 1 does not match" in _refusal([*bundle[:2], *bundle[1:]], path)
    assert "line 11: its first sample is number 1, but 40" in _refusal([*bundle[:10], *bundle[9:]], path)
    assert "line 11: an entry stands after the samples" in _refusal([*bundle[:10], bundle[8], bundle[10]], path)
    assert "line 12: there are lines after the end" in _refusal([*bundle, "\n"], path)
    assert "line 2" in _refusal([bundle[0], "\n", *bundle[1:]], path)
    assert "line 10: the samples do not match" in _refusal([*bundle[:9], bundle[10]], path)


def test_samples_that_do_not_match_what_an_entry_sealed_are_refused(bundle: list[str], tmp_path: Path) -> None:
    """Even where the last line was made to agree with them."""
    cut = _changed(bundle, 11, bundle[10][bundle[10].index('"series"') :], '"series":{}}}\n')
    assert "entry 7: it seals 40 samples, but there are 0" in _refusal([*cut[:9], cut[10]], tmp_path / "y")


def test_a_chain_that_is_whole_may_still_not_repeat_an_id(tmp_path: Path) -> None:
    from commission.storage.chain import body_of, next_digest

    lines, digest = [json.dumps({"bundle": "commission logbook", "version": 1})], ""
    for seq in (1, 2):
        _, text = body_of(draft(uid="same"), seq)
        digest = next_digest(digest, text)
        lines.append(f'{{"body":{text},"digest":"{digest}"}}\n')
    assert "line 3: it does not fit behind the lines before it" in _refusal(lines, tmp_path / "y")


def test_a_chain_that_begins_in_the_middle_is_refused(tmp_path: Path) -> None:
    from commission.storage.chain import body_of, next_digest

    _, text = body_of(draft(), 5)
    line = f'{{"body":{text},"digest":"{next_digest("", text)}"}}\n'
    header = json.dumps({"bundle": "commission logbook", "version": 1})
    assert "line 2: it does not fit behind" in _refusal([header, line], tmp_path / "y")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "cut off after line 0"),
        (b"\xff\xfe{\x00", "line 1: not UTF-8"),
        (b'{"bundle":"commission logbook","version":1}\n{"body":\xe9}', "line 2: not UTF-8"),
        (b"x" * (9 * 1024 * 1024), "line 1: longer than"),
        (b"\x00" * 50, "line 1: not JSON"),
        (b"PK\x03\x04 a zip", "line 1: not JSON"),
    ],
)
def test_a_file_that_is_no_bundle_is_refused(tmp_path: Path, data: bytes, message: str) -> None:
    assert message in _refusal(io.BytesIO(data), tmp_path / "y")


def test_a_bundle_beyond_all_bounds_is_refused(
    bundle: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("commission.storage.bundle.MAX_CHARS", 2000)
    assert "the bundle or one of its lines is too long" in _refusal(bundle, tmp_path / "y")


def test_a_bundle_never_goes_over_anything(bundle: list[str], tmp_path: Path) -> None:
    filled(tmp_path / "ours").close()
    (tmp_path / "text").write_text("mine")
    before = {each: each.read_bytes() for each in tmp_path.iterdir()}
    with pytest.raises(FileError, match="there is a logbook at"):
        import_bundle(bundle, tmp_path / "ours")
    with pytest.raises(NotALogbook):
        import_bundle(bundle, tmp_path / "text")
    assert {each: each.read_bytes() for each in tmp_path.iterdir()} == before
    (tmp_path / "empty").touch()
    with pytest.raises(FileError, match="cut off"):
        import_bundle(bundle[:4], tmp_path / "empty")
    assert (tmp_path / "empty").read_bytes() == b""
    assert import_bundle(bundle, tmp_path / "empty").seq == 8


def test_two_imports_into_one_file_do_not_mix(bundle: list[str], tmp_path: Path) -> None:
    log = open_log(tmp_path / "y", holder="first window")
    with pytest.raises(ReadOnly, match="first window"):
        import_bundle(bundle, tmp_path / "y")
    log.close()


def test_a_place_where_no_file_can_be_made_is_named(bundle: list[str], tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(ReadOnly, match="cannot be made"):
        import_bundle(bundle, tmp_path / "file" / "below" / "y")
    with pytest.raises(ReadOnly, match="cannot be made"):
        open_log(tmp_path / "file" / "below" / "y", holder="tests")
