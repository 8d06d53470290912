"""Units on the command line: chosen once and kept, or asked for once; JSON, the record and a report's digest stay."""

import contextlib
from pathlib import Path

import pytest
from click.testing import CliRunner

from commission.__main__ import job
from commission.shell.main import commission
from commission.units.chosen import Chosen, units_now
from tests.fakes import HandClock
from tests.holds import ready_build
from tests.registered import open_logbook
from tests.shell.plain_lines import lines_of
from tests.shell.running import called, one_line
from tests.ui.bench import ready


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook with a build that has parts of 1.2 L and a plan."""
    path = tmp_path_factory.mktemp("bench") / "x.logbook"
    with contextlib.closing(open_logbook(path, clock=HandClock()).book) as book:
        ready_build(book, "Blue Heron")
    return path


def test_units_are_kept_beside_the_logbook_and_followed_by_all_but_json(bench: Path) -> None:
    before, as_json = called("show", "Blue Heron", logbook=bench), called("show", "Blue Heron", "--json", logbook=bench)
    assert "mL" in before.out
    assert called("units", "psi", "fl", "oz", logbook=bench).lines == ["amounts in psi, US fl oz, degC, mm, L/h"]
    after = called("show", "Blue Heron", logbook=bench)
    assert "US fl oz" in after.out
    assert " mL" not in after.out
    assert called("show", "Blue Heron", "--json", logbook=bench).out == as_json.out
    assert called("--units", "default", "show", "Blue Heron", logbook=bench).out == before.out
    assert called("units", "default", logbook=bench).status == 0
    assert called("show", "Blue Heron", logbook=bench).out == before.out
    assert units_now() == Chosen(), "a command leaves nothing to the next"


def test_a_report_is_one_report_whoever_hands_it_out(bench: Path, tmp_path: Path) -> None:
    def made(units: str, name: str) -> tuple[str, str]:
        done = called(
            "--units", units, "report", "Blue Heron", "-o", str(tmp_path / name), "--entry", "7", logbook=bench
        )
        assert done.status == 0, done.err
        return (tmp_path / name).read_text(), next(line for line in done.lines if line.startswith("digest: "))

    (metric, one), (other, two) = made("default", "a.txt"), made("psi fl oz", "b.txt")
    assert "US fl oz" in other
    assert "US fl oz" not in metric
    assert one == two
    assert made("default", "a.json") == made("psi fl oz", "b.json")


def test_line_by_line_a_bare_number_means_the_unit_that_the_prompt_shows() -> None:
    book, _, clock, build = ready()
    told, session = lines_of(
        book, ["pressure hold", "units psi degF", "plan", "pressure 6", "units default"], clock, build=build
    )
    said = "\n".join(told)
    assert "amounts in psi, mL, degF" in said
    assert "a bare number is mbar, degC" in said, "what the gauge and the thermometer show"
    assert "pressure 5.8 psi" in said  # 0.4 bar / 0.06894757, in the hint
    assert "understood: pressure 6 psi" in said
    assert not session.refused
    assert units_now() == Chosen()


def test_a_command_that_was_broken_off_leaves_no_units_behind(bench: Path) -> None:
    CliRunner().invoke(commission, ["--logbook", str(bench), "list", "--page", "x"], obj=job())
    assert units_now() == Chosen()


@pytest.mark.parametrize("arguments", [("units", "furlong"), ("--units", "furlong", "list")])
def test_a_unit_that_is_none_is_refused_in_one_line(arguments: tuple[str, ...], bench: Path) -> None:
    done = called(*arguments, logbook=bench)
    assert done.status == 2
    assert one_line(done.err).startswith(
        'commission: "furlong" is no unit to read in; type units and one or more: mbar'
    )
