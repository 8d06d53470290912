"""The cards of what went wrong: the first three actions in their order, short, and none of the cautions' words lost."""

import re

import pytest

from commission.bench.mishap.cards import HURT, MISHAPS, Card
from commission.bench.mishap.first_aid import CASES, FIRST_AID, card_of
from commission.record.mishap import Mishap

EVERY = {**{str(what): card for what, card in MISHAPS.items()}, **FIRST_AID}

FIRST_THREE = {
    "leak": (
        ("pump or machine off", "without shutting down", "close the filler"),
        ("plug out", "wet plug", "breaker or rcd"),
        ("bowl", "drain", "blot"),
    ),
    "spill": (
        ("stop pouring", "close the filler", "supply or breaker", "without shutting down"),
        ("plug out", "wet plug", "breaker or rcd"),
        ("away from sockets", "blot"),
    ),
    "smoke": (("off at the supply",), ("plug out", "breaker off if it burns", "no water"), ("everyone out", "fire")),
    "burst": (
        ("face away", "step back"),
        ("source", "from the side"),
        ("by the valve", "never by a fitting", "shards"),
    ),
    "pump": (("off at once",), ("plug out", "polarity"), ("level", "one further start")),
    "eye": (("lukewarm running water", "15 minutes"), ("lenses out",), ("poison centre", "hospital")),
    "swallowed": (("emergency number", "poison centre now"), ("not make anyone vomit", "drowsy"), ("label",)),
    "pet": (("vet now",), ("label",), ("within 3 h", "8 to 12 h")),
}
"""The words without which an action says less than it must. Sources: those that each card names; electrical-safety
pages (wet plug), a poison centre (eye, swallowed, pet); the order of the rest is common practice, no source."""

AFTERWARDS = {
    "leak": ("pressure hold", "call an electrician", "no power before it is clean", "distilled water", "48 h", "scrap"),
    "spill": (
        "call an electrician",
        "no power before it is clean",
        "isopropyl",
        "no flame",
        "not on acrylic",
        "to com",
    ),
    "smoke": ("not power anything again",),
    "burst": ("gas bottle", "air the room"),
}


@pytest.mark.parametrize("word", EVERY)
def test_a_card_names_its_first_three_actions_in_order(word: str) -> None:
    card = EVERY[word]
    for action, words in zip(card.actions, FIRST_THREE[word], strict=True):
        assert not [one for one in words if one not in action.casefold()]


@pytest.mark.parametrize("word", AFTERWARDS)
def test_what_comes_after_the_first_three_stands_beneath_them(word: str) -> None:
    then = " ".join(EVERY[word].then).casefold()
    assert not [one for one in AFTERWARDS[word] if one not in then]


@pytest.mark.parametrize("word", EVERY)
def test_each_text_is_at_most_two_sentences_and_twenty_five_words(word: str) -> None:
    card = EVERY[word]
    for text in (*card.actions, *card.then):
        assert len(text.split()) <= 25
        assert len(re.findall(r"[.?](?:\s|$)", text)) <= 3
        assert "!" not in text
    assert card.source
    assert len(HURT.split()) <= 25


def test_every_mishap_has_a_card_and_no_word_stands_for_two() -> None:
    assert set(MISHAPS) == set(Mishap)
    assert not {str(what) for what in Mishap} & set(FIRST_AID)
    assert list(CASES) == [*map(str, Mishap), *FIRST_AID]
    assert isinstance(card_of("leak"), Card)
    assert card_of("tea") is None
