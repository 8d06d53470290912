"""Words that open a card from any line, and lines that only look like them."""

import pytest

from commission.bench.mishap.words import MISHAPS, called_by
from commission.record.mishap import Mishap


@pytest.mark.parametrize(
    ("text", "understood", "word", "before"),
    [
        ("leak", True, "leak", ""),
        (" SPILL ", True, "spill", ""),
        ("smoke!", False, "smoke", ""),
        ("help!", True, "help", ""),
        ("repaired", True, "repaired", ""),
        ("497,5 leak", False, "leak", "497,5"),
        ("the wrong gau leak!", True, "leak", "the wrong gau"),
        ("my name is help!", True, "help", "my name is"),
        ("drip", False, "leak", ""),
        ("Dripping!", True, "leak", ""),
        ("497,5 drips", False, "leak", "497,5"),
    ],
)
def test_a_word_calls_its_card_and_what_was_typed_before_it_stays(
    text: str, understood: bool, word: str, before: str
) -> None:
    called = called_by(text, understood=understood)
    assert called is not None
    assert (called.word, called.before) == (word, before)


@pytest.mark.parametrize(
    ("text", "understood"),
    [
        ("", False),
        ("help", False),
        ("note a small leak", True),
        ("leak at the lower port", True),
        ("drips at the lower port", True),
        ("spill 20 mL", False),
        ("drips", True),
        ("spill 20 mL", True),
        ("all joints repaired", False),
        ("wet", True),
        ("pinhole", True),
    ],
)
def test_what_means_something_else_calls_nothing(text: str, understood: bool) -> None:
    assert called_by(text, understood=understood) is None


@pytest.mark.parametrize(
    ("text", "word", "where"),
    [
        ("leak at the pump", "leak", "pump"),
        ("drips from lower radiator port", "leak", "lower radiator port"),
        ("smoke from the supply", "smoke", "supply"),
        ("wet under the pump", "leak", "pump"),
    ],
)
def test_a_place_behind_the_word_goes_into_the_card(text: str, word: str, where: str) -> None:
    called = called_by(text, wet=True)
    assert called is not None
    assert (called.word, called.before, called.where, called.seen) == (word, "", where, text)


def test_wet_means_a_leak_only_where_joints_are_looked_at() -> None:
    called = called_by("wet", wet=True)
    assert called is not None
    assert called.word == "leak"
    assert called_by("lower port wet", wet=True) is None


def test_the_words_are_those_that_are_recorded() -> None:
    assert tuple(map(str, Mishap)) == MISHAPS
