"""What the README and the page for developers say of the program is so."""

import re
import shlex
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.shell.running import SAMPLES, TOP, TOP_COMMANDS, called

README = (TOP / "README.md").read_text(encoding="utf-8")
SOURCES = {".py", ".toml", ".tcss", ".typ"}
DEVELOPERS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_verdict_in_the_readme_is_the_one_of_the_sample_file() -> None:
    shown = README.partition("sample_logs/tight-loop.csv`):\n\n```\n")[2].partition("```")[0].splitlines()
    told = called("judge", "hold", str(SAMPLES / "tight-loop.csv")).lines
    assert len(shown) == 2
    assert [line for line in told if line in shown] == shown


def test_safety_stands_before_the_first_hold() -> None:
    assert 0 < README.index("## Safety") < README.index("## A first hold")


def test_every_command_stands_in_the_readme() -> None:
    table = README.partition("## From the shell")[2].partition("\n\nExit status 2")[0]
    named = set(
        re.findall(r"[a-z]+(?:-[a-z]+)*", " ".join(row.split("|")[1] for row in table.splitlines() if "|" in row))
    )
    assert set(TOP_COMMANDS) - named == set()


def test_the_script_of_the_readme_runs_as_it_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script = README.partition("`sample_logs/build`:\n\n```\n")[2].partition("```")[0]
    commands = [one for line in script.splitlines() for one in line.split(" && ")]
    monkeypatch.chdir(SAMPLES / "build")
    assert len(commands) >= 10
    for one in commands:
        words, _, source = one.partition(" < ")
        text = Path(source).read_text(encoding="utf-8") if source else ""
        program, *arguments = shlex.split(words)
        done = called(*arguments, text=text, logbook=tmp_path / "log")
        assert (program, done.status) == ("commission", 0), f"{one}: {done.err}"


def test_every_file_that_the_page_for_developers_names_is_there() -> None:
    named = set(re.findall(r"`((?:[a-z_]+/)*[a-z_]+(?:/|\.py|\.toml))`", DEVELOPERS))
    there = {
        file for top in ("commission", "tests") for file in (TOP / top).rglob("*") if "__pycache__" not in file.parts
    }
    ends = [f"/{file.relative_to(TOP).as_posix()}{'/' if file.is_dir() else ''}" for file in there]
    ends += [f"/{file.name}{'/' if file.is_dir() else ''}" for file in TOP.iterdir()]
    assert len(named) >= 50
    assert sorted(one for one in named if not any(end.endswith(f"/{one}") for end in ends)) == []


INVENTED = {"evaluate_RULE", "ItsState", "ItsWork", "name_with_unit", "NAME", "babel"}
"""What the page writes for a name that is still to be chosen, and a library that is not used."""


def test_every_name_and_every_module_that_the_page_for_developers_quotes_is_there() -> None:
    files = [file for top in ("commission", "tests") for file in (TOP / top).rglob("*") if file.suffix in SOURCES]
    files += [TOP / "pyproject.toml", TOP / ".ci" / "run"]
    there = {word for file in files for word in re.findall(r"\w+", file.read_text(encoding="utf-8"))}
    there |= {part for file in files for part in (file.stem, *file.parts)}
    quoted = re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", DEVELOPERS, flags=re.DOTALL))
    named = {word for one in quoted for word in re.findall(r"[A-Za-z_]\w+", one)}
    assert len(named) > 300
    assert sorted(named - there - INVENTED) == []
    modules = re.findall(r"python -m ((?:\w+\.)+\w+)", DEVELOPERS)
    assert len(modules) >= 10
    assert [one for one in modules if find_spec(one) is None] == []
