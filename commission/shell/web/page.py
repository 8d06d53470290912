"""The page that holds the terminal; nothing of it comes from another server, and no script stands in it."""

from commission.shell.web.door import Door

_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>commission</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="static/css/xterm.css">
<script src="static/js/textual.js"></script>
<script src="keys.js"></script>
<style>
@font-face {{ font-family: "Roboto Mono"; src: url("static/fonts/RobotoMono-VariableFont_wght.ttf"); }}
body {{ background: #111; color: #eee; font-family: "Roboto Mono", monospace; margin: 0; }}
.told {{ position: absolute; top: 0; left: 0; right: 0; padding: 2em; z-index: 10; background: #111; }}
.ended, .-first-byte .opening, .-closed .opening {{ display: none; }}
.-closed .ended {{ display: block; }}
</style>
</head>
<body>
<p class="told opening" role="status">Opening the logbook. The page needs JavaScript.</p>
<p class="told ended" role="alert">This window has ended; what was stored stands. Reload the page to open another. If it
ends again, the reason stands where commission web was started.</p>
<div class="textual-terminal" data-session-websocket-url="ws://{host}/{key}/ws" data-font-size="16"></div>
</body>
</html>
"""

KEYS = """const take = () => document.querySelector(".xterm-helper-textarea")?.focus();
addEventListener("load", take);
addEventListener("focus", take);
"""
"""A script that gives the keys to the terminal, which takes them only after a click."""


def page(door: Door) -> str:
    """Return the page; host and key hold no sign that HTML would read."""
    return _PAGE.format(host=door.host, key=door.key)
