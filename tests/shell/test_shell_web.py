"""``commission web`` as a process, asked by a client and by a browser; skipped without the extra ``web``."""

import asyncio
import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from commission.__main__ import job
from tests.shell.browser import CHROMIUM, chromium
from tests.shell.running import called, command, environment
from tests.surroundings import PATIENCE_S

aiohttp = pytest.importorskip("aiohttp", reason="the extra web is not installed")
pytest.importorskip("textual_serve", reason="the extra web is not installed")


class Served:
    """A running ``commission web``."""

    def __init__(self, run: "subprocess.Popen[str]", logbook: Path) -> None:
        assert run.stdout is not None
        self.run, self.logbook = run, logbook
        said = run.stdout.readline()
        assert said.startswith("open in a browser on this computer: http://127.0.0.1:")
        self.address = said.split()[-1]
        self.origin = self.address.rsplit("/", 2)[0]

    async def told(self, session: Any, **headers: str) -> Any:
        """Return the connection of a window."""
        return await session.ws_connect(f"{self.address}ws?width=80&height=24", headers=headers)

    def writes(self) -> bool:
        """Return whether a window writes to the logbook."""
        book = job().open(self.logbook).book
        try:
            return bool(book.read_only_because)
        finally:
            book.close()

    async def until(self, writes: bool) -> None:
        """Wait until a window writes, or none does."""
        while self.writes() is not writes:
            await asyncio.sleep(0.05)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    logbook = tmp_path / "bench logbook; $(touch x)"  # a name that no shell may read as more than a name
    logbook_first = job().open(logbook).book
    logbook_first.close()
    with (
        (tmp_path / "errors").open("w") as errors,
        subprocess.Popen(
            command("web", "--logbook", str(logbook)),
            env=environment(),
            cwd=tmp_path,
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
        ) as run,
    ):
        yield Served(run, logbook)
        run.kill()


async def test_who_has_not_the_whole_address_gets_nothing(served: Served, tmp_path: Path) -> None:
    async with aiohttp.ClientSession() as session:

        async def status(address: str, **headers: str) -> int:
            async with session.get(address, headers=headers) as answer:
                assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
                assert "Set-Cookie" not in answer.headers
                found: int = answer.status
                return found

        assert await status(served.address) == 200
        assert await status(served.address + "static/js/textual.js") == 200
        assert await status(served.origin + "/") == 403
        assert await status(served.origin + "/static/js/textual.js") == 403
        assert await status(served.address[:-2] + "/") == 403
        assert await status(served.address, Host="rebound.example") == 403
        assert await status(served.address, Origin="http://elsewhere.example") == 403
        assert await status(served.address + "static/") == 403  # no list of files
        for headers in ({}, {"Origin": "http://elsewhere.example"}, {"Origin": served.origin, "Host": "a.example"}):
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await served.told(session, **headers)
            assert refused.value.status == 403
    for nonsense in (
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"GET /\xff HTTP/1.1\r\nHost: a\r\n\r\n",
        b"\0\x1b]0;x\r\n\r\n",
    ):
        with socket.create_connection(("127.0.0.1", int(served.origin.rpartition(":")[2]))) as stranger:
            stranger.sendall(nonsense)
            assert not stranger.recv(100).startswith(b"HTTP/1.1 2")
    assert (tmp_path / "errors").read_text() == ""
    assert not served.writes()


@pytest.mark.parametrize("how", ["page closed", signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
async def test_a_window_ends_with_its_page_and_with_its_server(served: Served, how: str | signal.Signals) -> None:
    async with asyncio.timeout(PATIENCE_S), aiohttp.ClientSession() as session:
        window = await served.told(session, Origin=served.origin)
        assert (await window.receive()).type is aiohttp.WSMsgType.BINARY
        await window.send_str("{not what a page sends")
        await served.until(writes=True)
        if isinstance(how, signal.Signals):
            served.run.send_signal(how)
            assert served.run.wait(PATIENCE_S) == {signal.SIGINT: 0, signal.SIGTERM: 143}.get(how, -how)
        else:
            await window.close()
        await served.until(writes=False)
        await window.close()


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed here")
async def test_a_build_is_opened_in_a_browser_and_nothing_else_is_asked_for(served: Served, tmp_path: Path) -> None:
    async with asyncio.timeout(PATIENCE_S), chromium(tmp_path / "profile") as tab:
        await tab.do("Page.navigate", url=served.address)
        await tab.becomes("document.body.classList.contains('-first-byte')")
        await tab.types("Ilse Brandt")
        await tab.types("North shelf")
        while "North shelf" not in called("list", logbook=served.logbook).out:
            await asyncio.sleep(0.2)
        asked = [told["request"]["url"] for told in tab.told("Network.requestWillBeSent")]
        assert len(asked) > 3
        assert [url for url in asked if not url.startswith(served.address)] == []
        blocked = [told["entry"]["text"] for told in tab.told("Log.entryAdded") if told["entry"]["level"] == "error"]
        assert blocked == []
    await served.until(writes=False)
    assert not (tmp_path / "x").exists()
