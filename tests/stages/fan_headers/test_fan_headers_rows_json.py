"""The JSON of ``commission headers``: its schema stands in a file, is a schema by an outside validator, and fits.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12.
"""

import json
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.bench.moment import rfc3339
from commission.stages.fan_headers.rows.headers_json import SeatsTold
from tests.json_schema import schema_of
from tests.make_sweep_logs import BENCHES
from tests.shell.running import SAMPLES, called

FILE = Path(__file__).parents[3] / "schemas" / "headers.schema.json"
TRUTH = {bench.file: bench.verdict for bench in BENCHES}
SCHEMA: dict[str, Any] = schema_of(SeatsTold, "What commission headers --json prints")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("workshop") / "workshop.logbook"
    assert called("import", str(SAMPLES / "workshop.jsonl"), logbook=path).status == 0
    return path


def printed(workshop: Path, *arguments: str) -> dict[str, Any]:
    (line,) = called("headers", "--json", *arguments, logbook=workshop).lines
    found: dict[str, Any] = json.loads(line)
    return found


def test_the_schema_file_is_what_the_types_say() -> None:
    text = json.dumps(SCHEMA, indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        FILE.write_text(text, encoding="utf-8")
    assert FILE.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("build", ["Window desk", "Corner tower", "Travel box"])
@pytest.mark.parametrize("more", [(), ("--date", "2026-03-15"), ("--date", "2026-03-17")])
def test_what_the_command_prints_fits(workshop: Path, build: str, more: tuple[str, ...]) -> None:
    found = printed(workshop, build, *more)
    jsonschema.Draft202012Validator(SCHEMA).validate(found)
    assert list(found) == list(SCHEMA["properties"])


@pytest.mark.parametrize(
    "wrong",
    [
        {"build": None}, {"at": 5}, {"extra": 1}, {"headers": [{}]}, {"headers": "FAN A"}, {"loose": None},
        {"remarks": [1]},
    ],
)  # fmt: skip
def test_what_is_none_does_not_fit(workshop: Path, wrong: dict[str, Any]) -> None:
    validator = jsonschema.Draft202012Validator(SCHEMA)
    good = printed(workshop, "Window desk")
    validator.validate(good)
    assert not validator.is_valid(good | wrong)


def test_every_key_is_always_there_and_says_what_it_is() -> None:
    for shape in (SCHEMA, *(each for each in SCHEMA["$defs"].values() if "properties" in each)):
        assert shape["required"] == sorted(shape["properties"])
        assert all(each["description"].endswith(".") for each in shape["properties"].values())


def test_a_moment_that_no_calendar_has_is_told_as_it_stands() -> None:
    # RFC 3339, 5.6: seconds and an offset are always there
    assert rfc3339(0, 0) == "1970-01-01T00:00:00+00:00"
    assert rfc3339(10**18, 60) == "1000000000000000000 ms after 1970"


def a_second_before_fan_a_is_set() -> str:
    """Read from the demo's bundle: its times of day move with whatever is asked before."""
    bundle = (SAMPLES / "workshop.jsonl").read_text(encoding="utf-8").splitlines()
    bodies = [json.loads(line).get("body", {}) for line in bundle]
    desk = next(one["build"] for one in bodies if one.get("payload", {}).get("name") == "Window desk")
    (set_ms,) = [one["wall_ms"] for one in bodies if (one.get("kind"), one.get("build")) == ("header set", desk)]
    return datetime.fromtimestamp(set_ms / 1000 - 1, UTC).isoformat(timespec="seconds")


def test_the_last_sweep_and_the_setting_are_those_of_that_moment(workshop: Path) -> None:
    # the demo: FAN A stood at voltage and starved the top chain; set to PWM on the same afternoon it was cured
    told = {}
    for at in (a_second_before_fan_a_is_set(), "2026-03-17"):
        (fan_a,) = [one for one in printed(workshop, "Window desk", "--date", at)["headers"] if one["name"] == "FAN A"]
        told[at] = (fan_a["set_to"], fan_a["chains"][0]["sweep"]["said"], fan_a["chains"][0]["sweep"]["stale"])
    assert list(told.values()) == [("voltage", TRUTH["top-starved"], False), ("pwm", TRUTH["top-cured"], False)]
