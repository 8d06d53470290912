"""``commission web`` before a browser comes: who is let in, what is listened on, and what is refused in one line."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.shell.start import SERVED_BY, refuse_without_terminal
from commission.shell.web import serving
from commission.shell.web.command import _listening
from commission.shell.web.door import Door, new_key
from commission.shell.web.page import page
from commission.ui.lifeline import HUNG_UP, Lifeline
from tests.shell.running import called, one_line

DOOR = Door(port=8765, key="k3y_-")
HOST, OWN, PAGE = "127.0.0.1:8765", "http://127.0.0.1:8765", "/k3y_-/"


@pytest.mark.parametrize(
    ("path", "hosts", "origins", "talks", "opens"),
    [
        (PAGE, [HOST], [], False, True),
        (PAGE, [HOST], [OWN], False, True),
        (PAGE + "ws", [HOST], [OWN], True, True),
        (PAGE + "ws", [HOST], [], True, False),
        (PAGE + "ws", [HOST], ["http://elsewhere.example"], True, False),
        (PAGE + "ws", [HOST], ["http://127.0.0.1:8766"], True, False),
        (PAGE + "ws", [HOST], ["https://127.0.0.1:8765"], True, False),
        (PAGE + "ws", [HOST], ["null"], True, False),
        (PAGE + "ws", [HOST], [OWN, OWN], True, False),
        (PAGE, [HOST], ["null"], False, False),
        (PAGE, ["rebound.example:8765"], [], False, False),
        (PAGE, ["127.0.0.1"], [], False, False),
        (PAGE, [HOST, HOST], [], False, False),
        (PAGE, [], [], False, False),
        ("/", [HOST], [], False, False),
        ("/k3y_/", [HOST], [], False, False),
        ("/static/k3y_-/", [HOST], [], False, False),
        ("//k3y_-/", [HOST], [], False, False),
        ("k3y_-/", [HOST], [], False, False),
        ("/k3y_-ö/", [HOST], [], False, False),
        ("", [HOST], [], False, False),
    ],
)
def test_only_the_own_page_with_the_key_is_let_in(
    path: str, hosts: list[str], origins: list[str], talks: bool, opens: bool
) -> None:
    assert DOOR.opens(path, hosts, origins, talks=talks) is opens


def test_a_browser_is_told_to_load_and_reach_nothing_else() -> None:
    told = DOOR.headers()
    policy = dict(part.split(" ", 1) for part in told["Content-Security-Policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == "'self'"
    assert policy["connect-src"] == "ws://127.0.0.1:8765"
    assert policy["frame-ancestors"] == "'none'"
    assert told["Referrer-Policy"] == "no-referrer"
    assert told["Cache-Control"] == "no-store"
    assert "https:" not in page(DOOR)
    assert page(DOOR).count("//") == page(DOOR).count("ws://127.0.0.1:8765/k3y_-/ws") == 1


def test_keys_are_long_and_never_the_same() -> None:
    keys = {new_key() for _ in range(100)}
    assert len(keys) == 100
    assert min(map(len, keys)) == 43  # 32 bytes, 6 bits a letter without padding (RFC 4648 section 5): 256 / 6 = 42.7


def test_it_listens_on_this_computer_alone_and_a_port_that_is_taken_is_one_line() -> None:
    with _listening(None) as listening:
        address, port = listening.getsockname()
        assert address == "127.0.0.1"
        with pytest.raises(InputError, match=rf"^port {port} cannot be listened on \(.+\); leave out --port$"):
            _listening(port)


def test_without_the_extra_one_line_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serving, "PARTS", ("no_such_package",))
    refused = called("web")
    assert (refused.status, refused.out) == (2, "")
    assert "install commission with its extra web" in one_line(refused.err)


@pytest.mark.parametrize(
    ("says", "lets_in"), [(lambda: str(os.getppid()), True), (lambda: "1", False), (lambda: "", False)]
)
def test_without_a_terminal_only_a_living_parent_that_serves_is_believed(
    says: Callable[[], str], lets_in: bool, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv(SERVED_BY, says())
    with (tmp_path / "no terminal").open("w") as stream:
        monkeypatch.setattr("sys.__stdin__", stream)
        if lets_in:
            refuse_without_terminal()
            return
        with pytest.raises(InputError, match="need a terminal"):
            refuse_without_terminal()


def test_a_window_whose_server_ended_before_it_looked_ends_too() -> None:
    lost = Lifeline(parent=os.getppid() + 1)
    kept = Lifeline(parent=os.getppid())
    for each in (lost, kept):
        each.look()
    assert (lost.status, kept.status) == (HUNG_UP, 0)
