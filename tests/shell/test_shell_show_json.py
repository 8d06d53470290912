"""``show --json``: the facts of the plain lines, word for word, with the numbers behind them; and its schema.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.shell.show_json import ShownBuild
from commission.stages.fill.entries import FillClosed
from commission.stages.pressure_hold.entries import HoldClosed
from tests.json_schema import schema_of
from tests.registered import open_logbook
from tests.shell.running import SAMPLES, called, one_line

FILE = Path(__file__).parents[2] / "schemas" / "show.schema.json"
SCHEMA = schema_of(ShownBuild, "What commission show --json prints of a build")
BUILDS = ("Window desk", "Corner tower", "Travel box")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's workshop in a logbook; not to be written to."""
    path = tmp_path_factory.mktemp("workshop") / "workshop.logbook"
    assert called("import", str(SAMPLES / "workshop.jsonl"), logbook=path).status == 0
    return path


def facts_of(logbook: Path, build: str) -> list[dict[str, Any]]:
    """Return the facts of a build as a program reads them."""
    found = json.loads(called("show", build, "--json", logbook=logbook).out)
    jsonschema.Draft202012Validator(SCHEMA).validate(found)
    facts: list[dict[str, Any]] = found["facts"]
    return facts


def test_the_schema_file_is_what_the_types_say_and_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    text = json.dumps(SCHEMA, indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        FILE.write_text(text, encoding="utf-8")
    assert FILE.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"


@pytest.mark.parametrize("build", BUILDS)
def test_every_fact_is_a_plain_line_word_for_word(workshop: Path, build: str) -> None:
    facts = facts_of(workshop, build)
    assert [f"{fact['name']}: {fact['text']}" for fact in facts] == called("show", build, logbook=workshop).lines
    for fact in (one["raw"] for one in facts if one["raw"] is not None):
        assert fact["unit"]
        assert fact["low"] is None or fact["low"] <= fact["value"]
        assert fact["high"] is None or fact["value"] <= fact["high"]


def test_the_numbers_are_those_of_the_verdicts_with_all_their_digits(workshop: Path) -> None:
    raw = {fact["name"]: fact["raw"] for fact in facts_of(workshop, "Window desk")}
    book = open_logbook(workshop, read_only=True).book
    entries = [entry.payload for entry in book.entries(book.find_build("Window desk"))]
    holds = [entry.verdict for entry in entries if isinstance(entry, HoldClosed)]
    (fill,) = [entry.verdict for entry in entries if isinstance(entry, FillClosed)]
    book.close()
    for number, verdict in enumerate(holds, 1):
        leak, told = verdict.leak_rate, raw[f"hold {number} leak rate"]
        assert leak is not None
        assert told == {"unit": "Pa·m3/s", "value": leak.value, "low": leak.at_least, "high": leak.at_most}
        assert raw[f"hold {number} limit"]["value"] == verdict.limit_pa_m3_s == 1e-3  # 1e-2 mbar·L/s
    assert fill.expected_m3 is not None
    assert fill.u_expected_m3 is not None
    expected = raw["fill expected"]
    assert (expected["unit"], expected["value"]) == ("m3", fill.expected_m3)
    assert expected["high"] - expected["low"] == pytest.approx(4 * fill.u_expected_m3)  # 95 % either way: K95 = 2


def test_entries_are_left_to_the_export(workshop: Path) -> None:
    told = called("show", "Window desk", "--json", "--entries", logbook=workshop)
    assert (told.status, told.out) == (2, "")
    assert "commission export" in one_line(told.err.strip().splitlines()[-1])
