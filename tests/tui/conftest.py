"""What every test of a screen needs."""

from collections.abc import Iterator

import pytest
from textual.scrollbar import ScrollBar


@pytest.fixture(autouse=True)
def _scroll_bars_as_they_were() -> Iterator[None]:
    """The ASCII switch changes the scroll bars of the whole process: put them back."""
    before = ScrollBar.renderer
    yield
    ScrollBar.renderer = before
