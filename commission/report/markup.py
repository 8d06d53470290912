"""Elements of a page: every text that goes into one is escaped, and only an element is not."""

from __future__ import annotations

from html import escape

from commission.base.frozen import Frozen

_VOID = frozenset({"meta", "circle", "path", "line", "polygon", "polyline", "rect"})


class Markup(Frozen, kw_only=False):
    """A piece of a page that is made of elements already."""

    text: str
    """Its characters."""


def element(tag: str, *children: Markup | str, **attributes: str) -> Markup:
    r"""Return an element; a ``_`` in the name of an attribute is a hyphen, one at its end is left out.

    >>> element("td", "<b> & \"x\"", class_="word").text
    '<td class="word">&lt;b&gt; &amp; &quot;x&quot;</td>'
    """
    said = "".join(f' {name.rstrip("_").replace("_", "-")}="{escape(value)}"' for name, value in attributes.items())
    if tag in _VOID and not children:
        return Markup(f"<{tag}{said}/>")
    inner = "".join(child.text if isinstance(child, Markup) else escape(child) for child in children)
    return Markup(f"<{tag}{said}>{inner}</{tag}>")
