"""What a case may choose from for the tank through time: equipment, transport, events."""

from enum import StrEnum

# The kind of air stones.
Stones = StrEnum("Stones", ["ORDINARY", "FINE"])
# What a vessel's walls are made of, for the heat that they lose.
MadeOf = StrEnum("MadeOf", {"PLASTIC": "plastic", "GLASS": "glass", "FOAM": "lined with foam"})
# What blows air or oxygen when the power fails.
BackUp = StrEnum("BackUp", {"BATTERY": "battery air pump", "CYLINDER": "oxygen cylinder", "NONE": "none"})
# What the fish travels in.
Carrier = StrEnum("Carrier", {"BAG": "bag with oxygen", "BOX": "box with air"})


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
    HEATER_FAILS = "heater fails"
    HEATER_MENDED = "heater mended"
    CHANGES_STOP = "changes stop"
    CHANGES_GO_ON = "changes go on"
    LID_ON = "lid on"
    LID_OFF = "lid off"
    HANDLED = "fish handled"
    FISH_IN = "another fish in"
    FISH_OUT = "other fish out"
    FILTER_DAMAGED = "filter damaged"
    CLEAN_TEST = "clean paired test"
