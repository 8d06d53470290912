"""What was typed and not entered, and how the screens look, each kept in a small file of its own beside the logbook.

Not in the logbook: what is no entry has no place in its chain, its guards forbid to change a row, and a draft changes
with each key. Only the window that writes the logbook writes this file; nothing that counts is ever read from it.
"""

import os
from contextlib import suppress
from pathlib import Path

LARGEST = 1024 * 1024
"""A file above this size is not read [B]; our choice: a hundred times what a day at the bench leaves unsent."""


class UnsentFile:
    """The file beside a logbook."""

    def __init__(self, logbook: Path, ending: str = "unsent") -> None:
        self.path = logbook.with_name(f"{logbook.name}.{ending}")
        """Where it stands."""

    def load(self) -> str:
        """Return what it holds; an empty text where it cannot be read."""
        try:
            if self.path.stat().st_size > LARGEST:
                return ""
            return self.path.read_text(encoding="utf-8")
        except (OSError, ValueError):
            return ""

    def save(self, text: str) -> None:
        """Let it hold a text, or be gone where that is empty; a disk that does not take it costs only typing."""
        beside = self.path.with_name(f".{self.path.name}.part")
        with suppress(OSError):
            if not text:
                self.path.unlink(missing_ok=True)
                return
            beside.unlink(missing_ok=True)
            handle = os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
            beside.replace(self.path)
