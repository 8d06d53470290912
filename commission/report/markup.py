"""Elements of a page: every text that goes into one is escaped, and only an element is not."""

from __future__ import annotations

from commission.base.frozen import Frozen

# the same as html.escape, which replaces five times over: a page has thousands of texts
_SIGNS = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;"})
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
    said = tag
    for name, value in attributes.items():
        said += f' {name.rstrip("_").replace("_", "-")}="{value.translate(_SIGNS)}"'
    if tag in _VOID and not children:
        return Markup(f"<{said}/>")
    inner = "".join([child.text if isinstance(child, Markup) else child.translate(_SIGNS) for child in children])
    return Markup(f"<{said}>{inner}</{tag}>")
