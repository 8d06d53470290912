"""Pictures that no test looks at are not put together.

An app of a test has no terminal: what is painted goes nowhere, and a test that looks has all of the screen put together
for it. So between two looks only the widgets with something new are rendered, as they are in a terminal. What is left
out is Textual's own: to dress a text in its border and background line by line, to take the other widgets' lines from
where they are kept, and to lay all lines over each other.
"""

from typing import Any

import pytest
from textual._compositor import Compositor
from textual._context import visible_screen_stack
from textual.screen import Screen
from textual.widget import Widget


def has_news(widget: Widget) -> bool:
    """Whether a widget must be rendered again: it changed, or it never was."""
    kept = widget._styles_cache
    return bool(widget._dirty_regions or kept._dirty_lines or not kept._cache)


def draws_lines(widget: Widget) -> bool:
    """Whether a widget draws line by line itself, and not a text that Textual cuts into lines."""
    kind = type(widget)
    return kind.render_line is not Widget.render_line or kind.render_lines is not Widget.render_lines


def render_news(compositor: Compositor, screen_stack: list[Screen[Any]] | None) -> None:
    """Stand in for the compositor's update: render what is new, and put nothing together."""
    visible_screen_stack.set(screen_stack or [])
    compositor._dirty_regions.clear()
    for widget, (region, clip) in compositor.visible_widgets.items():
        seen = region.intersection(clip)
        if not seen:
            continue
        if not draws_lines(widget):
            if widget._dirty_regions and not widget.BLANK:
                widget._render_content()
        elif has_news(widget):
            widget.render_lines(seen.translate(-region.offset))


def put_nothing_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let apps without a terminal leave out what nobody can see; who asks for all of the screen gets it."""
    whole = Compositor.render_update

    def render_update(
        compositor: Compositor, full: bool = False, screen_stack: Any = None, simplify: bool = False
    ) -> Any:
        if full or simplify:
            return whole(compositor, full=full, screen_stack=screen_stack, simplify=simplify)
        return render_news(compositor, screen_stack)

    monkeypatch.setattr(Compositor, "render_update", render_update)
