"""Words that say dry, and what stands behind them: nothing that says wet is ever dropped."""

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.bench.all_dry import read_all_dry
from commission.bench.joint_look import read_look
from commission.record.machine.dryness import clearly_wet, told_wet, wet_in, wet_place


@pytest.mark.parametrize(
    "line",
    [
        "pump wet", "pump damp", "all wet", "all dry but pump", "all dry except the pump", "dry but pump drips",
        "dry: pump wet", "all dry # pump weeps", "dry note: a puddle below", "dry apart from the pump", "all joints",
        "dry note beads at pump", "all dry # green crust at the block", "not dry", "dry # coolant under the case",
    ],
)  # fmt: skip
def test_what_stands_behind_a_word_that_says_dry_is_read_or_refused(line: str) -> None:
    with pytest.raises(CommissionError, match=r"is not all dry|is more than dry"):
        read_all_dry(line)


@pytest.mark.parametrize(
    ("line", "note"),
    [("", ""), ("dry", ""), ("All dry.", ""), ("dry # paper since noon", "paper since noon"),
     ("all dry, note: no drops, not damp", "no drops, not damp")],
)  # fmt: skip
def test_dry_alone_and_a_note_that_is_marked_are_taken(line: str, note: str) -> None:
    assert read_all_dry(line) == note


def test_a_look_at_a_joint_takes_no_note_that_contradicts_it() -> None:
    with pytest.raises(NotAllowed, match='"damp" is not all dry'):
        read_look("block in dry # a bit damp", ["block in"], [])
    assert read_look("block in damp # a drop", ["block in"], []).note == "a drop"
    with pytest.raises(InputError):
        read_look("dry but wet", ["block in"], ["block in"])


def test_a_level_that_dropped_is_no_drop() -> None:
    said = ("level dropped 4 mm", "level drop 4 mm", "a drop in level", "a drop at the pump")
    assert [wet_in(one) for one in said] == ["", "", "", "drop"]


WET = (
    "puddle under the pump", "leak at pump", "water drips from the radiator", "beads at pump", "coolant drips from it",
    "wet at pump", "drips under the pump", "all dry, pump damp", "a drop at the lower port", "green crust at the block",
    "coolant under the case", "not dry", "CPU block in damp", "it weeps", "fitting seeps", "liquid drips from the pump",
    "leak test failed at the pump", "leak sensor tripped", "water in the drip tray", "no longer leak-free",
    "leak watch: pump drips", "no leak test, drips", 'the "pump" leaks', "drip tray wet",
    "leak test not passed", "a wet rag under the pump", "leak detector is red", "drip from the cap",
    "searched for leaks, found one",
)  # fmt: skip
"""What people type who found coolant outside, and what a test or a tool says where it did."""

DRY = (
    "leak test passed at 500 mbar", "soak after the leak test of 12 March", "leak watch begun at nine", "leak-free",
    "leak check done", "channel 3: leak sensor, dry", "leak detector 2", "no leak", "no leaks, no drops", "leakproof",
    "put the drip tray under the case", "drip leg at the drain", "drip free", "dripless", 'logger "DripWatch" 2',
    "DripWatch 2", 'logger "Wet bench" 4', "wet room, bench 4", "damp cellar", "damp cloth wiped the case",
    "wet rag ready", "replaced the wetting agent label", "rubber dampers at the pump", "without any sign of leaks",
    "coolant around 40 degC", "liquid-cooled bench", "LeakTest", "level dropped 4 mm", "leak sensor on channel 3",
    "leak test, coolant of the red can", "leakage current 0.1 mA", "wiped with a damp cloth", "weep hole at the pump",
)  # fmt: skip
"""What speaks of the test, a tool, a name or the place."""


def test_what_was_found_outside_says_wet() -> None:
    assert [one for one in WET if not told_wet(one)] == []


def test_what_speaks_of_the_test_a_tool_a_name_or_the_place_says_no_leak() -> None:
    assert [one for one in DRY if wet_in(one)] == []


def test_a_sentence_says_wet_clearly_and_a_word_alone_does_not() -> None:
    clear = (*WET[:10], "drip from the cap", "it leaked", "drip tray: 5 mL")
    assert [one for one in clear if not clearly_wet(one)] == []
    assert [clearly_wet(one) for one in ("ambient: damp", "wet bench, 4", "columns: leak, 7")] == ["", "", ""]


def test_the_place_keeps_the_tool_that_stands_there() -> None:
    assert (wet_place("wet at the drip tray"), wet_place("pump top drips")) == ("drip tray", "pump top")
