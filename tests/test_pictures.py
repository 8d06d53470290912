"""The pictures in the README are what the screens show today.

Outside: the words that each picture must show are those of the demo's truth in ``tests/make_demo_logbook.py``.
"""

import asyncio
from pathlib import Path

import pytest

from tests.make_pictures import PICTURES, TARGET, pictures, text_in

SHOWS = {
    "builds": ("A sample workshop", "running", "passed", "failed", "open", "stale"),
    "hold-running": ("North shelf", "ON COURSE TO PASS"),
    "hold-failed": ("Guest cube", "FAIL"),
}


@pytest.fixture(scope="module")
def today(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return asyncio.run(pictures(tmp_path_factory.mktemp("pictures")))


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_shows_what_the_screen_shows_today(name: str, today: dict[str, str]) -> None:
    kept = (TARGET / f"{name}.svg").read_text(encoding="utf-8")
    assert text_in(kept) == text_in(today[name]), "stale: run python tests/make_pictures.py, and look at it"


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_has_its_words_as_text_and_fetches_nothing(name: str) -> None:
    kept = (TARGET / f"{name}.svg").read_text(encoding="utf-8")
    text = text_in(kept).replace("&#160;", " ")
    assert [words for words in SHOWS[name] if words not in text] == []
    assert "url(http" not in kept
    assert 'url("http' not in kept


def test_each_picture_stands_in_the_readme() -> None:
    readme = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
    assert [name for name in PICTURES if f"(sample_logs/pictures/{name}.svg)" not in readme] == []
    assert {path.stem for path in TARGET.iterdir()} == set(PICTURES)
