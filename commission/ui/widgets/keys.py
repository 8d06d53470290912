"""The keys at the foot of a screen."""

from textual.screen import Screen
from textual.widgets import Footer

Shown = tuple[tuple[str, str, bool, str], ...]


class Keys(Footer):
    """Makes its parts anew only where a key has come, gone or changed, not whenever the focus moves.

    Textual tells of a change several times for each screen that comes up, and at every move of the focus; a dozen
    widgets made anew each time take longer than everything else that a key does.
    """

    _shown: Shown | None = None

    def bindings_changed(self, screen: "Screen[object]") -> None:
        """Make the keys anew where they differ from those that stand there."""
        if not (screen.app.app_focus and self.is_attached and screen is self.screen):
            super().bindings_changed(screen)
            return
        now = tuple(
            (key, active.binding.description, active.enabled, active.tooltip)
            for key, active in screen.active_bindings.items()
            if active.binding.show
        )
        if now != self._shown:
            self._shown = now
            super().bindings_changed(screen)
