"""Making files and folders that only their owner can read, and that are still there after a power cut."""

import os
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from commission.base.errors import FileError, ReadOnly


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


def write_new(path: Path, lines: Iterable[str] | Iterable[bytes]) -> None:
    """Write a file that only its owner can read: durable and whole under its name, or not there at all.

    The lines go into a file beside it, which gets the name only after it was written to the disk. What interrupts that,
    even a kill or a power cut, leaves nothing under the name; a kill can leave the other file, named ``.NAME.*.part``.

    Raises
    ------
    FileError
        If something has that name already, which is left as it is, or the file cannot be written.
    """
    with new_file(path) as beside:
        write_through(beside, lines)


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """Give the path of a file to make beside another, which gets that one's name once it is whole and on the disk.

    Raises
    ------
    FileError
        As ``write_new`` does.
    """
    with _new(path, "file") as beside:
        try:
            yield beside
            _name(beside, path)
        finally:
            beside.unlink(missing_ok=True)


@contextmanager
def new_folder(path: Path) -> Iterator[Path]:
    """Give a new folder to fill with files, which gets its name once all is whole and on the disk; else none is left.

    Raises
    ------
    FileError
        If something has that name already, which is left as it is, or it cannot be written.
    """
    with _new(path, "folder") as beside:
        try:
            beside.mkdir(mode=0o700)
            yield beside
            _synchronise(beside)
            if os.path.lexists(path):
                raise FileExistsError(path)
            beside.rename(path)
        finally:
            shutil.rmtree(beside, ignore_errors=True)


@contextmanager
def _new(path: Path, what: str) -> Iterator[Path]:
    if os.path.lexists(path):
        raise FileError(f"{path} is there already; name another {what}")
    try:
        yield path.with_name(f".{path.name}.{os.getpid()}-{os.urandom(4).hex()}.part")
        _synchronise(path.parent)
    except FileExistsError as error:
        raise FileError(f"{path} is there already; name another {what}") from error
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise FileError(f"{path} cannot be written ({why}): nothing was left there; choose another place") from error


def write_through(path: Path, lines: Iterable[str] | Iterable[bytes]) -> None:
    """Write a new file that only its owner can read, through to the disk."""
    handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.writelines(line if isinstance(line, bytes) else line.encode() for line in lines)
        file.flush()
        os.fsync(handle)


def synchronise_file(path: Path) -> None:
    """See to it that what was written to a file is on the disk."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _name(beside: Path, path: Path) -> None:
    """Give a file its name; what got that name meanwhile is not written over."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:
        # some file systems know no second name for a file; between look and rename another program may step in there
        if os.path.lexists(path):
            raise FileExistsError(path) from None
        beside.rename(path)


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
