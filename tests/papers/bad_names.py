"""Cases whose names a page has trouble with: long, of markup, read from the right, of signs, doubled; many or none."""

import re

from tests.demos import DEMO_PONDS

# Each is put in the place of a name or of free words: no blank to break at, markup, right to left, signs, comma, bracket.
LONG = "Wintergartenwasserbecken" * 8 + "-am-Ende"
MARKUP = '<b onclick="alert(1)">vat</b> & </style> <script>alert(2)</script>'
RIGHT_TO_LEFT = "בריכת הבית של דנה (הגדולה) رقم ٤"
SIGNS = "🐟🐠 tub 👩🏽\u200d🔬 number 1️⃣"
COMMA, BRACKET = "tub, left, by the door", "tub (left] {by the} door["
NAMES = {
    "Copper": LONG,
    "heron wound on the left flank cleaned and closed with five sutures": f"{MARKUP} {LONG}",
    "garden pond on a hillside": f"{SIGNS} {RIGHT_TO_LEFT} {LONG}",
    "white basin": LONG[::-1],
    "reservoir": RIGHT_TO_LEFT,
    "blue tub": MARKUP.replace('"', "'"),
    "hospital tank": f"{BRACKET} {LONG}",
}


def named_badly() -> str:
    """The rich case with every name and free word that it has changed for a bad one, and those it lacks given."""
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text("utf-8")
    for name, bad in NAMES.items():
        quoted = bad.replace('"', '\\"')
        text = text.replace(f'"{name}"', f'"{quoted}"')
    more = "".join(
        f'{key} = "{bad}"\n'
        for key, bad in (("vet_by_day", LONG), ("out_of_hours", f"{RIGHT_TO_LEFT} 020 7946 0123"), ("authority", COMMA))
    )
    return text.replace("[place]\n", f"[place]\n{more}")


def twelve_tubs() -> str:
    """The rich case with nine tubs more."""
    names = (LONG, RIGHT_TO_LEFT, SIGNS, COMMA, BRACKET, "tub", "tub", "mains water", "hospital-1")
    uses = ("revival", "dip", "revival", "irrigation", "induction", "hospital", "revival", "dip", "revival")
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text("utf-8")
    return text + "".join(
        f'\n[[vessels]]\nname = "{name}"\nuse = "{use}"\nvolume = "{40 + 10 * n} L, marked tub"\n'
        for n, (name, use) in enumerate(zip(names, uses, strict=True))
    )


def no_tub() -> str:
    """The rich case without its tubs and what is meant for them."""
    text = (DEMO_PONDS / "heron_goldfish.toml").read_text("utf-8")
    tables = re.split(r"\n(?=\[)", text)
    gone = ("[[vessels]]", "[[doses]]", "[[injections]]", "[transport]", "[oxygen_cylinder]")
    return "\n".join(one for one in tables if not one.startswith(gone))


BAD = {"named badly": named_badly, "twelve tubs": twelve_tubs, "no tub": no_tub}
