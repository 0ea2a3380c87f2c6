"""What a case may choose from for the tank through time: equipment, transport, events."""

from enum import StrEnum


class Stones(StrEnum):
    """The kind of air stones."""

    ORDINARY = "ordinary"
    FINE = "fine"


class MadeOf(StrEnum):
    """What a vessel's walls are made of, for the heat that they lose."""

    PLASTIC = "plastic"
    GLASS = "glass"
    FOAM = "lined with foam"


class BackUp(StrEnum):
    """What blows air or oxygen when the power fails."""

    BATTERY = "battery air pump"
    CYLINDER = "oxygen cylinder"
    NONE = "none"


class Carrier(StrEnum):
    """What the fish travels in."""

    BAG = "bag with oxygen"
    BOX = "box with air"


class Happens(StrEnum):
    """What may happen to the hospital tank at a time."""

    CHANGE = "water change"
    MEAL = "meal"
    SALT = "salt"
    BICARBONATE = "bicarbonate"
    ICE = "sealed ice"
    POWER_FAILS = "power fails"
    POWER_RETURNS = "power returns"
    AIR_STOPS = "air stops"
    AIR_RETURNS = "air returns"
    HEATER_STICKS = "heater sticks on"
    HEATER_MENDED = "heater mended"
    LID_ON = "lid on"
    LID_OFF = "lid off"
    HANDLED = "fish handled"
    FISH_IN = "another fish in"
    FISH_OUT = "other fish out"
    FILTER_DAMAGED = "filter damaged"
    CLEAN_TEST = "clean paired test"
