"""``commission judge rails``: windows with their marks, raw digits, plugs that sag.

Outside: ATX12V power supply design guide 2.0, table 2 (+12 V 11.40 to 12.60, 3.3 V 3.14 to 3.47, -12 V -13.20 to
-10.80); the wider windows of ATX 3.x are second-hand.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.make_sweep_logs import RAILS
from tests.shell.running import SAMPLES, called, one_line, ran

STATUS = {"pass": 0, "fail": 1, "inconclusive": 3}
HEAD = "plug,connector,rail,voltage [V],load\n"


def judged(rows: str, *options: str, settings: str = "") -> dict[str, Any]:
    told = called("judge", "rails", "-", "--json", *options, text=settings + HEAD + rows)
    assert told.err == ""
    (line,) = told.lines
    found: dict[str, Any] = json.loads(line)
    assert told.status == STATUS[found["outcome"]]
    return found


@pytest.mark.parametrize("name", RAILS)
def test_the_samples_get_what_their_sketch_calls_for(name: str) -> None:
    file = str(SAMPLES / "rails" / f"{name}.csv")
    told = ran("judge", "rails", file)
    assert told.status == STATUS[RAILS[name][2]]
    assert told.lines[:3] == [f"verdict: {RAILS[name][2]}", f"file: {file}", f"revision: {RAILS[name][1]}"]


@pytest.mark.parametrize(
    ("typed", "rail", "kind", "revision", "outcome"),
    [
        ("11.400", "+12 V", "processor", "ATX2", "pass"),
        ("11.396", "+12 V", "processor", "ATX2", "fail"),  # shows as 11.40 where it is rounded
        ("11.396", "+12 V", "processor", "ATX3", "pass"),
        ("11.159", "+12 V", "processor", "ATX3", "fail"),
        ("11.159", "+12 V", "graphics", "ATX3", "pass"),
        ("11.039", "+12 V", "graphics", "ATX3", "fail"),
        ("12.604", "+12 V", "graphics", "ATX3", "fail"),
        ("3.14", "+3.3 V", "board", "ATX2", "pass"),
        ("3.139", "+3.3 V", "board", "ATX2", "fail"),
        ("3.474", "+3.3 V", "board", "ATX2", "fail"),
        ("-13.20", "-12 V", "board", "ATX2", "pass"),
        ("-10.79", "-12 V", "board", "ATX2", "fail"),
    ],
)
def test_the_raw_reading_decides_and_is_shown(typed: str, rail: str, kind: str, revision: str, outcome: str) -> None:
    found = judged(f"one,{kind},{rail},{typed},yes\n", "--revision", revision)
    assert (found["outcome"], found["revision"]) == (outcome, revision)
    assert (found["readings"][0]["raw"], found["readings"][0]["volt"]) == (typed, float(typed))
    plain = called("judge", "rails", "-", "--revision", revision, text=f"{HEAD}one,{kind},{rail},{typed},yes\n")
    assert any(line.startswith(f"rail one {rail} loaded: {typed} V, ") for line in plain.lines)


def test_every_window_carries_its_source_and_says_where_it_is_second_hand() -> None:
    rows = "a,board,+12 V,12.0,yes\nb,graphics,+12 V,12.0,yes\nc,board,+5 V,5.0,yes\n"
    old, new = (judged(rows, "--revision", revision)["readings"] for revision in ("ATX2", "ATX3"))
    assert {each["source"] for each in old} == {"ATX12V power supply design guide 2.0, table 2"}
    assert [(each["low_v"], each["high_v"]) for each in old] == [(11.40, 12.60), (11.40, 12.60), (4.75, 5.25)]
    assert [each["low_v"] for each in new] == [11.16, 11.04, 4.75]
    assert [each["source"].startswith("second-hand") for each in new] == [True, True, False]
    plain = called("judge", "rails", "-", "--revision", "ATX3", text=HEAD + rows)
    assert "rail b +12 V loaded: 12.0 V, PASS: 11.04 to 12.60 V (second-hand)" in plain.lines
    told = {line for line in plain.lines if line.startswith("windows: ")}
    assert {f"windows: {each['source']}" for each in new} == told


def test_a_plug_that_sags_is_found_although_it_is_within_the_window() -> None:
    # 12.06 - 11.30 = 0.76 V below the best plug of its rail; the wider window lets it pass
    sagging = str(SAMPLES / "rails" / "sagging-plug.csv")
    told = called("judge", "rails", sagging, "--revision", "ATX3", "--json")
    found = json.loads(told.out)
    assert (told.status, found["outcome"]) == (0, "pass")
    assert "graphics 2 sags" in found["remarks"][0]
    assert "0.76 V below main 24-pin" in found["remarks"][0]
    assert "second-hand" in found["remarks"][1]


def test_the_option_wins_over_the_revision_of_the_file_and_that_is_said() -> None:
    row = "one,processor,+12 V,11.3,yes\n"
    told = judged(row, "--revision", "atx3", settings="# revision: ATX2\n")
    assert (told["outcome"], told["remarks"][1:]) == (
        "pass",
        [
            "judged by ATX3 as asked; the file says ATX2",
            "not read in this file: +5 V, +3.3 V, +5VSB; a whole supply is judged with them",
        ],
    )
    assert judged(row, settings="# revision: ATX2\n")["outcome"] == "fail"
    agreed = judged(row, "--revision", "ATX2", settings="# revision: ATX2\n")["remarks"]
    assert not any("as asked" in note for note in agreed)


def test_without_a_revision_nothing_is_judged() -> None:
    told = called("judge", "rails", "-", text=f"{HEAD}one,board,+12 V,12.0,yes\n")
    assert (told.status, told.out) == (2, "")
    said = one_line(told.err)
    assert "--revision ATX2 or ATX3" in said
    assert '"# revision: ATX2"' in said


def test_an_error_of_the_meter_that_reaches_over_the_edge_leaves_it_open() -> None:
    # 11.41 - 0.02 is below 11.40
    found = judged("a,board,+12 V,11.41,yes\n", "--revision", "ATX2", settings="# meter error: 0.02 V\n")
    assert (found["outcome"], found["meter_error_v"]) == ("inconclusive", 0.02)


def test_what_was_read_without_load_is_marked() -> None:
    found = judged("a,board,+12 V,12.0,no\n", "--revision", "ATX2")
    assert found["readings"][0]["loaded"] is False
    assert "without load" in found["remarks"][0]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("a,board,+12 V,12 A,yes\n", 'has "A" behind its number'),
        ("a,board,+12 V,230,yes\n", '"230" is outside -30 to 30 V'),
        ("a,board,+7 V,7,yes\n", '"+7 V" is none of'),
        ("a,socket,+12 V,12,yes\n", '"socket" is none of'),
        (",board,+12 V,12,yes\n", "the plug has no name"),
        ("a,board,+12 V,,yes\n", "the cell is empty"),
    ],
)
def test_a_bad_file_gets_one_line_and_status_2(row: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(HEAD + row, encoding="utf-8")
    told = called("judge", "rails", str(path), "--revision", "ATX2")
    assert (told.status, told.out) == (2, "")
    said = one_line(told.err)
    assert said.startswith(f"commission: {path}: line 2")
    assert words in said


def test_a_revision_that_is_none_is_refused() -> None:
    told = called("judge", "rails", "x.csv", "--revision", "ATX4")
    assert (told.status, told.out) == (2, "")
    assert "--revision" in one_line(told.err)
