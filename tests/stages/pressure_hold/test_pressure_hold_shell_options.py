"""How the source was off, and a limit by its name, on the command line and in files."""

from pathlib import Path

import pytest

from tests.shell.running import Ran, called, one_line

TIGHT = "elapsed [min],gauge [mbar],air [degC],barometer [hPa]\n" + "".join(
    f"{minute},500.{minute % 2},21.0,1013.0\n" for minute in range(0, 61, 2)
)
"""A gauge that stands still for an hour."""
STATED = "# volume: 1.2 L +- 5 %\n# gauge step: 0.1 mbar\n"


def judged(path: Path, comments: str, *options: str) -> Ran:
    path.write_text(STATED + comments + TIGHT.replace(".1,21", ".0,21"), encoding="utf-8")
    return called("judge", "hold", str(path), *options)


@pytest.mark.parametrize("how", ["hose off", "valve shut, line vented"])
def test_a_source_that_was_off_is_told_and_may_pass(tmp_path: Path, how: str) -> None:
    for found in (
        judged(tmp_path / "file.csv", f"# source: {how}\n"),
        judged(tmp_path / "option.csv", "", "--source", how),
    ):
        assert found.status == 0
        assert f"source: {how}" in found.lines


def test_a_valve_alone_never_passes_and_the_first_reason_says_why(tmp_path: Path) -> None:
    found = judged(tmp_path / "x.csv", "# source: Valve only\n")
    assert (found.status, found.lines[0]) == (3, "verdict: inconclusive")
    reason = next(line for line in found.lines if line.startswith("reason: "))
    assert reason.startswith("reason: Source valve only: a valve that seeps in hides a leak")


def test_a_file_that_does_not_say_is_judged_on_the_assumption_and_told(tmp_path: Path) -> None:
    found = judged(tmp_path / "x.csv", "")
    assert found.status == 0
    assert any(line.startswith("assumed: the source was off") for line in found.lines)


def test_an_answer_that_is_none_is_refused(tmp_path: Path) -> None:
    assert "hose off" in one_line(judged(tmp_path / "x.csv", "# source: tape\n").err)
    assert judged(tmp_path / "x.csv", "", "--source", "valve").status == 2


def test_a_class_is_a_limit_by_its_name_and_not_beside_a_figure(tmp_path: Path) -> None:
    for name, limit in (("watertight", 0.01), ("strict", 0.002)):
        lines = judged(tmp_path / "x.csv", "", "--class", name).lines
        (told,) = (line for line in lines if line.startswith("limit: "))
        assert float(told.removeprefix("limit: ").partition(" mbar·L/s, ")[0]) == limit
    assert "keep one" in one_line(judged(tmp_path / "x.csv", "", "--class", "strict", "--limit", "1e-3 mbar*L/s").err)


def test_a_file_may_be_judged_by_any_limit_but_one_that_lets_water_out_is_told(tmp_path: Path) -> None:
    told = "reason: The limit 0.03 mbar·L/s is looser than watertight"
    loose = judged(tmp_path / "x.csv", "", "--limit", "0.03 mbar*L/s")
    assert loose.status == 0
    assert any(line.startswith(told) for line in loose.lines)
    assert not any("looser" in line for line in judged(tmp_path / "x.csv", "", "--limit", "0.01 mbar*L/s").lines)


def test_command_line_and_file_that_contradict_each_other_about_the_source_are_refused(tmp_path: Path) -> None:
    refused = judged(tmp_path / "x.csv", "# source: valve only\n", "--source", "hose off")
    assert (refused.status, refused.lines) == (2, [])
    assert '"# source: valve only", and --source says "hose off"' in one_line(refused.err)
    assert judged(tmp_path / "x.csv", "# source: hose off\n", "--source", "hose off").status == 0


def test_lines_of_a_file_that_the_command_line_overrules_are_named(tmp_path: Path) -> None:
    lines = "# limit: 5e-3 mbar*L/s\n# tapped: no\n# air step: 0.1 K\n"
    options = ("--limit", "1e-2 mbar*L/s", "--tapped", "--air-step", "0.1 K")
    told = [line for line in judged(tmp_path / "x.csv", lines, *options).lines if line.startswith("overruled: ")]
    assert [line.partition(",")[0] for line in told] == [
        "overruled: limit of the file",
        "overruled: tapped of the file",
    ]
    assert "5e-3 mbar*L/s" in told[0]


def test_a_volume_that_no_loop_has_is_told(tmp_path: Path) -> None:
    # 50 mL is our choice, see SMALLEST_LOOP_M3
    told = "reason: No loop is as small as 45 mL"
    assert any(line.startswith(told) for line in judged(tmp_path / "x.csv", "", "--volume", "45 mL +- 5 %").lines)
    assert not any("No loop" in line for line in judged(tmp_path / "x.csv", "", "--volume", "55 mL +- 5 %").lines)
