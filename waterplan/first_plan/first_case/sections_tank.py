"""The sections of a case about the tank through time: cylinder, transport, events."""

from waterplan.first_plan.first_case.fields import Field, Kind, Section, choice, text, value
from waterplan.first_plan.first_case.tank_choices import Carrier, Happens
from waterplan.units import Family

TANK_SECTIONS = (
    Section(
        name="oxygen_cylinder",
        words="the oxygen cylinder at hand",
        fields=(
            value("volume", Family.VOLUME, "cylinder_l", "volume", "water volume stamped on it", "5 L, stamp"),
            value("pressure", Family.GAS_PRESSURE, "gauge_bar", "gauge", "what its gauge shows", "140 bar, gauge"),
            value("flow", Family.AIR_FLOW, "oxygen_flow_l_per_min", "intended", "flow of oxygen", "1 L/min"),
        ),
    ),
    Section(
        name="transport",
        words="how the fish travels",
        fields=(
            choice("by", "what it travels in", tuple(Carrier)),
            value("volume", Family.VOLUME, "volume_l", "volume", "water in it", "12 L, marked tub"),
            value("oxygen", Family.VOLUME, "gas_l", "volume", "oxygen over the water of a bag", "30 L"),
            value("hours", Family.DURATION, "stay_min", "intended", "time from closing to opening", "90 min"),
            value(
                "temperature",
                Family.TEMPERATURE,
                "water_temp_c",
                "temperature",
                "temperature of its water",
                "16 °C, thermometer",
            ),
        ),
    ),
    Section(
        name="events",
        words="what happens to the hospital tank beside the daily change and meals, a table for each in order",
        many=True,
        fields=(
            Field(key="at", kind=Kind.WHEN, words="when", example="2026-05-16T18:00", required=True),
            choice("what", "what happens", tuple(Happens), required=True),
            value("volume", Family.VOLUME, "volume_l", "volume", "water changed", "120 L, marked tub"),
            value("weight", Family.MASS, "event_kg", "intended", "weighed in, or weight of the fish", "300 g"),
            text("words", "name of the fish or of the treatment", "peroxide"),
        ),
    ),
)
