"""``commission calc layout``: the best layout, every equal one, the next, and why a seat is impossible.

Outside: each layout is counted again here, by trying every assignment of a small board with the rules written out again
(steady <= 80 % of the rating, start <= the rating, a pump alone and locked, one drive a header).
"""

import itertools
import json
import random
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.shell.running import SAMPLES, called, one_line

Chain = tuple[str, str, int, int, bool, dict[str, int]]
Header = tuple[str, int, tuple[str, ...], bool]

HEADERS: list[Header] = [
    ("PUMP", 3000, ("pwm",), True),
    ("CPU", 2000, ("pwm",), False),
    ("SYS1", 2000, ("pwm", "dc"), False),
    ("SYS2", 1000, ("pwm", "dc"), False),
]
CHAINS: list[Chain] = [
    ("pump", "pwm", 1500, 2000, True, {"PUMP": 5, "CPU": 6, "SYS1": 30, "SYS2": 20}),
    ("front", "pwm", 600, 900, False, {"PUMP": 30, "CPU": 35, "SYS1": 15, "SYS2": 45}),
    ("top", "pwm", 750, 1050, False, {"PUMP": 12, "CPU": 10, "SYS1": 40, "SYS2": 25}),
    ("rear", "dc", 150, 300, False, {"PUMP": 22, "CPU": 20, "SYS1": 45, "SYS2": 8}),
    ("floor", "pwm", 400, 600, False, {"PUMP": 35, "CPU": 38, "SYS1": 10, "SYS2": 40}),
]


def toml(headers: Sequence[Header] = HEADERS, chains: Sequence[Chain] = CHAINS, penalty: int = 50) -> str:
    lines = [f"share_penalty = {penalty}"]
    for name, rating, modes, lock in headers:
        lines += ["[[header]]", f'name = "{name}"', f"rating_ma = {rating}", f"modes = {json.dumps(list(modes))}"]
        lines.append(f"full_speed_lock = {str(lock).lower()}")
    for name, drive, steady, start, pump, cable in chains:
        lines += ["[[chain]]", f'name = "{name}"', f'drive = "{drive}"', f"steady_ma = {steady}"]
        lines += [f"start_ma = {start}", f"pump = {str(pump).lower()}", "[chain.cable_cm]"]
        lines += [f"{header} = {cm}" for header, cm in cable.items()]
    return "\n".join(lines) + "\n"


def fits(header: Header, on_it: Sequence[Chain]) -> bool:
    _, rating, modes, lock = header
    pumps = [chain for chain in on_it if chain[4]]
    return (
        100 * sum(chain[2] for chain in on_it) <= 80 * rating
        and sum(chain[3] for chain in on_it) <= rating
        and all(chain[1] in modes for chain in on_it)
        and len({chain[1] for chain in on_it}) == 1
        and not (pumps and (len(on_it) > 1 or not lock))
    )


def counted(headers: Sequence[Header], chains: Sequence[Chain], penalty: int = 50) -> list[tuple[int, dict[str, str]]]:
    """Return every possible layout with its cost, the cheapest first."""
    found = []
    for picked in itertools.product(headers, repeat=len(chains)):
        groups = {
            h: [c for c, on in zip(chains, picked, strict=True) if on is h] for h in {h[0]: h for h in picked}.values()
        }
        if all(fits(header, on_it) for header, on_it in groups.items()):
            cable = sum(chain[5][header[0]] for chain, header in zip(chains, picked, strict=True))
            shared = sum(len(on_it) - 1 for on_it in groups.values())
            seats = {chain[0]: header[0] for chain, header in zip(chains, picked, strict=True)}
            found.append((cable + penalty * shared, seats))
    return sorted(found, key=lambda each: each[0])


def told(text: str) -> dict[str, Any]:
    ran_here = called("calc", "layout", "-", "--json", text=text)
    assert (ran_here.status, ran_here.err) == (0, "")
    (line,) = ran_here.lines
    found: dict[str, Any] = json.loads(line)
    return found


def changed(headers: Sequence[Header], **ratings: int) -> list[Header]:
    return [(name, ratings.get(name, rating), modes, lock) for name, rating, modes, lock in headers]


def with_start(name: str, start: int) -> list[Chain]:
    return [(n, d, s, start if n == name else i, p, c) for n, d, s, i, p, c in CHAINS]


BOARDS: Mapping[str, tuple[Sequence[Header], Sequence[Chain]]] = {
    "as it is": (HEADERS, CHAINS),
    "a smaller header": (changed(HEADERS, SYS1=1200), CHAINS),
    "and a harder start": (changed(HEADERS, SYS1=1200), with_start("top", 1150)),
    "two small headers": (changed(HEADERS, CPU=1000, SYS1=1000), CHAINS),
    "no lock": ([(n, r, m, False) for n, r, m, _ in HEADERS], CHAINS),
}


@pytest.mark.parametrize("name", BOARDS)
def test_the_answer_is_that_of_trying_every_layout(name: str) -> None:
    headers, chains = BOARDS[name]
    every, found = counted(headers, chains), told(toml(headers, chains))
    assert found["status"] == ("optimal" if every else "infeasible")
    if not every:
        assert (found["cost"], found["assignment"], found["loads"], found["runner_up"]) == (None, None, None, None)
        assert found["optima"] == []
        assert found["relaxation"]
        return
    cheapest = [seats for cost, seats in every if cost == every[0][0]]
    dearer = [(cost, seats) for cost, seats in every if cost > every[0][0]]
    assert (found["cost"], found["optima_count"]) == (every[0][0], len(cheapest))
    assert found["assignment"] in cheapest
    assert {json.dumps(each["assignment"], sort_keys=True) for each in found["optima"]} == {
        json.dumps(seats, sort_keys=True) for seats in cheapest
    }
    assert found["runner_up"]["cost"] == dearer[0][0]
    assert (found["runner_up"]["cost"], found["runner_up"]["assignment"]) in dearer
    assert found["relaxation"] == []


def test_the_worked_example_costs_98_and_then_118() -> None:
    # by hand: 5 + 15 + 10 + 8 + 10 cm and one joined chain at 50
    found = told(toml())
    assert found["cost"] == 98
    assert found["assignment"] == {"pump": "PUMP", "front": "SYS1", "top": "CPU", "rear": "SYS2", "floor": "SYS1"}
    assert found["runner_up"]["cost"] == 118
    loads = {header: (load["steady_ma"], load["start_ma"]) for header, load in found["loads"].items()}
    assert loads == {"PUMP": (1500, 2000), "CPU": (750, 1050), "SYS1": (1000, 1500), "SYS2": (150, 300)}
    assert all(isinstance(figure, int) for load in loads.values() for figure in load)
    assert found["loads"]["SYS1"]["chains"] == ["floor", "front"]


def test_every_impossible_seat_has_its_rule() -> None:
    rules = {(each["chain"], each["header"]): each["rule"] for each in told(toml())["refusals"]}
    # by hand: only PUMP is locked; PUMP and CPU offer no voltage; top starts with 1050 mA, SYS2 is rated 1000
    assert rules == {
        ("pump", "CPU"): "can stop the pump",
        ("pump", "SYS1"): "can stop the pump",
        ("pump", "SYS2"): "can stop the pump",
        ("rear", "PUMP"): "drive not offered",
        ("rear", "CPU"): "drive not offered",
        ("top", "SYS2"): "start current",
    }
    heavy = told((SAMPLES / "layouts" / "overloaded.toml").read_text(encoding="utf-8"))["refusals"]
    # 1200 mA against 80 % of 1000 mA
    assert {(e["header"], e["rule"]) for e in heavy if e["chain"] != "pump"} >= {("CPU", "steady current")}
    assert any("1200 mA exceeds 800 mA" in each["why"] for each in heavy)


def test_a_drive_that_no_header_offers_leaves_nothing_possible() -> None:
    headers: list[Header] = [(name, rating, ("pwm",), lock) for name, rating, _, lock in HEADERS]
    found = told(toml(headers))
    assert found["status"] == "infeasible"
    assert {e["header"] for e in found["refusals"] if e["chain"] == "rear" and e["rule"] == "drive not offered"} == {
        "PUMP", "CPU", "SYS1", "SYS2",
    }  # fmt: skip


def test_equal_layouts_are_all_told() -> None:
    headers: list[Header] = [(name, 1000, ("pwm",), False) for name in "XYZ"]
    chains: list[Chain] = [(name, "pwm", 300, 400, False, dict.fromkeys("XYZ", 0)) for name in "abc"]
    found = told(toml(headers, chains))
    # three chains on three headers without sharing: 3! ways
    assert (found["cost"], found["optima_count"], len(found["optima"])) == (0, 6, 6)
    plain = called("calc", "layout", "-", text=toml(headers, chains))
    assert sum(line.startswith("as good: ") for line in plain.lines) == 5


def test_the_order_of_the_file_plays_no_role() -> None:
    rng = random.Random(4)
    straight = told(toml())
    for _ in range(5):
        headers, chains = rng.sample(HEADERS, len(HEADERS)), rng.sample(CHAINS, len(CHAINS))
        assert told(toml(headers, chains)) == straight


def test_an_impossible_board_says_the_least_that_would_help() -> None:
    file = str(SAMPLES / "layouts" / "overloaded.toml")
    plain = called("calc", "layout", file)
    assert (plain.status, plain.lines[0]) == (0, "status: infeasible")
    found = json.loads(called("calc", "layout", file, "--json").out)
    # 1200 mA is 80 % of 1500 mA, and 1500 mA at start keep to it
    assert (found["relaxation"][0]["changes"], found["relaxation"][0]["rating_ma"]) == (["larger rating"], 1500)
    assert f"would help: {found['relaxation'][0]['what']}" in plain.lines
    assert not any(line.startswith(("cost", "seat", "next")) for line in plain.lines)


def test_plain_lines_tell_seats_loads_and_the_caution_first() -> None:
    lines = called("calc", "layout", str(SAMPLES / "layouts" / "split.toml")).lines
    # 5 + 10 + 25 cm, by the comment of the file
    assert lines[:2] == ["status: optimal", "cost: 40 cm of cable and penalties"]
    assert "mains plug pulled" in lines[2]
    assert "seat: pump on PUMP" in lines
    assert "load PUMP: pump, steady 1500, start 2000 of 3000 mA" in lines


BAD = {
    "no TOML": ("[[header]\n", "it is no TOML"),
    "header twice": (toml([*HEADERS, HEADERS[1]]), 'header "CPU" stands twice'),
    "chain twice": (toml(chains=[*CHAINS, CHAINS[0]]), 'chain "pump" stands twice'),
    "unknown header": (toml(HEADERS[:3]), 'there is no header "SYS2"'),
    "watts": (toml().replace("rating_ma = 3000", "rating_w = 36"), "it is 3000 mA"),
    "amperes": (toml().replace("steady_ma = 1500", "steady_a = 1.5"), "1.5 A is 1500"),
    "a fraction": (toml().replace("steady_ma = 1500", "steady_ma = 1500.5"), "is not a whole number"),
    "unknown drive": (toml().replace('drive = "dc"', 'drive = "steam"'), "no drive"),
    "no mode": (toml().replace('modes = ["pwm"]', "modes = []"), "write the modes as a list"),
    "below zero": (toml().replace("steady_ma = 600", "steady_ma = -600"), "outside 0 to 20000"),
    "start below steady": (toml().replace("start_ma = 900", "start_ma = 500"), "not between steady current"),
    "nothing": ("", "there is no [[header]]"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_gets_one_line_and_status_2(name: str, tmp_path: Path) -> None:
    text, words = BAD[name]
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    for more in ((), ("--json",)):
        refused = called("calc", "layout", str(path), *more)
        assert (refused.status, refused.out) == (2, "")
        said = one_line(refused.err)
        assert said.startswith(f"commission: {path}: ")
        assert words in said


def test_a_file_that_is_not_there_gets_one_line(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        refused = called("calc", "layout", str(path))
        assert (refused.status, refused.out) == (2, "")
        assert "cannot be read" in one_line(refused.err)


def test_a_chain_that_is_called_a_pump_is_not_taken_for_fans(tmp_path: Path) -> None:
    """A pump on a header that can stop it boils the processor; forgetting one line must not put it there."""
    file = tmp_path / "board.toml"
    file.write_text(toml().replace("pump = true\n", ""), encoding="utf-8")
    refused = called("calc", "layout", str(file))
    assert refused.status == 2
    assert "it is called a pump, and the rules of a pump guard it only with pump = true" in one_line(refused.err)
    file.write_text(toml().replace("pump = true\n", "pump = false\n"), encoding="utf-8")
    assert called("calc", "layout", str(file)).status == 0
