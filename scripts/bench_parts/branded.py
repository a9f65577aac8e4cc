"""Matching over the 380,000 branded names of `fooddata.csv`, beside the embedded table.

Optional: NUTRICOST_BRANDED_CSV names the file (from the wheel that DEVELOPERS.md lists); without it the part
says so and measures nothing. The names are imported as a table of their own in a temporary folder.
"""

from __future__ import annotations

import csv
import os
import sys
import tempfile
import time
from pathlib import Path

from nutricost.sources.bulk_import import import_table
from nutricost.sources.bulk_tables import BulkMatcher, BulkTable
from nutricost.sources.matching_engine import Matcher
from scripts.bench_parts.matching import judged

COUNT = 100
_VALUES = (("1008", "Energy"), ("1003", "Protein"), ("1004", "Total fat"), ("1005", "Carbohydrate"))


def write_download(source: Path, folder: Path) -> int:
    """Writes the branded rows of the file in the shape of a CSV download; returns how many."""
    written = 0
    with (
        source.open(encoding="utf-8", newline="") as file,
        (folder / "food.csv").open("w", encoding="utf-8", newline="") as foods,
        (folder / "branded_food.csv").open("w", encoding="utf-8", newline="") as branded,
        (folder / "food_nutrient.csv").open("w", encoding="utf-8", newline="") as nutrients,
    ):
        food, label, value = csv.writer(foods), csv.writer(branded), csv.writer(nutrients)
        food.writerow(["fdc_id", "data_type", "description", "food_category_id", "publication_date"])
        label.writerow(["fdc_id", "gtin_upc", "serving_size", "serving_size_unit", "branded_food_category"])
        value.writerow(["id", "fdc_id", "nutrient_id", "amount", "derivation_id"])
        for row in csv.DictReader(file):
            if row["data_type"] != "branded_food" or not row["foodName"]:
                continue
            written += 1
            fdc_id = 10_000_000 + written
            food.writerow([fdc_id, "branded_food", row["foodName"], "", "2021-01-01"])
            label.writerow([fdc_id, "", "100", "g", row["food_category"]])
            for place, (number, column) in enumerate(_VALUES):
                if row[column]:
                    value.writerow([written * 10 + place, fdc_id, number, row[column], 70])
    (folder / "nutrient.csv").write_text(
        "id,name,unit_name,nutrient_nbr\n1008,n,KCAL,208\n1003,n,G,203\n1004,n,G,204\n1005,n,G,205\n"
    )
    (folder / "food_nutrient_derivation.csv").write_text("id,code,description\n70,LCCS,x\n")
    return written


def _seconds_a_line(matcher: Matcher | BulkMatcher, lines: list[str]) -> float:
    matcher.match(lines[0])
    started = time.process_time()
    for line in lines:
        matcher.match(line)
    return (time.process_time() - started) / len(lines)


def run() -> list[tuple[str, float, float]]:
    """(name, CPU seconds a line over the branded names, the same over the embedded table)."""
    named = os.environ.get("NUTRICOST_BRANDED_CSV")
    if not named:
        sys.stderr.write("branded: NUTRICOST_BRANDED_CSV names no file, nothing measured\n")
        return []
    lines = judged(COUNT)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        download = folder / "download"
        download.mkdir()
        count = write_download(Path(named), download)
        import_table(download, folder / "tables", "branded")
        table = next((folder / "tables").rglob("meta.json")).parent
        matcher = BulkMatcher(BulkTable(table))
        return [
            (
                f"a line over {count:,} branded names : over the embedded table",
                _seconds_a_line(matcher, lines),
                _seconds_a_line(Matcher.open(), lines),
            )
        ]


if __name__ == "__main__":
    print(run())
