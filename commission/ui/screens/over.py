"""What lies over a screen of the bench; what is typed meanwhile is meant for the line beneath."""

from textual.screen import ModalScreen


class Over(ModalScreen[None]):
    """Lies over the screen whose line has the keys."""

    GIVES_WAY = True
    """Whether it goes when text is typed; else that text waits beneath until it was answered."""
