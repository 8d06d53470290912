"""A soak is put into words once, and what programs get fits its schema.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import os
from pathlib import Path

import jsonschema
import pytest

from commission.stages.thermal_soak.card.soak import SoakFlow
from commission.stages.thermal_soak.rows.listings import soak_listings
from commission.stages.thermal_soak.rows.show import soak_lines
from commission.stages.thermal_soak.rows.soak_json import HeatAnswer, JudgedSoak
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks
from tests.fakes import new_book
from tests.json_schema import schema_of
from tests.make_soak_logs import BENCHES, FOLDER
from tests.shell.running import called
from tests.soaks import course, soaking
from tests.stages.said_once import lines_of, unsaid

SCHEMAS = {
    "verdict-soak": schema_of(JudgedSoak, "What commission judge soak --json prints of a file"),
    "calc-heat": schema_of(HeatAnswer, "What commission calc heat --json prints"),
}
HEAT = ("calc", "heat", "--flow", "200 L/h", "--in", "36 degC", "--out", "34.3 degC", "--base")


@pytest.mark.parametrize("ended", [False, True])
def test_the_card_and_show_say_the_same_figures(ended: bool) -> None:
    book, _, clock = new_book()
    build = soaking(book, clock)
    work = book.work(Soaks)
    clock.run(1500)
    work.read(build, course(25))
    if ended:
        work.do_step(build, JOINTS_HOT)
        work.close(build)
    figures = SoakFlow(book, build).content().figures
    assert {"coolant above air", "per watt", "heat carried", "stands still"} <= {figure.label for figure in figures}
    facts = list(soak_lines(book, book.build(build)))
    assert list(unsaid(figures, facts, "soak")) == []
    assert "soak load: 400 W" in lines_of(facts)


def test_the_heat_can_be_worked_out_again_from_the_means_that_are_listed() -> None:
    """The course was made with 200 L/h, 1.7 K between the sides, 400 W and air at 22 °C.

    By hand, water at 31 °C: 2e-1/3600 m3/s x 1.7 K x 995.3 kg/m3 x 4179 J/(kg K) = 392.8 W.
    """
    book, _, clock = new_book()
    build = soaking(book, clock)
    clock.run(1500)
    book.work(Soaks).read(build, course(25))
    _, means = soak_listings(book, book.build(build))
    mean = {row[0]: row[3] for row in means.rows}
    assert (mean["flow"], mean["load"], mean["air"]) == ("200 L/h", "400 W", "22.00 °C")
    drop = float(mean["warm"].split()[0]) - float(mean["cool"].split()[0])
    assert drop == pytest.approx(1.7, abs=0.011)
    by_hand = 0.2 / 3600 * drop * 995.3 * 4179
    told = next(one for one in lines_of(soak_lines(book, book.build(build))) if one.startswith("soak heat carried: "))
    assert float(told.split()[3]) == pytest.approx(by_hand, rel=0.01)


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_file_is_what_the_types_say(name: str) -> None:
    file = Path(__file__).parents[3] / "schemas" / f"{name}.schema.json"
    text = json.dumps(SCHEMAS[name], indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        file.write_text(text, encoding="utf-8")
    assert file.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])


STATUS = {"pass": 0, "fail": 1, "inconclusive": 3, "invalid": 4}


@pytest.mark.parametrize("bench", BENCHES, ids=lambda bench: str(bench.file))
def test_the_command_judges_the_samples_and_its_json_fits(bench: object) -> None:
    file, outcome = str(FOLDER / f"{bench.file}.csv"), bench.outcome  # type: ignore[attr-defined]
    told = called("judge", "soak", file, "--json")
    assert told.status == STATUS[outcome]
    (line,) = told.lines
    found = json.loads(line)
    jsonschema.Draft202012Validator(SCHEMAS["verdict-soak"]).validate(found)
    assert found["outcome"] == outcome
    plain = called("judge", "soak", file)
    assert plain.lines[:2] == [f"verdict: {outcome}", f"file: {file}"]


def test_the_calculator_tells_the_heat_and_how_sure_it_is() -> None:
    """CoolProp 8: 392.332 W of water and 374.048 W of 30 % propylene glycol; by hand u = 25.45 % of it, 99.86 W."""
    (line,) = called(*HEAT, "water", "--json").lines
    found = json.loads(line)
    jsonschema.Draft202012Validator(SCHEMAS["calc-heat"]).validate(found)
    assert found["heat_w"] == pytest.approx(392.332, rel=1e-4)
    assert found["u_heat_w"] == pytest.approx(99.86, rel=1e-3)
    (glycol,) = called(*HEAT, "propylene-glycol 30 %", "--json").lines
    assert json.loads(glycol)["heat_w"] == pytest.approx(374.048, rel=1e-4)
    assert called(*HEAT, "water").lines == ["heat: 392.3 W", "standard uncertainty: 99.86 W"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((*HEAT, "oil"), "is no coolant"),
        (("calc", "heat", "--flow", "200 L/h", "--in", "36 degC", "--out", "36 degC", "--base", "water"), "drop_k"),
        (("judge", "soak", "nowhere.csv"), "cannot be read"),
    ],
)
def test_what_cannot_be_answered_is_one_line(words: tuple[str, ...], told: str) -> None:
    found = called(*words)
    assert found.status == 2
    assert told in found.err
    assert "Traceback" not in found.err
