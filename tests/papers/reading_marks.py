"""How the tests read what a number on a paper carries."""

import re
from html.parser import HTMLParser

_VOID = {"meta", "link", "br", "hr", "img", "input", "col", "wbr"}
_UNITS = (
    "mg/L|g/L|µL/L|uL/L|mg/mL|mg/kg|L/min|L/h|mL|L|kg|mg|g|°C|°F|cm|mm|m|min|minutes|hours?|h|days?|W|kPa|%|"
    "US gal/min|US gal|oz|lb|in|ft|inHg|psi"
)
WITH_UNIT = re.compile(rf"(?<![\w.,])\d[\d,.]*\s?(?:{_UNITS})(?![\w])")
_CARRIERS = ("data-figure", "data-row", "data-case", "data-action")


class Marks(HTMLParser):
    """A page read for its text outside of drawings, and for what each piece of it carries."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.stack, self.bare, self.figures, self.words, self.troubles = [], [], {}, [], []
        self.feed(text)
        self.close()
        if self.stack:
            self.troubles.append(f"never closed: {[tag for tag, _ in self.stack]}")

    def handle_starttag(self, tag, attrs):
        if tag not in _VOID:
            self.stack.append((tag, dict(attrs)))

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        if not self.stack or self.stack[-1][0] != tag:
            self.troubles.append(f"</{tag}> at {self.getpos()} closes {self.stack[-1:]}")
        else:
            self.stack.pop()

    def handle_data(self, data):
        tags = {tag for tag, _ in self.stack}
        if tags & {"style", "svg", "title"} or not data.strip():
            return
        carried = {name: value for _, attrs in self.stack for name, value in attrs.items() if name in _CARRIERS}
        if "data-figure" in carried:
            self.figures.setdefault(carried["data-figure"], set()).add(" ".join(data.split()))
        if not carried:
            self.bare.append(" ".join(data.split()))
        exempt = "code" in tags or any("source" in (attrs.get("class") or "").split() for _, attrs in self.stack)
        if not exempt:
            self.words.append(" ".join(data.split()))

    @property
    def uncarried(self):
        """The numbers with a unit that carry nothing."""
        return [found for text in self.bare for found in WITH_UNIT.findall(text)]
