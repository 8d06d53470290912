"""The ends of a process: closed pipes, full disks, faults of the program."""

import subprocess
import sys
from pathlib import Path

import pytest

import commission.cli
from commission.cli import FAULT
from commission.cli.console import complain, say
from tests.cli.running import SAMPLES, command, environment

JUDGE = ("judge", "hold", str(SAMPLES / "pinched-seal.csv"))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_a_full_disk_behind_standard_output_is_an_error_and_not_a_verdict() -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(command(*JUDGE), env=environment(), stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="closed descriptors are POSIX")
@pytest.mark.parametrize(("closed", "status"), [(">&-", 141), ("2>&-", 1)])
def test_a_closed_stream_makes_no_false_verdict(closed: str, status: int) -> None:
    done = subprocess.run(
        ["sh", "-c", f'"$0" "$@" {closed}', *command(*JUDGE)], env=environment(), capture_output=True, check=False
    )
    assert done.returncode == status
    assert b"Traceback" not in done.stderr


def test_a_fault_of_the_program_does_not_read_as_a_failed_hold(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(_arguments: object) -> int:
        raise RuntimeError("odd\x1b[2J")

    monkeypatch.setattr("commission.cli.main.exit_status", broken)
    with pytest.raises(SystemExit) as ended:
        commission.cli.run()
    assert ended.value.code == FAULT
    told = capsys.readouterr().err
    assert "\x1b" not in told
    assert told.splitlines()[-1].startswith("commission: this is a fault of the program")


def test_what_is_printed_is_one_line_without_control_characters(capsys: pytest.CaptureFixture[str]) -> None:
    say("a\nb\x1b[31m\u202e\x9b")
    complain("c\rd\x00")
    out, err = capsys.readouterr()
    assert out == "a\\u000ab\\u001b[31m\\u202e\\u009b\n"
    assert err == "commission: c\\u000dd\\u0000\n"
