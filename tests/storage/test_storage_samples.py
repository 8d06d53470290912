"""Streamed samples: all or none, in order, sealed."""

import hashlib
import json
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from commission.base.errors import Damaged, InputError
from commission.base.frozen import replace
from commission.record.logged import Sample
from commission.storage import samples
from tests.registered import open_log, open_log_for_reading
from tests.storage.making import TEXT, draft, filled, started, stream, without_guards


def test_samples_come_back_as_columns_with_nan_for_what_was_not_read(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    rows = stream(5)
    assert log.add_samples("s", rows[:2]) == 2
    assert log.add_samples("t", rows[:1]) == 1
    assert log.add_samples("s", rows[2:]) == 5
    assert log.add_samples("s", []) == 5
    found = log.samples("s")
    assert list(found.elapsed_s) == [row.elapsed_s for row in rows]
    assert list(found.pressure_pa) == [row.pressure_pa for row in rows]
    assert list(found.barometer_pa) == [row.barometer_pa for row in rows]
    assert [math.isnan(value) for value in found.air_k] == [row.air_k is None for row in rows]
    assert log.last_sample("s") == rows[-1]
    assert log.last_sample("t") == rows[0]
    assert log.last_sample("u") is None
    log.close()


def test_the_seal_is_the_digest_of_the_samples_as_one_json_list(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    rows = stream(samples.CHUNK * 2 + 3)
    log.add_samples("s", rows)
    text = json.dumps([list(structs.astuple(row)) for row in rows], separators=(",", ":"), ensure_ascii=False)
    seal = log.seal("s")
    assert (seal.count, seal.digest) == (len(rows), hashlib.sha256(text.encode()).hexdigest())
    log.close()


def test_the_seal_does_not_depend_on_how_the_samples_came(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    rows = stream(30)
    log.add_samples("at once", rows)
    for row in rows:
        log.add_samples("one by one", [row])
    assert log.seal("at once") == log.seal("one by one")
    log.close()


@pytest.mark.parametrize(
    ("change", "error"),
    [
        ({"elapsed_s": math.nan}, "a finite number was expected"),
        ({"pressure_pa": math.inf}, "a finite number was expected"),
        ({"air_k": -math.inf}, "a finite number was expected"),
        ({"barometer_pa": math.nan}, "a finite number was expected"),
        ({"pressure_pa": 2e300}, "outside all bounds"),
        ({"elapsed_s": -2e300}, "outside all bounds"),
        ({"typed": "\ud800"}, "lone surrogate"),
        ({"wall_ms": 2**63}, "whole number is too large"),
    ],
)
def test_one_bad_sample_stores_none_of_its_batch(tmp_path: Path, change: dict[str, object], error: str) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    log.append(draft(started("s")))
    log.add_samples("s", stream(2))
    before = log.seal("s")
    good = stream(3, first=2)
    bad: Sample = replace(good[1], **change)  # type: ignore[arg-type]
    with pytest.raises(InputError, match=error):
        log.add_samples("s", [good[0], bad, good[2]])
    with pytest.raises(InputError, match=error):
        log.add_samples("new", [bad])
    assert log.seal("s") == before
    assert log.seal("new").count == 0
    assert log.verify() == []
    log.close()


BOUNDED = st.floats(-1e300, 1e300)
ROWS = st.builds(
    Sample,
    elapsed_s=BOUNDED,
    wall_ms=st.integers(-(2**53) + 1, 2**53 - 1),
    pressure_pa=st.none() | BOUNDED,
    air_k=st.none() | BOUNDED,
    barometer_pa=st.none() | BOUNDED,
    typed=TEXT,
)


@settings(max_examples=25, deadline=None)
@given(rows=st.lists(ROWS, max_size=3))
def test_any_finite_sample_comes_back_as_it_was(tmp_path_factory: pytest.TempPathFactory, rows: list[Sample]) -> None:
    log = open_log(tmp_path_factory.mktemp("s") / "x", holder="tests")
    for row in rows:
        log.add_samples("s", [row])
        assert log.last_sample("s") == row
    log.close()


def test_a_day_of_samples_at_one_a_second_fits_into_one_transaction(tmp_path: Path) -> None:
    rows = stream(86_400)
    log = open_log(tmp_path / "x", holder="tests")
    assert log.add_samples("day", rows) == 86_400
    found = log.samples("day")
    assert list(found.elapsed_s) == [row.elapsed_s for row in rows]
    assert log.last_sample("day") == rows[-1]
    log.close()


def test_the_last_sample_of_a_long_series_is_found_without_reading_it(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    log.add_samples("s", stream(500))
    plan = log.connection.execute(
        "EXPLAIN QUERY PLAN SELECT max(n) FROM sample WHERE series = (SELECT id FROM series WHERE name = 's')"
    ).fetchall()
    assert any("SEARCH sample" in row[3] for row in plan)
    log.close()


def test_a_sample_that_is_no_number_is_reported_as_damage(tmp_path: Path) -> None:
    log = filled(tmp_path / "x")
    log.add_samples("s2", stream(5))
    log.close()
    connection = without_guards(tmp_path / "x")
    # a hex editor can do what a STRICT table refuses; here the table is made again without it
    connection.execute("CREATE TABLE copy (series, n, elapsed_s, wall_ms, pressure_pa, air_k, barometer_pa, typed)")
    connection.execute("INSERT INTO copy SELECT * FROM sample")
    connection.execute("DROP TABLE sample")
    connection.execute("ALTER TABLE copy RENAME TO sample")
    connection.execute("UPDATE sample SET pressure_pa = x'00' WHERE n = 3")
    connection.close()
    log = open_log_for_reading(tmp_path / "x")
    with pytest.raises(Damaged, match="a sample of s2 is not a number"):
        log.samples("s2")
    with pytest.raises(Damaged, match="the samples it seals were changed"):
        log.samples("s1")
    assert any("the samples it seals were changed" in problem.message for problem in log.verify())
    log.close()
