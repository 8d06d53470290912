"""Waits until an app has done all that it was asked to do, by looking at its queues.

Textual's pilot waits until the process uses little time of the processor: that is at least 20 ms for each key, and on
a busy machine, where the process gets no time although it has work to do, it may be too early. Here an app is at rest
when no message is queued or being handled, no callback waits, and nothing is left to lay out or to paint.
"""

import asyncio
from typing import Any

import pytest
from textual._context import active_app
from textual.app import App
from textual.message_pump import MessagePump
from textual.pilot import Pilot
from textual.screen import Screen

AT_ONCE = 500
"""Turns of the loop that are taken at once; after these the app waits for a thread or a timer, and time must go by."""
LONGEST = 1500
"""Most turns, those after the first ones a millisecond each. Counted in turns, since on a busy machine seconds go by
while nothing could be done. What the app does by itself later is waited for by its own condition."""
NO_FRAMES_S = 3600.0
"""Time between two frames that nobody waits for [s]: longer than any test."""
ROUNDS = 2
"""So many looks in succession must find nothing to do: a task may stand between two queues at one of them."""


def at_work(pump: MessagePump) -> bool:
    """Whether a part of the app has messages or callbacks to work on: its loop does not stand at its empty queue."""
    if pump._closed or pump._closing or pump._task is None or pump._task.done():
        return False
    queue: Any = pump._message_queue
    return not queue.empty() or not queue.ready_event._waiters or bool(pump._next_callbacks)


def to_paint(screen: Screen[Any]) -> bool:
    """Whether a screen has something to lay out, to paint, or to call after that."""
    return bool(
        screen._layout_required
        or screen._scroll_required
        or screen._repaint_required
        or screen._recompose_required
        or screen._dirty_widgets
        or screen._callbacks
    )


def has_failed(app: App[Any]) -> bool:
    """Whether an error inside ends the app."""
    return app._exception_event.is_set()


async def at_rest(app: App[Any]) -> None:
    """Wait until the app has nothing left to do, or only what takes longer than a second."""
    calm = 0
    for turn in range(LONGEST):
        await asyncio.sleep(0 if turn < AT_ONCE else 0.001)
        if calm == ROUNDS or not app._running:
            return
        if at_work(app) or any(at_work(node) for node in list(app._registry)):
            calm = 0
            if has_failed(app):
                return
        elif app._resize_event is not None:
            app._check_resize()  # Textual gathers changes of the size for some milliseconds
            calm = 0
        elif app.screen_stack and app.screen.is_current and not app._batch_count and to_paint(app.screen):
            app.screen._on_timer_update()
            calm = 0
        else:
            calm += 1


async def screen_at_rest(pilot: Pilot[Any], _timeout: float = 30.0) -> bool:
    """Stand in for the pilot's wait for a screen, which sends a message to each widget and waits for all of them.

    An app at rest has none left that was sent before. Return whether the app still works.
    """
    await at_rest(pilot.app)
    return not has_failed(pilot.app)


async def wait_for_rest(_min_sleep: float = 0.0, _max_sleep: float = 1.0) -> None:
    """Stand in for the pilot's wait for an idle process."""
    await at_rest(active_app.get())


def wait_by_queues(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the pilot and the keys that it presses wait by what is queued, and paint then, not so often a second.

    So what is painted does not depend on how quick the machine is, and no picture is made that no test can see.
    """
    monkeypatch.setattr("textual.screen.UPDATE_PERIOD", NO_FRAMES_S)
    monkeypatch.setattr("textual.pilot.wait_for_idle", wait_for_rest)
    monkeypatch.setattr("textual.app.wait_for_idle", wait_for_rest)
    monkeypatch.setattr(Pilot, "_wait_for_screen", screen_at_rest)
