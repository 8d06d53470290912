"""What was renamed before the first release answers with the name of today, whatever else stands on the line."""

import pytest

from tests.shell.running import called, one_line

BUILD = "Desk loop"
COMMANDS = {
    ("pour", BUILD, "250 mL"): "amount",
    ("close", BUILD): "end-hold",
    ("let-down", BUILD, "0 mbar"): "vented",
    ("finding", BUILD, "drips", "--where", "seal"): "hold-defect",
    ("cure", BUILD, "new seal"): "repaired",
    ("watch",): "speeds",
    ("power", "mended", BUILD, "new crimp"): "repaired",
}
OPTIONS = {
    ("amount", BUILD, "--level", "900 mL", "300 mL"): "--marks",
    ("amount", BUILD, "--draw"): "--syringe",
    ("amount", BUILD, "--lost-water"): "--evaporated",
    ("amount", BUILD, "--about"): "--estimated",
    ("headers", BUILD, "--at", "2026-03-14"): "--date",
    ("calc", "headspace", "--limit", "50 kPa"): "--rating",
    ("calc", "bleed", "--reading", "2 mL"): "--error",
    ("calc", "mix", "--basis", "mass"): "--by",
    ("calc", "mix", "--at", "20 degC"): "--temp",
    ("calc", "coolant", "--at", "20 degC"): "--temp",
}


@pytest.mark.parametrize("typed", COMMANDS)
def test_an_old_command_names_the_new_one(typed: tuple[str, ...]) -> None:
    done = called(*typed)
    old = typed[1] if typed[0] == "power" else typed[0]
    assert (done.status, done.out) == (2, "")
    assert f"{old} is renamed: type {COMMANDS[typed]};" in one_line(done.err)


@pytest.mark.parametrize("typed", OPTIONS)
def test_an_old_option_names_the_new_one(typed: tuple[str, ...]) -> None:
    done = called(*typed)
    old = next(word for word in typed if word.startswith("--"))
    assert (done.status, done.out) == (2, "")
    assert f"{old} is renamed: type {OPTIONS[typed]};" in one_line(done.err)


@pytest.mark.parametrize("command", {typed[:-2] if "--at" in typed else typed[:1] for typed in OPTIONS})
def test_no_help_lists_an_old_option(command: tuple[str, ...]) -> None:
    words = [word for word in command if not word.startswith("--") and word != BUILD]
    told = called(*words, "--help").out.split()
    assert "--help" in told
    old = {"--at", "--level", "--draw", "--lost-water", "--about", "--basis", "--reading"}
    assert not (old - {"--at"} if command[0] == "amount" else old) & set(told)  # an amount has one that says when
