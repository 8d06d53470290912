"""Every text that a person reads keeps to the length, the words and the digits of the bench.

The limits are our choice: a builder reads with wet hands and one eye on a gauge.
"""

import re

import pytest

from commission.__main__ import job
from commission.shell.plain.words import places_of, spoken
from tests.words.texts import Text, texts

MOST = {"refusal": 20, "said": 25, "caution": 25, "procedure": 25}
"""Words of the longest sentence; of the whole text for a caution."""

NOT_SAID_AT_A_BENCH = (
    r"\banew\b", r"\bby the book\b", r"\bby the record\b", r"\bat hand\b", r"\blegal\b", r"\bnobody saw\b",
    r"\bforesee", r"\bladder\b", r"\bLIQUID-FULL\b", r"\blet it down\b", r"\bbuild sheet\b", r"\bleast found\b",
    r"\bwet watch\b", r"\b(even the )?(upper|lower) bound\b", r"\bodds\b", r"\bbear a verdict\b", r"\brungs?\b",
    r"\bfindings?\b", r"\bcured?\b", r"\bclimbs? (again|a |the ladder)", r"\bmend\b", r"\bthe books?\b",
)  # fmt: skip
"""Words that have another one in the glossary."""

STORED = {"finding raised", "finding cured", "power fault mended", "wet watch ended", "pressure let down"}
"""Kinds of entry: their stored words stay, another word is shown."""

MANY = {
    "shell/exchange.py", "shell/verify.py", "stages/first_power/typed/cable.py", "stages/first_power/typed/watch.py",
    "stages/pressure_hold/rows/show.py", "storage/bundle.py", "storage/seals.py",
}  # fmt: skip
"""Where the number is above 1 for sure, where one is asked for beside it, or where it numbers a hold."""

OPTIONS = " · "
"""What stands between the words that a line takes: such a row is a list and no sentence."""


def shown() -> list[Text]:
    """Return what is shown: no stored word, no row of options, no source of a number."""
    return [
        one for one in texts() if one.text not in STORED and OPTIONS not in one.text and "second-hand:" not in one.text
    ]


def test_there_are_texts_of_every_kind() -> None:
    kinds = [one.kind for one in shown()]
    assert {kind: kinds.count(kind) >= 40 for kind in MOST} == dict.fromkeys(MOST, True)


@pytest.mark.parametrize("kind", MOST)
def test_no_sentence_is_longer_than_its_limit(kind: str) -> None:
    long = {}
    for one in (one for one in shown() if one.kind == kind):
        parts = [one.text] if kind == "caution" else one.sentences
        most = max(len(part.split()) for part in parts)
        if most > MOST[kind]:
            long[one.where] = (most, one.text)
    assert long == {}


@pytest.mark.parametrize("word", NOT_SAID_AT_A_BENCH)
def test_no_text_has_a_word_that_is_not_said_at_a_bench(word: str) -> None:
    assert {one.where: one.text for one in shown() if re.search(word, one.text)} == {}


def test_no_text_counts_in_plural_without_asking_how_many() -> None:
    many = r"\{\}\s+(readings|entries|joints|cables|plugs|moves)\b"
    assert {
        one.where: one.text for one in shown() if re.search(many, one.text) and one.where.split(":")[0] not in MANY
    } == {}


def test_no_text_sounds_as_if_the_program_switched_something() -> None:
    acts = r"\bEnter (switches|sets|starts|stops) the (pump|fan|supply|machine|header)"
    assert {one.where: one.text for one in shown() if re.search(acts, one.text)} == {}


@pytest.mark.parametrize("bad", ["hold anew", "the upper bound is", "{} readings", "Enter switches the pump off"])
def test_the_patterns_find_what_they_look_for(bad: str) -> None:
    patterns = (*NOT_SAID_AT_A_BENCH, r"\{\}\s+readings", r"\bEnter (switches|sets|starts|stops) the (pump|fan)")
    assert any(re.search(pattern, bad) for pattern in patterns)


def test_line_by_line_no_text_names_a_key() -> None:
    # what the screens alone say may name one; bench and stages speak to both
    keys = places_of(job().stages(), {}).keys
    shared = [
        one
        for one in texts()
        if re.match(r"(bench|report|record|stages/[a-z_]+/(card|lines|rows|work))[/.]", one.where)
    ]
    assert len(shared) > 500
    named = re.compile(r"\b(Esc|PgDn|PgUp|Ctrl|F[0-9]{1,2}|[Uu]p and down)\b")
    assert [one.text for one in shared if named.search(spoken(one.text, keys))] == []
