"""``commission judge hold``: exit status, options against comments, files that cannot be read."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.shell.running import SAMPLES, called, command, environment, one_line, ran, statuses

HOUR = "".join(f"{minute},{500 - minute * 0.05:.2f},21.0,1008.0\n" for minute in range(0, 61, 2))
"""Falls by 3 mbar in an hour at the same temperature and barometer."""
HEAD = "elapsed [min],gauge [mbar],air [degC],barometer [hPa]\n"
LITRE = "# volume: 1 L +- 1 %\n"


@pytest.fixture
def hour(tmp_path: Path) -> Path:
    path = tmp_path / "hour.csv"
    path.write_text(LITRE + HEAD + HOUR, encoding="utf-8")
    return path


VERDICTS = {
    "tight-loop": ("pass", 0),
    "pinched-seal": ("fail", 1),
    "coarse-dial": ("inconclusive", 3),
    "source-left-open": ("invalid", 4),
}
"""Of some sample files: the verdict and its exit status."""


@pytest.mark.parametrize("file", VERDICTS)
def test_the_exit_status_says_the_verdict(file: str) -> None:
    word, status = VERDICTS[file]
    judged = called("judge", "hold", str(SAMPLES / f"{file}.csv"))
    assert (judged.status, judged.err) == (status, "")
    assert judged.lines[0] == f"verdict: {word}"


@pytest.mark.skipif(sys.platform != "linux", reason="the cases run on scratch files in memory, which are Linux'")
def test_a_process_ends_with_the_status_of_its_verdict() -> None:
    same: dict[str, object] = {"out": "file", "err": "file", "env": {}}
    same["needs"] = ("commission.stages.pressure_hold.judge.verdict", "scipy.special")
    cases = [same | {"arguments": ("judge", "hold", str(SAMPLES / f"{file}.csv"))} for file in VERDICTS]
    assert statuses(cases) == [status for _, status in VERDICTS.values()]


def test_a_pass_says_where_nobody_said_how_the_source_was_off(tmp_path: Path) -> None:
    said = (SAMPLES / "tight-loop.csv").read_text(encoding="utf-8")
    (tmp_path / "silent.csv").write_text(said.replace("# source: hose off\n", ""), encoding="utf-8")
    silent = called("judge", "hold", str(tmp_path / "silent.csv")).out
    assert "How the source was off is not said" in silent
    assert "How the source was off is not said" not in called("judge", "hold", str(SAMPLES / "tight-loop.csv")).out


def test_every_line_is_one_fact_under_a_key() -> None:
    judged = called("judge", "hold", str(SAMPLES / "tight-loop.csv"))
    assert all(": " in line for line in judged.lines)
    keys = [line.partition(":")[0] for line in judged.lines]
    assert {"verdict", "file", "volume", "reason", "leak rate", "limit", "test pressure"} <= set(keys)
    assert sum(key.startswith("For comparison only") for key in keys) == 2


def test_the_leak_rate_is_the_textbook_one(hour: Path) -> None:
    # ideal gas, rigid loop of 1 L: 3 mbar lost in 3600 s is 3 mbar·L / 3600 s = 8.33e-5 Pa·m3/s at the gas temperature;
    # at 20 °C that is 293.15 / 294.15 of it. The viscous law adds 0.2 % at the start of so small a fall.
    judged = json.loads(called("judge", "hold", "--json", str(hour)).out)
    assert judged["leak_rate"]["value"] == pytest.approx(300 * 1e-3 / 3600 * 293.15 / 294.15, rel=0.01)
    assert judged["leak_rate"]["lower95"] < judged["leak_rate"]["value"] < judged["leak_rate"]["upper95"]
    assert judged["reference_k"] == 293.15


@pytest.mark.parametrize(
    ("options", "key", "value"),
    [
        (("--volume", "2 L +- 1 %"), "leak_rate", 2.0),
        (("--limit", "5e-3 mbar*L/s"), "limit", 0.5),
        (("--limit", "5e-4 Pa*m3/s"), "limit", 0.5),
    ],
)
def test_the_command_line_wins_over_the_file(hour: Path, options: tuple[str, ...], key: str, value: float) -> None:
    plain, other = (json.loads(called("judge", "hold", "--json", str(hour), *more).out)[key] for more in ((), options))
    if key == "leak_rate":
        plain, other = plain["value"], other["value"]
    assert other == pytest.approx(value * plain, rel=1e-6)


def test_a_coarser_step_widens_the_bounds(hour: Path) -> None:
    fine, coarse = (
        json.loads(called("judge", "hold", "--json", str(hour), "--gauge-step", step).out)
        for step in ("0.05 mbar", "1 mbar")
    )
    assert coarse["leak_rate"]["upper95"] > fine["leak_rate"]["upper95"]
    assert coarse["smallest_detectable"] > fine["smallest_detectable"]


def test_a_wider_swing_of_the_room_widens_the_bounds_where_no_thermometer_was_read(tmp_path: Path) -> None:
    path = tmp_path / "no-air.csv"
    rows = "".join(f"{minute},{500 - minute * 0.05:.2f}\n" for minute in range(0, 61, 2))
    path.write_text(f"{LITRE}elapsed [min],gauge [mbar]\n{rows}", encoding="utf-8")
    calm, usual = (called("judge", "hold", "--json", str(path), *more) for more in (("--room-swing", "0.1 K"), ()))
    assert json.loads(calm.out)["leak_rate"]["upper95"] < json.loads(usual.out)["leak_rate"]["upper95"]
    assert "Assumed: no thermometer was read, so the loop may have wandered by 1 K" in usual.out
    assert "wandered" not in calm.out


@pytest.mark.parametrize("swing", ["0 K", "0.001 K", "30 K"])
def test_a_swing_that_no_room_has_is_refused_as_in_a_plan(tmp_path: Path, swing: str) -> None:
    path = tmp_path / "no-air.csv"
    hold = f"{LITRE}elapsed [min],gauge [mbar]\n0,500.0\n30,499.9\n60,499.8\n"
    path.write_text(hold, encoding="utf-8")
    by_option = called("judge", "hold", str(path), "--room-swing", swing)
    path.write_text(f"# room swing: {swing}\n{hold}", encoding="utf-8")
    for judged in (by_option, called("judge", "hold", str(path))):
        assert judged.status == 2
        assert f"the room's swing {swing} lies outside 0.01 to 20 K" in one_line(judged.err)


def test_a_stated_settling_is_left_out(hour: Path) -> None:
    cut = json.loads(called("judge", "hold", "--json", str(hour), "--settle", "20 min").out)
    auto = json.loads(called("judge", "hold", "--json", str(hour), "--settle", "auto").out)
    assert (cut["settling_s"], cut["duration_s"], cut["readings"]) == (1200, 2400, 21)
    assert auto["settling_s"] == 0


def test_what_is_not_stated_is_assumed_and_said(tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text(HEAD + HOUR, encoding="utf-8")
    judged = called("judge", "hold", str(path), "--volume", "1 L")
    assumed = [line for line in judged.lines if line.startswith("assumed: ")]
    assert "the volume is a guess, good to 300 mL (95 %)" in assumed[0]
    assert "one step of the gauge is 0.1 mbar" in assumed[1]
    assert "volume: 1000 mL ± 300 mL (95 %)" in judged.lines


def bench(tmp_path: Path, rows: str, comments: str = "# volume: 1.2 L +- 10 %\n") -> Path:
    """Write a hold in minutes and mbar at a steady 21.0 °C and 1013.0 hPa."""
    tmp_path.mkdir(exist_ok=True)
    path = tmp_path / "bench.csv"
    lines = "".join(f"{row},21.0,1013.0\n" for row in rows.split())
    path.write_text(comments + HEAD + lines, encoding="utf-8")
    return path


KNOWN = ("guessed", "data sheets")


def verdict_of(path: Path, *options: str) -> str:
    """Return the word of a verdict."""
    return str(json.loads(called("judge", "hold", "--json", str(path), *options).out)["outcome"])


def test_one_value_and_no_stated_step_is_no_pass(tmp_path: Path) -> None:
    path = bench(tmp_path, "0,500 30,500 60,500")
    assert verdict_of(path) == "inconclusive"
    assert "State the step of the gauge." in called("judge", "hold", str(path)).out
    assert verdict_of(path, "--gauge-step", "1 mbar") == "pass"


def test_divisions_are_found_in_what_a_dial_never_showed_between(tmp_path: Path) -> None:
    # whole tens were taken for steps of 10 mbar, but nothing between 500 and 480 was ever shown
    path = bench(tmp_path, "0,500 30,500 60,480")
    told = called("judge", "hold", str(path))
    assert told.lines[0] == "verdict: inconclusive"
    assert any("one step of the gauge is 20 mbar" in line for line in told.lines)


def test_a_dial_that_is_not_tapped_hides_a_division(tmp_path: Path) -> None:
    head = "# volume: 1.2 L +- 10 %\n# gauge step: 10 mbar\n# gauge kind: dial\n"
    rows = "0,500 30,490 60,490"
    untapped = bench(tmp_path, rows, head)
    assert verdict_of(untapped) == "inconclusive"
    assert "assumed: the dial was not tapped" in called("judge", "hold", str(untapped)).out
    assert verdict_of(untapped, "--tapped") == "pass"
    assert verdict_of(bench(tmp_path, rows, head + "# tapped: yes\n")) == "pass"
    assert verdict_of(bench(tmp_path, rows, head.replace("dial", "digital"))) == "pass"


@pytest.mark.parametrize(
    ("comment", "said"),
    [
        ("# gauge kind: needle", "kinds are digital, dial"),
        ("# tapped: often", "write yes or no"),
        ("# volume known: hearsay", "write measured on air, data sheets, guessed"),
        ("# gauge kind: digital\n# tapped: yes", "no needle to tap"),
    ],
)
def test_what_a_comment_says_of_gauge_and_volume_is_not_swallowed(tmp_path: Path, comment: str, said: str) -> None:
    path = bench(tmp_path, "0,500 60,490", f"# volume: 1.2 L\n{comment}\n")
    judged = called("judge", "hold", str(path))
    assert judged.status == 2
    assert said in one_line(judged.err)


def test_a_volume_that_is_off_by_a_fifth_is_covered_where_it_is_a_guess(tmp_path: Path) -> None:
    # a loop of 1.25 L leaks a quarter more than one that was taken for 1 L
    rows = " ".join(f"{m},{500 - 0.5 * m:.1f}" for m in range(0, 61, 2))
    paths = [bench(tmp_path / known, rows, f"# volume: 1 L\n# volume known: {known}\n") for known in KNOWN]
    rates = [json.loads(called("judge", "hold", "--json", str(path)).out)["leak_rate"] for path in paths]
    guessed, sheets = (rate["upper95"] / rate["value"] for rate in rates)
    assert guessed > 1.25 > sheets


def test_without_a_volume_nothing_is_judged(tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text(HEAD + HOUR, encoding="utf-8")
    judged = called("judge", "hold", str(path))
    assert (judged.status, judged.out) == (2, "")
    said = one_line(judged.err)
    assert '--volume "1.2 L"' in said
    assert '"# volume: 1.2 L"' in said


def test_a_dash_reads_standard_input() -> None:
    text = (SAMPLES / "pinched-seal.csv").read_bytes()
    piped = called("judge", "hold", "-", "--json", text=text)
    filed = called("judge", "hold", str(SAMPLES / "pinched-seal.csv"), "--json")
    assert piped.status == filed.status == 1
    assert json.loads(piped.out) == json.loads(filed.out) | {"file": "-"}


def test_several_files_are_all_judged_although_one_cannot_be_read(tmp_path: Path) -> None:
    good = [str(SAMPLES / f"{name}.csv") for name in ("tight-loop", "pinched-seal")]
    judged = called("judge", "hold", good[0], str(tmp_path / "missing.csv"), good[1], "--json")
    assert judged.status == 2
    assert [json.loads(line)["outcome"] for line in judged.lines] == ["pass", "fail"]
    assert "missing.csv" in one_line(judged.err)
    assert called("judge", "hold", *good, "--json").status == 0


def test_wildcards_are_filled_in_where_the_shell_does_not(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(LITRE + HEAD + HOUR, encoding="utf-8")
    judged = called("judge", "hold", str(tmp_path / "*.csv"), "--json")
    assert [Path(json.loads(line)["file"]).name for line in judged.lines] == ["a.csv", "b.csv"]


BAD = {
    "utf-16": (HEAD + HOUR).encode("utf-16"),
    "latin-1": f"# Prüfung\n{HEAD}{HOUR}".encode("latin-1"),
    "empty": b"",
    "no header": HOUR.encode(),
    "header only": HEAD.encode(),
    "unknown column": b"elapsed [s],gauge [mbar],hue\n0,500,1\n",
    "duplicate column": b"elapsed [s],gauge [mbar],gauge [mbar]\n0,500,500\n",
    "no unit": b"elapsed [s],gauge\n0,500\n",
    "wrong unit": b"elapsed [s],gauge [L]\n0,500\n",
    "ragged": b"elapsed [s],gauge [mbar]\n0,500\n60,499,1\n",
    "not a number": b"elapsed [s],gauge [mbar]\n0,NaN\n60,499\n",
    "overflow": b"elapsed [s],gauge [mbar]\n0,1e999\n60,499\n",
    "grouped": b"elapsed [s],gauge [mbar]\n0,1'500\n60,499\n",
    "backwards": b"elapsed [s],gauge [mbar]\n60,500\n0,499\n",
    "negative absolute": b"elapsed [s],absolute [mbar]\n0,-5\n60,499\n",
    "swapped": b"elapsed [s],gauge [mbar]\n0,0.5\n60,0.499\n",
    "bad setting": b"# volume: 12 apples\nelapsed [s],gauge [mbar]\n0,500\n60,499\n",
    "binary": bytes(range(256)) * 4,
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_gets_one_line_and_status_2(name: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(BAD[name])
    judged = called("judge", "hold", str(path), "--volume", "1 L")
    assert (judged.status, judged.out) == (2, "")
    assert one_line(judged.err).startswith(f"commission: {path}: ")


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path, hour: Path) -> None:
    path = tmp_path / "marked.csv"
    path.write_bytes(b"\xef\xbb\xbf" + hour.read_bytes())
    marked, plain = (json.loads(called("judge", "hold", "--json", str(file)).out) for file in (path, hour))
    assert marked == plain | {"file": str(path)}


def test_semicolons_and_decimal_commas_are_read(tmp_path: Path, hour: Path) -> None:
    path = tmp_path / "comma.csv"
    text = hour.read_text(encoding="utf-8").replace(",", ";").replace(".", ",")
    path.write_text(text.replace("1 L", "1,0 L"), encoding="utf-8")
    comma, plain = (json.loads(called("judge", "hold", "--json", str(file)).out) for file in (path, hour))
    assert comma["leak_rate"] == plain["leak_rate"]


def test_hostile_text_reaches_the_terminal_spelled_out(tmp_path: Path) -> None:
    path = tmp_path / "red\x1b[31m\u202e[bold].csv"
    path.write_text(f"{LITRE}{HEAD}0,500,21,1008\x1b]0;x\x07\n", encoding="utf-8")
    judged = called("judge", "hold", str(path))
    assert judged.status == 2
    assert "\\u001b[31m\\u202e[bold].csv" in one_line(judged.err)
    path.write_text(LITRE + HEAD + HOUR, encoding="utf-8")
    for more in ((), ("--json",)):
        shown = called("judge", "hold", str(path), *more).out
        assert "\x1b" not in shown
        assert "\u202e" not in shown
        assert "\\u001b[31m\\u202e[bold]" in shown


@pytest.mark.parametrize(
    "env",
    [{"LC_ALL": "C"}, {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, {"PYTHONIOENCODING": "latin-1"}],
    ids=["C", "plain ASCII", "latin-1"],
)
def test_a_terminal_without_signs_loses_no_fact(env: dict[str, str], tmp_path: Path) -> None:
    path = tmp_path / "Prüfung.csv"
    path.write_text(LITRE + HEAD + HOUR, encoding="utf-8")
    encoding = env.get("PYTHONIOENCODING", "utf-8")
    judged = ran("judge", "hold", str(path), env=env, encoding=encoding)
    assert judged.status == 0
    assert judged.lines[0] == "verdict: pass"
    assert "limit: " in judged.out
    if "PYTHONUTF8" in env:
        assert judged.out.isascii()


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
def test_a_reader_that_goes_away_is_neither_a_pass_nor_a_fail(tmp_path: Path) -> None:
    with subprocess.Popen(
        command("judge", "hold", *[str(SAMPLES / "pinched-seal.csv")] * 3),
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 141
