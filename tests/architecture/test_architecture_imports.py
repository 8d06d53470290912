"""What really gets loaded, seen from a fresh process: static import contracts cannot see the difference."""

import json
import subprocess
import sys

import pytest

HEAVY = {"numpy", "scipy", "pint", "sqlite_utils", "pandas"}
SCREEN = {"textual", "rich"}


def loaded_by(code: str) -> set[str]:
    """Return the top-level modules that some code loads in a fresh process."""
    script = f"{code}\nimport sys, json; print(json.dumps(sorted({{name.split('.')[0] for name in sys.modules}})))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return set(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize(
    ("module", "banned"),
    [
        ("commission.shell", HEAVY | SCREEN),
        ("commission.bootstrap", HEAVY | SCREEN | {"sqlite3", "click"}),
        ("commission.record.logbook", HEAVY | SCREEN | {"sqlite3", "click"}),
        ("commission.stages.pressure_hold.judge.verdict", HEAVY | SCREEN | {"sqlite3", "click"}),
        ("commission.storage.opening", HEAVY | SCREEN | {"click"}),
        ("commission.units.show", HEAVY | SCREEN | {"sqlite3", "click"}),
        ("commission.ui.app", HEAVY | {"click"}),
    ],
)
def test_importing_a_package_loads_nothing_that_it_does_not_need_yet(module: str, banned: set[str]) -> None:
    assert loaded_by(f"import {module}") & banned == set()


def test_the_first_picture_is_painted_before_the_logbook_loads() -> None:
    code = "import sys, json, commission.ui.app; print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    ours = {name for name in json.loads(done.stdout) if name.startswith("commission.")}
    assert ours & {"commission.record.logbook", "commission.record.entries", "commission.statistics"} == set()


def test_the_list_of_stages_loads_their_faces_and_nothing_of_the_record() -> None:
    code = "import sys, json, commission.stages.every; print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    ours = [name for name in json.loads(done.stdout) if name.startswith("commission.")]
    rooms = {name.rpartition(".")[2] for name in ours if name.startswith("commission.stages.") and name.count(".") > 2}
    assert rooms == {"stage"}
    assert [name for name in ours if name.startswith("commission.record.")] == []


def test_the_version_is_answered_without_loading_anything() -> None:
    code = "import sys; sys.argv = ['commission', '--version']; from commission.__main__ import main; main()"
    assert loaded_by(code) & (HEAVY | SCREEN | {"click", "sqlite3", "commission.shell"}) == set()
