"""The tables of the book, as numbered steps. A step that was released is never edited, only followed.

Weights, energies, servings and money are TEXT holding a decimal number, so that what was typed comes
back exactly; SQLite has no decimal type and would make REAL of them. Dates are ISO 8601 text.
"""

from __future__ import annotations

import sqlite3

MIGRATIONS: list[tuple[str, ...]] = [
    (
        """CREATE TABLE label (
            name TEXT PRIMARY KEY,
            text TEXT NOT NULL,
            revision INTEGER NOT NULL CHECK (revision > 0)
        ) STRICT""",
        """CREATE TABLE batch (
            name TEXT PRIMARY KEY,
            title TEXT NOT NULL,
            servings TEXT NOT NULL,
            currency TEXT NOT NULL,
            text TEXT NOT NULL,
            revision INTEGER NOT NULL CHECK (revision > 0)
        ) STRICT""",
        """CREATE TABLE weighing (
            id INTEGER PRIMARY KEY,
            batch TEXT NOT NULL REFERENCES batch (name) ON UPDATE CASCADE ON DELETE CASCADE,
            hours TEXT NOT NULL,
            weight_g TEXT NOT NULL,
            note TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX weighing_batch ON weighing (batch)",
        """CREATE TABLE machine (
            name TEXT PRIMARY KEY CHECK (name = 'machine'),
            text TEXT NOT NULL,
            revision INTEGER NOT NULL CHECK (revision > 0)
        ) STRICT""",
        """CREATE TABLE pouch (
            name TEXT PRIMARY KEY,
            price TEXT NOT NULL,
            currency TEXT NOT NULL,
            servings TEXT NOT NULL,
            net_weight TEXT NOT NULL,
            calories TEXT NOT NULL,
            fat_g TEXT NOT NULL,
            saturated_fat_g TEXT NOT NULL,
            carbohydrate_g TEXT NOT NULL,
            fiber_g TEXT NOT NULL,
            sugar_g TEXT NOT NULL,
            protein_g TEXT NOT NULL,
            sodium_mg TEXT NOT NULL,
            calories_per_container TEXT NOT NULL,
            water_to_add TEXT NOT NULL,
            note TEXT NOT NULL
        ) STRICT""",
        """CREATE TABLE pouch_price (
            id INTEGER PRIMARY KEY,
            pouch TEXT NOT NULL REFERENCES pouch (name) ON UPDATE CASCADE ON DELETE CASCADE,
            seen_on TEXT NOT NULL,
            price TEXT NOT NULL,
            currency TEXT NOT NULL,
            place TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX pouch_price_pouch ON pouch_price (pouch)",
        """CREATE TABLE purchase (
            id INTEGER PRIMARY KEY,
            what TEXT NOT NULL,
            bought_on TEXT NOT NULL,
            quantity TEXT NOT NULL,
            package TEXT NOT NULL,
            price TEXT NOT NULL,
            usual_price TEXT,
            currency TEXT NOT NULL,
            date_on_package TEXT,
            place TEXT NOT NULL,
            label TEXT REFERENCES label (name) ON UPDATE CASCADE ON DELETE SET NULL,
            note TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX purchase_label ON purchase (label)",
        """CREATE TABLE food_match (
            phrase TEXT PRIMARY KEY,
            food TEXT NOT NULL,
            confirmed_on TEXT NOT NULL
        ) STRICT""",
        """CREATE TABLE maintenance (
            id INTEGER PRIMARY KEY,
            done_on TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('run', 'oil', 'repair', 'part', 'cleaning', 'other')),
            hours TEXT,
            cost TEXT,
            currency TEXT NOT NULL,
            note TEXT NOT NULL
        ) STRICT""",
        """CREATE TABLE tariff_band (
            start_hour TEXT PRIMARY KEY,
            end_hour TEXT NOT NULL,
            price_per_kwh TEXT NOT NULL,
            currency TEXT NOT NULL
        ) STRICT""",
        "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT",
        """CREATE TABLE shelf_lot (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL,
            batch TEXT REFERENCES batch (name) ON UPDATE CASCADE ON DELETE SET NULL,
            packed_on TEXT NOT NULL,
            best_by TEXT,
            bags INTEGER NOT NULL CHECK (bags > 0),
            servings TEXT NOT NULL,
            kcal_per_serving TEXT,
            note TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX shelf_lot_batch ON shelf_lot (batch)",
        """CREATE TABLE eaten (
            id INTEGER PRIMARY KEY,
            lot INTEGER NOT NULL REFERENCES shelf_lot (id) ON DELETE CASCADE,
            eaten_on TEXT NOT NULL,
            servings TEXT NOT NULL,
            replaced TEXT NOT NULL CHECK (replaced IN ('pouch', 'meal', 'nothing', 'lost')),
            replaced_name TEXT NOT NULL,
            replaced_cost TEXT,
            currency TEXT NOT NULL,
            note TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX eaten_lot ON eaten (lot)",
        """CREATE TABLE cycle (
            id INTEGER PRIMARY KEY,
            started_on TEXT NOT NULL,
            finished_on TEXT,
            share_by TEXT NOT NULL CHECK (share_by IN ('trays', 'water')),
            hours TEXT,
            energy_kwh TEXT,
            cost TEXT,
            currency TEXT NOT NULL
        ) STRICT""",
        """CREATE TABLE tray (
            id INTEGER PRIMARY KEY,
            filled_on TEXT NOT NULL,
            what TEXT NOT NULL,
            trays INTEGER NOT NULL CHECK (trays > 0),
            weight_g TEXT,
            cost TEXT,
            currency TEXT NOT NULL,
            servings TEXT,
            batch TEXT REFERENCES batch (name) ON UPDATE CASCADE ON DELETE SET NULL,
            cycle INTEGER REFERENCES cycle (id) ON DELETE CASCADE
        ) STRICT""",
        "CREATE INDEX tray_batch ON tray (batch)",
        "CREATE INDEX tray_cycle ON tray (cycle)",
    ),
]


def latest() -> int:
    """The version of the tables this program works with."""
    return len(MIGRATIONS)


def migrate(connection: sqlite3.Connection, version: int) -> None:
    """Run every step after `version`, inside the caller's transaction."""
    for number, step in enumerate(MIGRATIONS[version:], start=version + 1):
        for statement in step:
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {number}")
