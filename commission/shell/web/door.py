"""Who may come in: pure functions over what a request says of itself.

Loopback alone keeps nobody out who sits on the same computer, nor a page of somebody else in the same browser. So the
key stands in the path of every address, Host and Origin must be this server's own, and the page may load and reach
nothing else. There is no cookie: a browser sends one to every port of the computer, and so to other people's servers.
"""

import secrets
from collections.abc import Sequence

from commission.base.frozen import Frozen

LOOPBACK = "127.0.0.1"
"""The one address that is listened on; RFC 1122 section 3.2.1.3 keeps it within the computer."""
KEY_BYTES = 32
"""Random bytes of the key; our choice: the 256 bits that Python's `secrets` takes for reasonable."""
FORBIDDEN = "This is not the address that commission web printed. Open that one, with its key."
"""The one answer to whoever has no key, or comes from another page."""


class Door(Frozen):
    """What an address must have to be let in."""

    port: int
    """Port of the server on this computer."""
    key: str
    """What stands in each path and nobody guesses."""

    @property
    def host(self) -> str:
        """What a browser calls the server, RFC 9110 section 7.2."""
        return f"{LOOPBACK}:{self.port}"

    @property
    def address(self) -> str:
        """What is typed into the browser."""
        return f"http://{self.host}/{self.key}/"

    def opens(self, path: str, hosts: Sequence[str], origins: Sequence[str], *, talks: bool) -> bool:
        """Return whether a request is let in, by its path and every Host and Origin it has.

        ``talks``: whether it asks for a connection that types. A browser always says whose page asks for one (RFC 6455
        section 4.1, point 8), so one without an Origin is not let in.
        """
        known = secrets.compare_digest(path.split("/")[1].encode(), self.key.encode()) if path[:1] == "/" else False
        own = [f"http://{self.host}"]
        return known and list(hosts) == [self.host] and list(origins) in ([own] if talks else [[], own])

    def headers(self) -> dict[str, str]:
        """Return what every answer tells the browser: load and reach nothing else, keep nothing, pass nothing on."""
        return {
            "Content-Security-Policy": (
                "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
                f"font-src 'self'; connect-src ws://{self.host}; base-uri 'none'; form-action 'none'; "
                "frame-ancestors 'none'"
            ),
            "Cache-Control": "no-store",
            "Cross-Origin-Opener-Policy": "same-origin",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Referrer-Policy": "no-referrer",
            "X-Content-Type-Options": "nosniff",
        }


def new_key() -> str:
    """Return a key that nobody can guess."""
    return secrets.token_urlsafe(KEY_BYTES)
