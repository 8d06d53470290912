"""Reads a page with the HTML parser of the standard library: what stands in it, by elements."""

from functools import cache
from html.parser import HTMLParser


class Page(HTMLParser):
    """Texts, tables and elements of a page."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.tables: list[list[list[str]]] = []
        self.texts: list[str] = []
        self.unmatched: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "meta":
            return
        self.open.append(tag)
        if tag == "table":
            self.tables.append([])
        if tag == "tr":
            self.tables[-1].append([])
        if tag in ("td", "th"):
            self.tables[-1][-1].append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.unmatched.append(tag)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if {"td", "th"} & set(self.open):
            self.tables[-1][-1][-1] += data


@cache
def page_of(text: str) -> Page:
    """Return a page that was read once: to read is slow, and nobody changes it."""
    return Page(text)
