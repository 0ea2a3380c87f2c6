"""The whole plan as text: what is to be done stands at its head, and nothing is said over and over."""

from collections import Counter

from tests.demos import demo_papers


def test_the_first_box_stands_at_the_head_and_no_caution_is_repeated() -> None:
    # Of the first build the same case took 858 lines, its first box was the 67th, and "judgement" stood there 92 times.
    text = demo_papers("heron_goldfish")["plan.txt"]
    lines = text.splitlines()
    assert len(lines) < 600
    assert next(place for place, line in enumerate(lines) if "☐" in line) < 30
    # It stands beside a reported range that nobody prints, as of tricaine to put a fish under.
    assert text.count("judgement") <= 3
    # This case has no eggs to dip.
    assert "egg" not in text
    said = Counter(
        sentence.strip() for sentence in text.replace("\n    ", " ").split(". ") if "was not measured" in sentence
    )
    assert sum(said.values()) <= 3
