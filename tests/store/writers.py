"""Programs that tests start beside themselves: writers on one book, and a killer of writers."""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from datetime import date
from decimal import Decimal
from pathlib import Path

from nutricost.store.care import check_book
from nutricost.store.connection import open_book
from nutricost.store.maintenance import MaintenanceEntry, add_entry, list_entries
from nutricost.store.purchases import Purchase, add_purchase, list_purchases

DAY = date(2026, 1, 1)


def write_pairs(path: Path, writer: str, count: int, acknowledge: int | None = None) -> None:
    """Write `count` pairs of rows, each pair one transaction; its number goes to `acknowledge` after it."""
    with open_book(path) as book:
        for _ in range(count):
            with book.transaction():
                number = len(list_purchases(book))
                note = f"{writer} {number}"
                add_purchase(book, Purchase("corn", DAY, Decimal(number), note=note))
                add_entry(book, MaintenanceEntry(DAY, "other", note=note))
            if acknowledge is not None:
                os.write(acknowledge, f"{number}\n".encode())


def kill_writers(path: Path, kills: int, seed: int) -> list[str]:
    """What was wrong after killing `kills` writers at random points: nothing, if the book is sound."""
    random.seed(seed)
    faults: list[str] = []
    for round_number in range(kills):
        read_end, write_end = os.pipe()
        child = os.fork()
        if child == 0:
            write_pairs(path, str(round_number), 10_000, write_end)
            os._exit(0)
        os.close(write_end)
        if round_number % 4:  # mostly in the middle of writes, sometimes while it opens the book
            os.read(read_end, 1)
        time.sleep(random.uniform(0, 0.012))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        acknowledged = _drained(read_end).split()
        with open_book(path) as book:
            bought = [one.note for one in list_purchases(book)]
            done = [one.note for one in list_entries(book)]
            faults += [f"{round_number}: {problem}" for problem in check_book(book)]
        if sorted(bought) != sorted(done):
            faults.append(f"{round_number}: half of a pair is there")
        # The first digit was read above, so the last number counts only where there are two of them.
        if len(acknowledged) > 1 and int(acknowledged[-1]) >= len(bought):
            faults.append(f"{round_number}: acknowledged {acknowledged[-1]}, {len(bought)} are there")
    return [*faults, *([] if bought else ["nothing was ever written"])]


def kill_creators(folder: Path, kills: int, seed: int) -> list[str]:
    """What was wrong with books whose maker was killed: nothing, if each can be opened and used."""
    random.seed(seed)
    faults: list[str] = []
    for number in range(kills):
        path = folder / f"new-{number}.sqlite"
        child = os.fork()
        if child == 0:
            write_pairs(path, "first", 1)
            os._exit(0)
        time.sleep(random.uniform(0, 0.02))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        write_pairs(path, "second", 1)
        with open_book(path) as book:
            faults += [f"{path.name}: {problem}" for problem in check_book(book)]
            if len(list_purchases(book)) != len(list_entries(book)):
                faults.append(f"{path.name}: half of a pair is there")
    return faults


def _drained(descriptor: int) -> str:
    parts = []
    while part := os.read(descriptor, 65536):
        parts.append(part)
    os.close(descriptor)
    return b"".join(parts).decode()


if __name__ == "__main__":
    command, book_path, *rest = sys.argv[1:]
    if command == "write":
        write_pairs(Path(book_path), rest[0], int(rest[1]))
    else:
        kill = {"kill": kill_writers, "kill-makers": kill_creators}[command]
        sys.stdout.write(json.dumps(kill(Path(book_path), int(rest[0]), int(rest[1]))))
