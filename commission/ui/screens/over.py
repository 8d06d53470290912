"""What lies over a screen of the bench; what is typed meanwhile is meant for the line beneath."""

from textual.screen import ModalScreen


class Over(ModalScreen[None]):
    """Lies over the screen whose line has the keys."""

    GIVES_WAY = True
    """Whether it goes when text is typed; else that text waits beneath until it was answered."""

    def hands_on(self, text: str) -> bool:
        """Return whether a typed text is meant for the line beneath: a space alone does not make help go away."""
        return bool(text.strip()) or (text == " " and not self.GIVES_WAY)
