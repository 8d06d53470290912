"""What every test of a screen needs."""

from collections.abc import Iterator

import pytest
from textual.scrollbar import ScrollBar

from tests.tui.quiet import wait_by_queues


@pytest.fixture(autouse=True)
def _scroll_bars_as_they_were() -> Iterator[None]:
    """The ASCII switch changes the scroll bars of the whole process: put them back."""
    before = ScrollBar.renderer
    yield
    ScrollBar.renderer = before


@pytest.fixture(autouse=True)
def _keys_wait_for_what_they_started(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pilot waits until the app is at rest, on a busy machine too."""
    wait_by_queues(monkeypatch)
