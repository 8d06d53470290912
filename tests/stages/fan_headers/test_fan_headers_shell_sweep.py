"""``commission judge sweep``: words, figures and exit status; options against comments; files that cannot be read.

Outside: the words of the sample sweeps are argued from their simulated truth in ``tests/make_sweep_logs.py``. Figures
named below are worked by hand; the probabilities by chance are counts of permutations, S = 15 of 6 levels is 1/720
(Kendall 1970).
"""

import json
from pathlib import Path
from typing import Any

import pytest

from commission.base.verdict import Outcome
from commission.stages.fan_headers.model.sweep import SweepWord
from tests.make_sweep_logs import BENCHES, Bench
from tests.shell.running import SAMPLES, called, one_line, ran

STATUS = {"pass": 0, "fail": 1, "inconclusive": 3, "invalid": 4}
HEAD = "duty [%],speed [rpm]\n"
KEYS = {
    "file", "outcome", "said", "trend_p", "span", "stop_duty", "start_duty", "minimum_advised", "hysteresis",
    "reasons", "stall", "remarks", "causes",
}  # fmt: skip
SIX = (30, 40, 50, 60, 80, 100)
SCATTER = (-6, 3, 0, 5, -4)


def once(*rows: tuple[int, int, str], settings: str = "") -> str:
    return settings + "duty [%],speed [rpm],direction\n" + "".join(f"{d},{n},{way}\n" for d, n, way in rows)


def sampled(*centres: int, duties: tuple[int, ...] = SIX, settings: str = "") -> str:
    rows = [(duty, c + more if c else 0) for duty, c in zip(duties, centres, strict=True) for more in SCATTER]
    return settings + HEAD + "".join(f"{duty},{rpm}\n" for duty, rpm in rows)


def judged(text: str, *options: str) -> dict[str, Any]:
    told = called("judge", "sweep", "-", "--json", *options, text=text)
    assert told.err == ""
    (line,) = told.lines
    found: dict[str, Any] = json.loads(line)
    assert told.status == STATUS[found["outcome"]]
    return found


@pytest.mark.parametrize("bench", BENCHES, ids=lambda bench: str(bench.file))
def test_word_and_exit_status_are_those_that_the_truth_calls_for(bench: Bench) -> None:
    file = str(SAMPLES / "sweeps" / f"{bench.file}.csv")
    plain, programs = called("judge", "sweep", file), called("judge", "sweep", file, "--json")
    word, _, stall = bench.verdict.partition(", ")
    found = json.loads(programs.out)
    assert (found["word"], found["stall"] or "", found["outcome"]) == (word, stall, bench.outcome)
    assert found["file"] == file
    assert set(found) >= KEYS
    assert plain.status == programs.status == STATUS[bench.outcome]
    assert plain.lines[:3] == [f"verdict: {bench.outcome}", f"file: {file}", f"shows: {bench.verdict}"]
    assert plain.lines[3] == f"reason: {found['reasons'][0]}"
    assert all(f"cause: {cause}" in plain.lines for cause in found["causes"])


def test_the_exit_status_of_a_real_process_says_the_verdict() -> None:
    assert ran("judge", "sweep", str(SAMPLES / "sweeps" / "rear-ignores.csv")).status == 1


def test_all_the_words_of_a_sweep_can_come_out_of_the_shell() -> None:
    files = [str(SAMPLES / "sweeps" / f"{bench.file}.csv") for bench in BENCHES]
    told = called("judge", "sweep", "--json", *files)
    found = [json.loads(line) for line in told.lines]
    assert told.status == 0
    assert {each["word"] for each in found} == set(SweepWord)
    assert {each["outcome"] for each in found} == set(Outcome)


def test_the_figures_of_a_rising_curve() -> None:
    # by hand: full speed 1497, lowest 455: span (1497 - 455)/1497; one order of 6! = 720
    found = judged(sampled(455, 604, 752, 899, 1201, 1497))
    assert (found["said"], found["outcome"], found["stall"]) == ("controlled", "pass", None)
    assert found["trend_p"] == pytest.approx(1 / 720, abs=1e-7)
    assert found["span"] == pytest.approx((1497 - 455) / 1497, abs=1e-4)
    assert (found["full_rpm"], found["stop_duty"], found["start_duty"], found["hysteresis"]) == (1497, None, None, None)


def test_a_perfect_order_of_one_per_cent_is_no_control() -> None:
    # 1480, 1482 ... 1496 over nine duties: span 16/1496 = 1.07 %, a trend that proves nothing of effect
    duties = tuple(range(20, 101, 10))
    text = HEAD + "".join(f"{duty},{1480 + 2 * i}\n" for i, duty in enumerate(duties))
    found = judged(text)
    assert found["said"] == "ignores control"
    assert found["span"] == pytest.approx(16 / 1496, abs=1e-6)


def test_a_stall_has_its_bracket() -> None:
    # two zeros tie: 2 of 720 orders are as good
    found = judged(sampled(0, 0, 682, 845, 1173, 1500))
    assert (found["said"], found["word"], found["stall"]) == (
        "controlled, stalls below 50 %",
        "controlled",
        "stalls below 50 %",
    )
    assert (found["stop_duty"], found["runs_duty"]) == (40, 50)
    assert found["trend_p"] == pytest.approx(2 / 720, abs=1e-7)


def test_both_ways_tell_start_hysteresis_and_the_minimum() -> None:
    # by hand: largest difference of the ways 985 - 978 = 842 - 835 = 695 - 688 = 7; stands at 20, runs at 30 on the way
    # down; stands at 30, turns at 40 on the way up; one level above the start is 50
    down = [(100, 1498), (80, 1258), (60, 985), (50, 842), (40, 695), (30, 548), (20, 0)]
    up = [(20, 0), (30, 0), (40, 688), (50, 835), (60, 978), (80, 1254), (100, 1496)]
    found = judged(once(*((d, n, "down") for d, n in down), *((d, n, "up") for d, n in up)))
    assert (found["hysteresis"], found["repeat"], found["starts_later"]) == (7, 2, True)
    assert (found["stop_duty"], found["runs_duty"], found["start_duty"], found["minimum_advised"]) == (20, 30, 40, 50)


def test_the_advised_minimum_stands_in_the_plain_lines_too() -> None:
    told = called("judge", "sweep", str(SAMPLES / "sweeps" / "top-starved.csv"))
    # truth: stops at 40 %, starts at 60 %; the level above is 80 %
    assert {"keep at least: 80 %", "stops at: 40 %, starts at 60 %"} <= set(told.lines)
    assert any(line.startswith("caution: plug and unplug only") for line in told.lines)


def test_a_level_at_full_duty_that_is_missing_is_asked_for() -> None:
    text = HEAD + "".join(f"{duty},{15 * duty}\n" for duty in (30, 40, 50, 60, 70, 80, 90))
    found = judged(text)
    assert (found["said"], found["outcome"]) == ("insufficient", "inconclusive")
    assert "a level at 100 %" in found["reasons"][0]
    assert (found["trend_p"], found["minimum_advised"]) == (None, None)


@pytest.mark.parametrize("typed", ["1500", "1500 rpm", "1500,0"])
def test_the_nameplate_reveals_two_tachs(typed: str) -> None:
    # 3000 over 1500 is 2.0, beyond 1.2
    text = sampled(900, 1200, 1500, 1800, 2400, 3000)
    assert judged(text)["said"] == "controlled"
    found = judged(text, "--nameplate", typed)
    assert (found["said"], found["outcome"]) == ("erratic tach", "invalid")
    assert "2.00 of the nameplate's 1500 rpm" in found["remarks"][0]


def test_the_option_wins_over_the_nameplate_of_the_file_and_that_is_said() -> None:
    text = sampled(900, 1200, 1500, 1800, 2400, 3000, settings="# nameplate: 3000 rpm\n")
    assert judged(text)["remarks"] == []
    assert judged(text, "--nameplate", "3000")["remarks"] == []
    found = judged(text, "--nameplate", "1500")
    assert found["said"] == "erratic tach"
    assert found["remarks"][-1:] == ["the nameplate is 1500 rpm as asked; the file says 3000 rpm"]
    plain = called("judge", "sweep", "-", "--nameplate", "1500", text=text)
    assert plain.lines[-1] == f"remark: {found['remarks'][-1]}"


def test_the_flat_line_of_a_pump_is_no_fault() -> None:
    flat = sampled(2403, 2399, 2401, 2404, 2400, 2402)
    fan, pump = judged(flat), judged(flat, "--pump")
    assert (fan["said"], fan["outcome"]) == ("ignores control", "fail")
    assert fan["causes"]
    assert (pump["said"], pump["outcome"], pump["causes"]) == ("ignores control", "pass", [])


@pytest.mark.parametrize("speeds", [(0, 0, 682, 845, 1173, 1500), (455, 604, 752, 899, 1201, 1497)])
def test_a_header_that_slows_or_stops_a_pump_fails(speeds: tuple[int, ...]) -> None:
    assert judged(sampled(*speeds))["outcome"] == "pass"
    pump = judged(sampled(*speeds), "--pump")
    # no low duty is advised for what must run at full speed
    assert (pump["outcome"], pump["minimum_advised"]) == ("fail", None)
    assert not any(reason.startswith("Leave it at") for reason in pump["reasons"])
    assert judged(sampled(*speeds, settings="# pump: yes\n"))["outcome"] == "fail"


def test_a_dash_reads_standard_input() -> None:
    path = SAMPLES / "sweeps" / "floor-weak.csv"
    piped = ran("judge", "sweep", "-", "--json", text=path.read_bytes())
    filed = called("judge", "sweep", str(path), "--json")
    assert (piped.status, filed.status) == (3, 3)
    assert json.loads(piped.out) == json.loads(filed.out) | {"file": "-"}


def test_several_files_are_all_judged_although_one_cannot_be_read(tmp_path: Path) -> None:
    good = [str(SAMPLES / "sweeps" / f"{name}.csv") for name in ("front-controlled", "rear-ignores")]
    told = called("judge", "sweep", good[0], str(tmp_path / "missing.csv"), good[1], "--json")
    assert told.status == 2
    assert [json.loads(line)["outcome"] for line in told.lines] == ["pass", "fail"]
    assert "missing.csv" in one_line(told.err)
    assert called("judge", "sweep", *good).status == 0


BAD = {
    "over 60,000 rpm": ("100,60001\n", '"60001" is outside 0 to 60000 rpm'),
    "over 100 %": ("101,1500\n", '"101" is outside 0 to 100 %'),
    "watts": ("100,18 W\n", 'has "W" behind its number'),
    "no duty": (",1500\n", "the cell is empty"),
    "words": ("full,1500\n", "does not start with a number"),
    "no row": ("", "no row of readings"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_gets_one_line_and_status_2(name: str, tmp_path: Path) -> None:
    rows, words = BAD[name]
    path = tmp_path / "bad.csv"
    path.write_text(HEAD + rows, encoding="utf-8")
    told = called("judge", "sweep", str(path))
    assert (told.status, told.out) == (2, "")
    said = one_line(told.err)
    assert said.startswith(f"commission: {path}: ")
    assert words in said


@pytest.mark.parametrize("typed", ["0", "-5", "60001", "1500 W", "fast", "", "nan", "1,500"])
def test_a_nameplate_that_is_no_speed_is_refused(typed: str) -> None:
    told = called("judge", "sweep", str(SAMPLES / "sweeps" / "top-cured.csv"), "--nameplate", typed)
    assert (told.status, told.out) == (2, "")
    assert "--nameplate" in one_line(told.err)


def test_hostile_text_reaches_the_terminal_spelled_out(tmp_path: Path) -> None:
    path = tmp_path / "red\x1b[31m\u202e.csv"
    path.write_text(sampled(455, 604, 752, 899, 1201, 1497), encoding="utf-8")
    for more in ((), ("--json",)):
        shown = called("judge", "sweep", str(path), *more).out
        assert "\x1b" not in shown
        assert "\\u001b[31m\\u202e.csv" in shown
