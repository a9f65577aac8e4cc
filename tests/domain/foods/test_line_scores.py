"""The matcher's score on the project's own judged lines (see fixtures/README.md for who judged them)."""

import json
from collections import Counter
from pathlib import Path

from nutricost.sources.matching_engine import Matcher

LINES = Path(__file__).parents[3] / "fixtures" / "reference" / "lines.jsonl"


def test_score_of_the_judged_lines() -> None:
    matcher = Matcher.open(["sr28"])
    count: Counter[str] = Counter()
    for text in LINES.read_text(encoding="utf-8").splitlines():
        judged = json.loads(text)
        found = matcher.match(judged["line"])
        if judged["accept"]:
            right = found.food is not None and found.food.ndb_number in judged["accept"]
            count["answerable"] += 1
            count["top1"] += right
            count["top5"] += any(c.food.ndb_number in judged["accept"] for c in found.candidates)
            count["matched wrong"] += found.status == "matched" and not right
        else:
            count["false matched"] += found.status == "matched"
        if judged["grams"]:
            low, high = judged["grams"]
            count["weighed"] += 1
            value = found.grams.value
            count["in range"] += (
                value is not None and low - abs(low) * 0.05 <= value <= high + abs(high) * 0.05
            )
    assert count["answerable"] >= 400
    # Reached: 1.000, 1.000, 0.993, 0 and 0; the bars leave room for changes that help elsewhere.
    assert count["top1"] / count["answerable"] >= 0.98
    assert count["top5"] / count["answerable"] >= 0.99
    assert count["in range"] / count["weighed"] >= 0.96
    assert count["matched wrong"] / count["answerable"] <= 0.01
    assert count["false matched"] == 0
