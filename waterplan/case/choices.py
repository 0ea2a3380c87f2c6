"""What a case may choose from, about its fish and its tubs."""

from enum import StrEnum


class Filter(StrEnum):
    """What the biofilter of a tank can do."""

    SEEDED = "seeded"
    UNSEEDED = "unseeded"
    DAMAGED = "damaged"
    MATURING = "maturing"


class Use(StrEnum):
    """What a vessel is for."""

    INDUCTION = "induction"
    IRRIGATION = "irrigation"
    REVIVAL = "revival"
    HOSPITAL = "hospital"
    DIP = "dip"


class Shape(StrEnum):
    """The plan of a vessel or pond."""

    RECTANGLE = "rectangle"
    ROUND = "round"
    OVAL = "oval"


class Walls(StrEnum):
    """How the sides of a pond go down."""

    VERTICAL = "vertical"
    SLOPING = "sloping"


class FilledWith(StrEnum):
    """The water that a vessel is filled with."""

    HOME = "home water"
    MAINS = "mains water"


class Condition(StrEnum):
    """How a fish looks."""

    GOOD = "good"
    THIN = "thin"
    FAT = "fat"
    WEAK = "weak"


class Wound(StrEnum):
    """Whether a fish has a wound."""

    NONE = "none"
    CLOSED = "closed"
    OPEN = "open"


class Disinfectant(StrEnum):
    """What a water company uses."""

    CHLORINE = "chlorine"
    CHLORAMINE = "chloramine"
    NONE = "none"


class Buffer(StrEnum):
    """How much bicarbonate goes in beside tricaine."""

    NEEDED = "what the water needs"
    ONE = "one to one"
    TWO = "two to one"
    NONE = "none"


class Washed(StrEnum):
    """Whether things to be disinfected are clean."""

    YES = "yes"
    DOUBT = "in doubt"
    NO = "no"
