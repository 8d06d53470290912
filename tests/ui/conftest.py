"""What every test of a screen needs.

The folders of the stages take all of it over by a star, which leaves out names that begin with an underscore.
"""

import signal
from collections.abc import Iterator

import pytest
from textual.scrollbar import ScrollBar

from tests.ui.quiet import wait_by_queues
from tests.ui.style_sheets import parse_once
from tests.ui.unseen import put_nothing_together

SIGNALS = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP", "SIGINT") if hasattr(signal, name)]
"""Signals that an app listens to."""


@pytest.fixture(autouse=True)
def scroll_bars_as_they_were() -> Iterator[None]:
    """The ASCII switch changes the scroll bars of the whole process: put them back."""
    before = ScrollBar.renderer
    yield
    ScrollBar.renderer = before


@pytest.fixture(autouse=True)
def signals_as_they_were() -> Iterator[None]:
    """An app that ends leaves the usual handlers: put back those that keep this process from being ended."""
    before = {number: signal.getsignal(number) for number in SIGNALS}
    yield
    for number, handler in before.items():
        if handler is not None:
            signal.signal(number, handler)


@pytest.fixture(autouse=True)
def keys_wait_for_what_they_started(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pilot waits until the app is at rest, on a busy machine too."""
    wait_by_queues(monkeypatch)


@pytest.fixture(autouse=True)
def keys_of_the_pilot_are_no_burst(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pilot types faster than any person, and yet it waits for what it sees."""
    monkeypatch.setattr("commission.ui.keys_in_order.BURST_S", 0.0)


@pytest.fixture(autouse=True)
def style_sheets_are_parsed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The next app takes the rules that the app before has parsed."""
    parse_once(monkeypatch)


@pytest.fixture(autouse=True)
def pictures_that_nobody_sees_are_not_put_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what is new is rendered, until a test looks."""
    put_nothing_together(monkeypatch)
