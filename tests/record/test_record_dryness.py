"""Words that say dry, and what stands behind them: nothing that says wet is ever dropped."""

import pytest

from commission.base.errors import CommissionError, InputError, NotAllowed
from commission.bench.all_dry import read_all_dry
from commission.bench.joint_look import read_look
from commission.record.machine.dryness import wet_in


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
