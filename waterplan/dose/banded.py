"""Which error of the volume does harm to a dose."""

from enum import StrEnum


class Purpose(StrEnum):
    """Which error of the volume does harm."""

    HARMS_IN_EXCESS = "harms when overdosed"
    ANTIDOTE = "fails when underdosed"
