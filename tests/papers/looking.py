"""How the tests read a paper: its tags, its words, its numbers."""

import re
from html.parser import HTMLParser

_VOID = {"meta", "link", "br", "hr", "img", "input", "col", "wbr"}


class Page(HTMLParser):
    """A page of HTML, read strictly: every tag closed in its order."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.open, self.tags, self.attributes, self.words, self.troubles = [], [], [], [], []
        self.feed(text)
        self.close()
        if self.open:
            self.troubles.append(f"never closed: {self.open}")

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if len({name for name, _ in attrs}) < len(attrs):
            self.troubles.append(f"{tag} at {self.getpos()} has an attribute twice")
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag):
        if not self.open or self.open[-1] != tag:
            self.troubles.append(f"</{tag}> at {self.getpos()} closes {self.open[-1:]}")
        else:
            self.open.pop()

    def handle_data(self, data):
        if "style" not in self.open and data.strip():
            self.words.append(" ".join(data.split()))

    @property
    def text(self):
        """All that a reader reads."""
        return "\n".join(self.words)


def is_plain_number(text):
    """Whether a cell is a number that a spreadsheet may take as one."""
    return re.fullmatch(r"-?[\d.]+(?:e[+-]?\d+)?", text) is not None
