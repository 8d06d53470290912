"""Text from people reaches a terminal only with every hidden character spelled out."""

import unicodedata

from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.text import clean, clip

HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


@settings(deadline=None)
@given(st.text())
def test_no_hidden_character_is_left(text: str) -> None:
    assert not {unicodedata.category(c) for c in clean(text)} & HIDDEN


@settings(deadline=None)
@given(st.text())
def test_cleaning_again_changes_nothing(text: str) -> None:
    assert clean(clean(text)) == clean(text)


@settings(deadline=None)
@given(st.text(st.characters(exclude_categories=list(HIDDEN))))  # type: ignore[arg-type]
def test_plain_text_is_left_alone(text: str) -> None:
    assert clean(text) == text


def test_escape_sequences_are_spelled_out() -> None:
    assert clean("\x1b]0;x\x07") == "\\u001b]0;x\\u0007"
    assert clean("a\u202eb\u2028c\ud800") == "a\\u202eb\\u2028c\\ud800"
    assert clean("\U000e0001") == "\\U000e0001"


@settings(deadline=None)
@given(st.text(min_size=0, max_size=300))
def test_a_clipped_text_is_short_and_clean(text: str) -> None:
    assert len(clip(text)) <= 43
    assert clean(clip(text)) == clip(text)
