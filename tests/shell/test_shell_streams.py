"""The ends of a process: closed pipes, full disks, faults of the program."""

import contextlib
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import commission.shell
from commission.__main__ import job
from commission.shell.console import FAULT, complain, say
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock
from tests.holds import gauge_reads, ready_build, start_hold
from tests.registered import open_logbook
from tests.shell.running import SAMPLES, TOP_COMMANDS, called, command, environment, one_line, ran, statuses
from tests.storage.making import without_guards

JUDGE = ("judge", "hold", str(SAMPLES / "pinched-seal.csv"))
LIQUID_FULL = (
    *("calc", "headspace", "--volume", "1000 mL", "--liquid", "999 mL", "--base", "water"),
    *("--from", "20 degC", "--to", "60 degC"),
)


FULL = pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")


@FULL
def test_a_full_disk_behind_standard_output_is_an_error_and_not_a_verdict() -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            command(*LIQUID_FULL), env=environment(), stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    assert "standard output cannot be written" in one_line(done.stderr.decode())


@pytest.mark.skipif(sys.platform == "win32", reason="closed descriptors are POSIX")
@pytest.mark.parametrize(("closed", "status"), [(">&-", 2), ("2>&-", 1), (">&- 2>&-", 2)])
def test_a_closed_stream_makes_no_false_verdict(closed: str, status: int) -> None:
    done = subprocess.run(
        ["sh", "-c", f'"$0" "$@" {closed}', *command(*LIQUID_FULL)], env=environment(), capture_output=True, check=False
    )
    assert done.returncode == status
    assert b"Traceback" not in done.stderr


@FULL
@pytest.mark.parametrize("stream", ["stdout", "stderr"])
def test_an_error_ends_with_2_in_a_process_whose_streams_are_full(stream: str) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            command("judge", "hold", "no such file"),
            env=environment(),
            check=False,
            **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | {stream: full},  # type: ignore[call-overload]
        )
    assert done.returncode == 2


# --- every command, with every way in which a stream can fail ------------------------------------------------------

ERRORS: dict[str, list[str]] = {
    "ui": [],
    "web": ["--port", "80"],
    "plain": [],
    "demo": [],
    "open": ["another"],
    "like": ["x", "y"],
    "operator": ["Ilse"],
    "note": ["x", "turned home once more"],
    "judge": ["hold", "no such file"],
    "calc": ["headspace", "--volume", "much"],
    "speeds": ["--every", "0"],
    "feed": ["--build", "x"],
    "withdraw-row": ["x", "2", "--reason", "typed twice"],
    "end-hold": ["x"],
    "quick": ["North", "1.2 L"],
    "part": ["x", "radiator 360"],
    "parts": ["x", "no such file"],
    "part-edit": ["x", "pump", "--volume", "60 mL"],
    "part-out": ["x", "pump", "--reason", "worn"],
    "instrument": ["thermometer"],
    "plan": ["x"],
    "bench-sheet": ["x"],
    "rate": ["x", "side radiator", "0.7 bar"],
    "vented": ["x", "0 mbar"],
    "search": ["x", "pump, cpu block"],
    "pump-supply": ["x", "own"],
    "bottle": ["list"],
    "amount": ["x", "250 mL", "--bottle", "b"],
    "fill": ["end", "x"],
    "bleed": ["end", "x"],
    "power": ["end", "x"],
    "fans": ["end", "x"],
    "soak": ["end", "x"],
    "handover": ["x", "--spares", "none"],
    "visit": ["end", "x"],
    "due": ["--within", "soon"],
    "hold-defect": ["x", "drops", "--where", "seal"],
    "defect": ["x", "leak", "drips", "--where", "lower port"],
    "repaired": ["x", "new seal"],
    "withdraw": ["x", "1", "--reason", "typed twice"],
    "put-away": ["x"],
    "units": ["furlong"],
    "bring-back": ["x"],
    "list": [],
    "show": ["x"],
    "headers": ["x"],
    "report": ["x", "-o", "x.html"],
    "verify": [],
    "export": ["no such folder/x"],
    "copy": ["no such folder/x"],
    "merge": ["no such file"],
    "rests": ["x"],
    "import": ["no such file"],
}
"""An error of each command on a logbook that is none; the screens have no terminal here."""

UNTOLD = [
    *(("file", "full"), ("file", "closed"), ("file", "gone")),
    *(("full", "full"), ("closed", "closed"), ("gone", "gone")),
]
"""Kinds of standard output and standard error where an error cannot be told."""

UNSAID = [*UNTOLD, ("full", "file"), ("closed", "file"), ("gone", "file")]
"""Kinds where a verdict cannot be told, or nothing beside it."""

JUDGES = ("commission.stages.pressure_hold.judge.verdict", "scipy.special")
NEEDS = {"end-hold": JUDGES, "judge": JUDGES}
"""What takes a command long to import, and is imported once for all its cases."""


@FULL
def test_no_error_of_any_command_reads_as_a_verdict_whatever_cannot_be_written(tmp_path: Path) -> None:
    assert set(ERRORS) == set(TOP_COMMANDS)
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear all", encoding="utf-8")
    named = [((name, *more), out, err) for name, more in ERRORS.items() for out, err in UNTOLD]
    named += [(("brew",), out, err) for out, err in UNTOLD]  # a usage error
    env = {"COMMISSION_LOGBOOK": str(letter)}
    cases: list[dict[str, object]] = [
        {"arguments": arguments, "out": out, "err": err, "env": env} for arguments, out, err in named
    ]
    wrong = {case: status for case, status in zip(named, statuses(cases), strict=True) if status != 2}
    assert wrong == {}


def verdict_cases(folder: Path) -> list[tuple[tuple[str, ...], str, str]]:
    """Return every command that ends with 1 for a verdict, with each pair of streams; each on a file of its own."""
    leaking, unsound = folder / "leaking.logbook", folder / "unsound.logbook"
    clock = HandClock()
    with contextlib.closing(open_logbook(leaking, clock=clock).book) as book:
        build_id = ready_build(book, "Blue Heron")
        start_hold(book, build_id)
        for millibar in (500, 450, 400, 350, 300, 250, 200):
            book.work(Holds).read(build_id, pressure=gauge_reads(millibar))
            clock.run(300)
    shutil.copy(leaking, unsound)
    with contextlib.closing(without_guards(unsound)) as connection:
        connection.execute("UPDATE entry SET operator = 'Somebody' WHERE seq = 3")
    cases: list[tuple[tuple[str, ...], str, str]] = [
        (arguments, *pair) for arguments in (("verify", "--logbook", str(unsound)), LIQUID_FULL) for pair in UNSAID
    ]
    cases += [(JUDGE, *pair) for pair in UNSAID]
    for number, pair in enumerate(UNSAID):
        own = folder / f"{number}.logbook"
        shutil.copy(leaking, own)
        cases.append((("end-hold", "Blue Heron", "--logbook", str(own)), *pair))
    return cases


@FULL
def test_a_verdict_that_could_not_be_printed_ends_with_2_and_one_that_could_keeps_its_status(tmp_path: Path) -> None:
    named = verdict_cases(tmp_path)
    cases: list[dict[str, object]] = [
        {"arguments": arguments, "out": out, "err": err, "env": {}, "needs": NEEDS.get(arguments[0], ())}
        for arguments, out, err in named
    ]
    wanted = {"file": 1, "full": 2, "closed": 2, "gone": 141}
    wrong = {case: status for case, status in zip(named, statuses(cases), strict=True) if status != wanted[case[1]]}
    assert wrong == {}


@FULL
def test_no_hold_starts_where_its_cautions_cannot_be_printed(tmp_path: Path) -> None:
    logbook = tmp_path / "bench.logbook"
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        fed = subprocess.run(
            command("feed", "--build", "Desk loop", "--new"),
            input=b"# volume: 1.2 L\n# gauge step: 0.1 mbar\nelapsed [s],gauge [mbar]\n0,500.0\n",
            env=environment(logbook),
            stdout=subprocess.PIPE,
            stderr=full,
            check=False,
        )
    assert (fed.returncode, fed.stdout) == (2, b"")
    assert "Desk loop" not in called("list", logbook=logbook).out


@pytest.mark.parametrize("arguments", [(), ("ui",), ("demo",)])
def test_the_screens_are_refused_where_there_is_no_terminal(arguments: tuple[str, ...], tmp_path: Path) -> None:
    refused = ran(*arguments, logbook=tmp_path / "new.logbook")
    assert refused.status == 2
    assert "need a terminal" in one_line(refused.err)
    assert list(tmp_path.iterdir()) == []


def test_a_fault_of_the_program_does_not_read_as_a_failed_hold(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> int:
        raise RuntimeError("odd\x1b[2J")

    monkeypatch.setattr("commission.shell.main.exit_status", broken)
    # without a command the screens would open; what started the tests may have left none
    monkeypatch.setattr("sys.argv", ["commission", "list"])
    with pytest.raises(SystemExit) as ended:
        commission.shell.run(job())
    assert ended.value.code == FAULT
    told = one_line(capsys.readouterr().err)
    assert "\x1b" not in told
    assert told.startswith("commission: this is a fault of the program")
    assert "RuntimeError: odd" in told
    assert f"{Path(__file__).name} line" in told


def test_what_is_printed_is_one_line_without_control_characters(capsys: pytest.CaptureFixture[str]) -> None:
    say("a\nb\x1b[31m\u202e\x9b")
    complain("c\rd\x00")
    out, err = capsys.readouterr()
    assert out == "a\\u000ab\\u001b[31m\\u202e\\u009b\n"
    assert err == "commission: c\\u000dd\\u0000\n"
