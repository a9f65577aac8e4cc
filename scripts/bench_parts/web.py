"""The local page: a comparison of 200 offers at 20 requests a second, and its cold start."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from nutricost.api.kitchen import Kitchen, pouch_of
from nutricost.store.batches import save_batch
from nutricost.store.pouches import save_pouch

OFFERS = 200
HOMES = 20
PER_SECOND = 20
SECONDS = 10
BUDGET_S = 0.1
REFERENCE = "import starlette.applications, uvicorn, jinja2"


def fill_book(path: Path) -> None:
    """A book of 20 batches and 180 pouches, all invented."""
    kitchen = Kitchen(path)
    kitchen.load_demo(date(2026, 1, 1))
    text = kitchen.stored_batch("lentil-kits").text
    held = kitchen.overview()
    with kitchen.changing() as book:
        for i in range(HOMES - held.batches):
            other = text.replace("Lentil curry with peas", f"Lentil curry {i}").replace(
                "11.94", f"{10 + i}.94"
            )
            save_batch(book, other, name=f"lentil-{i}")
        for i in range(OFFERS - HOMES - held.pouches):
            values = dict.fromkeys(("fat_g", "saturated_fat_g", "fiber_g", "sugar_g"), "6")
            values |= {"name": f"Invented pouch {i}", "price": f"{8 + i % 7}.95", "currency": "USD"}
            values |= {"servings": "2", "net_weight": "4.9 oz", "calories": str(250 + i), "protein_g": "13"}
            values |= {"sodium_mg": "640", "carbohydrate_g": "45", "calories_per_container": ""}
            save_pouch(book, pouch_of(values), seen_on=date(2026, 1, 1))


@contextmanager
def served(book: Path) -> Iterator[tuple[str, float]]:
    """The address of a running server over a book, and the time until it answered [s]."""
    command = [sys.executable, "-m", "nutricost", "serve", "--no-open", "--port", "0", "--book", str(book)]
    start = time.perf_counter()
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as running:
        try:
            assert running.stderr is not None
            address = next(line for line in running.stderr if "http://" in line).rpartition(" at ")[2].strip()
            urllib.request.urlopen(address, timeout=30).read()
            yield address, time.perf_counter() - start
        finally:
            running.terminate()


def latencies(address: str) -> list[float]:
    """Times of requests sent at an even pace whether or not the ones before were answered [s], sorted."""
    taken: list[float] = []

    def ask(due: float) -> None:
        urllib.request.urlopen(address, timeout=30).read()
        taken.append(time.perf_counter() - due)

    start = time.perf_counter() + 0.1
    threads = []
    for i in range(PER_SECOND * SECONDS):
        due = start + i / PER_SECOND
        time.sleep(max(0.0, due - time.perf_counter()))
        thread = threading.Thread(target=ask, args=(due,))
        thread.start()
        threads.append(thread)
    for thread in threads:
        thread.join()
    return sorted(taken)


def run() -> list[tuple[str, float, float]]:
    """Rows of (measure, ours [s], reference [s])."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "book.sqlite"
        fill_book(book)
        with served(book) as (address, cold_s):
            page = f"{address}compare?basis=1000kcal"
            start = time.perf_counter()
            weight = len(urllib.request.urlopen(page, timeout=60).read())
            first_s = time.perf_counter() - start
            for asset in ("static/page.css", "static/page.js", "static/icon.svg"):
                weight += len(urllib.request.urlopen(address + asset, timeout=30).read())
            taken = latencies(page)
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", REFERENCE], check=True)
    reference_s = time.perf_counter() - start
    what = f"comparison page of {OFFERS} offers, {weight // 1024} KiB, {PER_SECOND} a second"
    return [
        (f"{what}, p95 : {BUDGET_S} s", taken[int(len(taken) * 0.95)], BUDGET_S),
        (f"{what}, median : {BUDGET_S} s", taken[len(taken) // 2], BUDGET_S),
        ("the same page when first worked out : 1 s", first_s, 1.0),
        (f"cold start of serve to its first answer : {REFERENCE.replace(' ', ' ', 1)}", cold_s, reference_s),
    ]
