"""What the system can refuse while a logbook is opened: one line each, and nothing is called damaged that is not."""

import errno
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from commission.base.errors import CommissionError
from commission.storage.glance import glance
from commission.storage.lock import lock_path
from commission.storage.store import SqliteLog
from commission.storage.verify import check_quickly
from tests.registered import open_log, open_log_for_reading
from tests.shell.running import called, environment, one_line
from tests.storage.making import filled

ERRORS = [errno.EIO, errno.EACCES, errno.EMFILE, errno.ENFILE, errno.ENOSPC, errno.EPERM, errno.ENAMETOOLONG]


def told(call: Callable[[], SqliteLog]) -> str:
    """Return why a logbook was not opened, or not for writing; anything but an error of our own fails."""
    try:
        log = call()
    except CommissionError as error:
        message = str(error)
    else:
        message = log.read_only_because
        log.close()
    assert message
    assert "\n" not in message
    assert "damaged" not in message
    return message


def refusing(real: Callable[..., Any], target: Path, error: Exception) -> Callable[..., Any]:
    """Return a call of the system that refuses one file."""

    def call(path: object, *rest: Any, **more: Any) -> Any:
        if str(target) in str(path):
            raise error
        return real(path, *rest, **more)

    return call


@pytest.mark.parametrize("number", ERRORS, ids=lambda number: errno.errorcode[number])
@pytest.mark.parametrize("which", ["logbook", "lock"])
def test_a_file_that_cannot_be_looked_at_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, which: str, number: int
) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    target = path if which == "logbook" else lock_path(path)
    monkeypatch.setattr(os, "stat", refusing(os.stat, target, OSError(number, os.strerror(number), str(target))))
    assert os.strerror(number) in told(lambda: open_log(path, holder="tests"))
    if which == "logbook":
        told(lambda: open_log_for_reading(path))
        assert glance(path) == []
        refused = called("list", logbook=path)
        assert refused.status == 2
        one_line(refused.err)


@pytest.mark.parametrize("number", ERRORS, ids=lambda number: errno.errorcode[number])
@pytest.mark.parametrize("which", ["logbook", "lock"])
def test_a_file_that_cannot_be_made_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, which: str, number: int
) -> None:
    path = tmp_path / "x.logbook"
    target = path if which == "logbook" else lock_path(path)
    error = OSError(number, os.strerror(number), str(target))
    if which == "lock":
        path.touch()
    monkeypatch.setattr(os, "open", refusing(os.open, target, error))
    assert os.strerror(number) in told(lambda: open_log(path, holder="tests"))


@pytest.mark.parametrize(
    ("code", "text"),
    [
        ("SQLITE_CANTOPEN", "unable to open database file"),
        ("SQLITE_IOERR", "disk I/O error"),
        ("SQLITE_FULL", "database or disk is full"),
        ("SQLITE_PERM", "access permission denied"),
    ],
)
@pytest.mark.parametrize("which", ["logbook", "lock"])
def test_a_file_that_sqlite_cannot_open_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, which: str, code: str, text: str
) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    target = path.name if which == "logbook" else lock_path(path).name
    error = sqlite3.OperationalError(text)
    error.sqlite_errorname = code
    real: Callable[..., sqlite3.Connection] = sqlite3.connect

    def connect(database: object, *rest: Any, **more: Any) -> sqlite3.Connection:
        if str(database).partition("?")[0].endswith(target):
            raise error
        return real(database, *rest, **more)

    monkeypatch.setattr(sqlite3, "connect", connect)
    assert text in told(lambda: open_log(path, holder="tests"))
    refused = called("withdraw", "x", "1", "--reason", "wrong", logbook=path)
    assert refused.status == 2
    assert "damaged" not in one_line(refused.err)


@pytest.mark.parametrize("code", ["SQLITE_IOERR_READ", "SQLITE_CANTOPEN", "SQLITE_NOMEM", "SQLITE_BUSY"])
def test_a_disk_that_fails_while_the_file_is_looked_through_is_not_called_damage(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: str
) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()

    class Failing:
        def execute(self, sql: str) -> None:
            error = sqlite3.OperationalError("disk I/O error")
            error.sqlite_errorname = code
            raise error

    monkeypatch.setattr(
        "commission.storage.opening.check_quickly",
        lambda _connection, *, pages: check_quickly(Failing(), pages=pages),  # type: ignore[arg-type]
    )
    told(lambda: open_log(path, holder="tests"))


def test_damage_is_still_called_damage(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    data = bytearray(path.read_bytes())
    data[4096:4200] = bytes(104)
    path.write_bytes(data)
    log = open_log(path, holder="tests")
    assert "the logbook is damaged" in log.read_only_because
    log.close()


# --- real ones -----------------------------------------------------------------------------------------------------

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="these are faults of POSIX systems")


def ring(folder: Path) -> Path:
    """Two links that lead to each other."""
    (folder / "a").symlink_to(folder / "b")
    (folder / "b").symlink_to(folder / "a")
    return folder / "a"


def below_a_file(folder: Path) -> Path:
    """A path below something that is no folder."""
    (folder / "file").touch()
    return folder / "file" / "x.logbook"


PLACES: dict[str, Callable[[Path], Path]] = {
    "a folder": lambda folder: folder,
    "below a file": below_a_file,
    "links in a ring": ring,
    "a home that nobody has": lambda _: Path("~nobody-of-that-name/x.logbook"),
    "a name that is too long": lambda folder: folder / ("x" * 300),
    "where nothing can be made": lambda _: Path("/proc/x.logbook"),
    "a device": lambda _: Path("/dev/null"),
}


@POSIX
@pytest.mark.parametrize("place", PLACES)
def test_a_place_where_no_logbook_can_be_is_one_line(tmp_path: Path, place: str) -> None:
    path = PLACES[place](tmp_path)
    told(lambda: open_log(path, holder="tests"))
    told(lambda: open_log_for_reading(path))
    assert glance(path) == []
    for arguments in (("list",), ("withdraw", "x", "1", "--reason", "wrong"), ("import", str(path))):
        refused = called(*arguments, logbook=path)
        assert refused.status == 2
        one_line(refused.err)


FULL_TABLE = """
import os, resource, sys
from pathlib import Path
from commission.base.errors import CommissionError
from tests.registered import open_log, open_log_for_reading
path = Path(sys.argv[1])
open_log(path, holder="tests").close()  # everything is imported
import commission.storage.verify
lines = []
held = []
resource.setrlimit(resource.RLIMIT_NOFILE, (40, 40))
try:
    while True:
        held.append(os.open("/dev/null", os.O_RDONLY))
except OSError:
    pass
for free in range(12):
    for call in (lambda: open_log(path, holder="tests"), lambda: open_log_for_reading(path)):
        try:
            log = call()
        except CommissionError as error:
            lines.append(str(error))
        else:
            lines.append(log.read_only_because or "open")
            log.close()
    os.close(held.pop())
print("\\n".join(lines))
"""


@POSIX
def test_too_many_open_files_is_one_line_at_whatever_call_it_strikes(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    filled(path).close()
    done = subprocess.run(
        [sys.executable, "-c", FULL_TABLE, str(path)], env=environment(), capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) == 24
    assert not [line for line in lines if "damaged" in line or "not a logbook" in line]
    assert lines[0] != "open"
    assert lines[-2:] == ["open", "it was opened for reading"]


@POSIX
def test_a_folder_of_another_user_is_one_line(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        shut = tmp_path / "shut"
        shut.mkdir(mode=0o000)
        told(lambda: open_log(shut / "x.logbook", holder="tests"))
        return
    # the superuser may do everything, so a child gives that up first
    shut = tmp_path / "shut"
    shut.mkdir(mode=0o700)
    code = (
        "import os, sys\nfrom pathlib import Path\nimport tests.registered as o\n"
        "from commission.base.errors import CommissionError\nimport pwd\n"
        "os.setuid(65534)\n"
        "try:\n    o.open_log(Path(sys.argv[1]), holder='tests')\n"
        "except CommissionError as error:\n    print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(shut / "x.logbook")],
        env=environment(), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "Permission denied" in one_line(done.stdout + done.stderr)
