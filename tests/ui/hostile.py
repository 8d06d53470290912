"""Texts that mean harm, and what none of them may do to a screen."""

import unicodedata
from typing import Any

from hypothesis import strategies as st
from textual.app import App

from tests.ui.pictures import text_of

HOSTILE = (
    "[/]",
    "[/b]",
    "[b]bold[/b]",
    "[$error]red",
    "[@click=app.quit]press me[/]",
    "C:\\[x]",
    "\\[",
    "\x1b[2J\x1b[H",
    "\x1b]0;title\x07",
    "\x1b]52;c;aGk=\x07",
    "\x9b31m",
    "\u202egnp.exe",
    "\u2066\u2069\u200b",
    "line one\nline two\r\nthree\tfour",
    "\x00\x07\x08\x7f",
    "\ud800",
    "{0} {name} %s $PATH",
    "界" * 40,
    "e\u0301" * 20,
    "👩\u200d🔧",
    "x" * 5000,
    "",
    " ",
)
"""One of each kind: markup of two libraries, terminal sequences, bidi, surrogates, wide and joined letters."""

hostile_text = st.one_of(
    st.sampled_from(HOSTILE),
    st.text(max_size=80),
    st.builds("{}{}".format, st.sampled_from(HOSTILE), st.text(max_size=20)),
)
"""Any such text."""

_HARMFUL = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def harm_in(app: App[Any]) -> list[str]:
    """What a screen holds that it must not: characters that command a terminal, and actions that a text brought in."""
    found = [repr(c) for c in text_of(app).replace("\n", "") if unicodedata.category(c) in _HARMFUL]
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            if segment.style is not None and "@click" in (segment.style.meta or {}):
                found.append(f"an action behind {segment.text!r}")
    return found
