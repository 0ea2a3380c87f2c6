"""What a case may choose from, about its fish and its tubs; a choice is written as its name in small letters, or as said."""

from enum import StrEnum

# What the biofilter of a tank can do.
Filter = StrEnum("Filter", ["SEEDED", "UNSEEDED", "DAMAGED", "MATURING"])
# What a vessel is for; a vat may be the home of the fish and its hospital in one.
Use = StrEnum(
    "Use",
    {
        "INDUCTION": "induction",
        "IRRIGATION": "irrigation",
        "REVIVAL": "revival",
        "HOSPITAL": "hospital",
        "DIP": "dip",
        "VAT": "home and hospital",
    },
)
# The plan of a vessel or pond, and how the sides of a pond go down.
Shape = StrEnum("Shape", ["RECTANGLE", "ROUND", "OVAL"])
Walls = StrEnum("Walls", ["VERTICAL", "SLOPING"])
# How the water of a pond looks: the green of algae breathes all night.
Looks = StrEnum("Looks", ["CLEAR", "GREEN"])
# The water that a vessel is filled with.
FilledWith = StrEnum("FilledWith", {"HOME": "home water", "MAINS": "mains water"})
# How a fish looks, and whether it has a wound.
Condition = StrEnum("Condition", ["GOOD", "THIN", "FAT", "WEAK"])
Wound = StrEnum("Wound", ["NONE", "CLOSED", "OPEN"])
# What a water company uses.
Disinfectant = StrEnum("Disinfectant", ["CHLORINE", "CHLORAMINE", "NONE"])
# Where new water comes from.
Source = StrEnum(
    "Source",
    {
        "TAP": "tap",
        "WELL": "well",
        "RAIN": "rain",
        "REVERSE_OSMOSIS": "reverse osmosis",
        "SOFTENED": "softened",
        "HOT_TAP": "hot tap",
        "AGED": "aged",
        "POND": "pond",
    },
)
# Where in a water something was read, and where in it the fish are.
Where = StrEnum(
    "Where",
    {"SURFACE": "at the surface", "INFLOW": "at the inflow", "MIDDLE": "in the middle", "BOTTOM": "at the bottom"},
)
FishAre = StrEnum(
    "FishAre",
    {
        "SURFACE": "at the surface",
        "INFLOW": "at the inflow",
        "BOTTOM": "at the bottom",
        "APART": "apart from the others",
    },
)
# On how many fish a sign was seen.
HowMany = StrEnum("HowMany", ["ONE", "SEVERAL", "MOST"])
# Whether things to be disinfected are clean.
Washed = StrEnum("Washed", {"YES": "yes", "DOUBT": "in doubt", "NO": "no"})


class Buffer(StrEnum):
    """How much bicarbonate goes in beside tricaine."""

    NEEDED = "what the water needs"
    ONE = "one to one"
    TWO = "two to one"
    NONE = "none"
