"""What the readings of a log show, a line for each quantity of each water."""

from waterplan.plan.record import Direction, Trend
from waterplan.words.speaker import Speaker


def trend_lines(speaker: Speaker) -> list[str]:
    """First, last, between which, the direction, and how it stands to its limit and to the last plan."""
    return [_line(speaker, one) for one in speaker.plan.trends]


def _line(speaker: Speaker, one: Trend) -> str:
    gaps = [
        speaker.say("trend.gap", start=speaker.clock(gap.start, "date"), until=speaker.clock(gap.until, "date"))
        for gap in one.gaps
    ]
    against = one.against_plan
    return speaker.say(
        "trend.line",
        water=speaker.name(one.water),
        quantity=speaker.word(one.quantity),
        n=one.count,
        began=speaker.clock(one.began),
        ended=speaker.clock(one.ended),
        first=speaker.case(one.texts[0], "read"),
        last=speaker.case(one.texts[1], "read"),
        lowest=speaker.figure(one.lowest),
        highest=speaker.figure(one.highest),
        direction=speaker.say(f"trend.{one.direction}"),
        limit=speaker.limit(one.limit),
        outside=one.outside,
        expected=speaker.figure(one.expected) if one.expected else "",
        against=speaker.say(f"trend.as planned {against}") if isinstance(against, Direction) else "",
        gaps=speaker.join(gaps, " "),
    )
