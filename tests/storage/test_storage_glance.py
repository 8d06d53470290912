"""The first look at a file promises nothing and never stumbles."""

import random
from pathlib import Path

from commission.record.entries import BuildBroughtBack, BuildOpened, BuildPutAway, Withdrawn
from commission.storage.glance import glance
from tests.registered import open_log
from tests.storage.making import draft, filled


def _builds(path: Path, names: list[str]) -> None:
    log = open_log(path, holder="tests")
    for name in names:
        log.append(draft(BuildOpened(name=name, procedure="x"), build=f"id of {name}"))
    log.close()


def test_the_build_opened_last_stands_first(tmp_path: Path) -> None:
    _builds(tmp_path / "x", ["first", "[/nope]", "last"])
    assert glance(tmp_path / "x") == [("id of last", "last"), ("id of [/nope]", "[/nope]"), ("id of first", "first")]


def test_a_build_that_was_put_away_is_left_out_until_it_is_brought_back(tmp_path: Path) -> None:
    _builds(tmp_path / "x", ["first", "last"])
    log = open_log(tmp_path / "x", holder="tests")
    log.append(draft(BuildPutAway(), build="id of last"))
    assert glance(tmp_path / "x") == [("id of first", "first")]
    log.append(draft(BuildBroughtBack(), build="id of last"))
    log.append(draft(BuildPutAway(), build="id of first"))
    assert glance(tmp_path / "x") == [("id of last", "last")]
    log.append(draft(Withdrawn(target=log.head().seq, reason="the wrong one"), build="id of first"))
    assert glance(tmp_path / "x") == [("id of last", "last"), ("id of first", "first")]
    log.close()


def test_what_is_no_logbook_has_no_builds(tmp_path: Path) -> None:
    (tmp_path / "text").write_text("hello " * 500)
    (tmp_path / "empty").touch()
    filled(tmp_path / "without builds").close()
    for name in ("text", "empty", "without builds", "missing", "."):
        assert glance(tmp_path / name) == []
    assert not (tmp_path / "missing").exists()


def test_damage_does_not_stop_the_first_picture(tmp_path: Path) -> None:
    _builds(tmp_path / "x", ["first", "second"])
    data, rng = (tmp_path / "x").read_bytes(), random.Random(20_261_125)
    whole = glance(tmp_path / "x")
    found = []
    for _ in range(150):
        copy = bytearray(data)
        where = rng.randrange(len(copy))
        copy[where : where + 16] = rng.randbytes(len(copy[where : where + 16]))
        (tmp_path / "x").write_bytes(copy)
        found.append(glance(tmp_path / "x"))
    assert whole in found
    assert [] in found
