"""Making files and folders that only their owner can read, and that are still there after a power cut."""

import os
from contextlib import suppress
from pathlib import Path

from commission.domain.errors import ReadOnly


def create_logbook_file(path: Path) -> None:
    """Make an empty logbook file with its folder, if there is none; raises ReadOnly where that cannot be done."""
    try:
        _create_folder(path.parent)
        create_private(path)
    except OSError as error:
        raise ReadOnly(f"the logbook {path} cannot be made ({error.strerror}); choose another place for it") from error


def create_private(path: Path) -> None:
    """Make an empty file that only its owner can read, if there is none, whatever the umask."""
    with suppress(FileExistsError):
        # closing a handle drops this process's locks on the file: harmless only because O_EXCL made it a new one
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def _create_folder(folder: Path) -> None:
    """Make a folder and those above it that are missing, each durably."""
    if folder.is_dir():
        return
    _create_folder(folder.parent)
    folder.mkdir(mode=0o700, exist_ok=True)
    # SQLite synchronises the folder of the file, but not the one in which that folder is new
    _synchronise(folder.parent)


def _synchronise(folder: Path) -> None:
    if not hasattr(os, "O_DIRECTORY"):
        return  # Windows has no such thing
    # a folder may be one that can be passed through but not opened: then the system decides when its entry is written
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
