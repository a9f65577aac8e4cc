"""Labels that the book keeps: each a TOML fragment to paste into a batch."""

from __future__ import annotations

from pathlib import Path

from nutricost.api.book import changing, reading
from nutricost.domain.labels import read_label
from nutricost.domain.labels.checks import label_problems
from nutricost.errors import DocumentError, Problem
from nutricost.sources.documents import batch_from_table
from nutricost.sources.documents.loading import load_bytes, parse_toml
from nutricost.store import labels


def save_label_file(path: Path | None, document: Path) -> tuple[labels.StoredLabel, list[str]]:
    """(the label as stored, word for word; what its figures say against each other).

    Raises InputError where the file holds not exactly one label, DocumentError where a batch could not
    use it.
    """
    text = _text(document)
    name = labels.label_name(text)
    batch = batch_from_table(
        {
            "title": name,
            "servings": 1,
            "ingredients": [{"line": "1 serving", "label": name}],
            **parse_toml(text, str(document)),
        },
        str(document),
    )
    said = [str(problem) for problem in label_problems(read_label(batch.labels[name]))]
    with changing(path) as book:
        return labels.save_label(book, text), said


def _text(document: Path) -> str:
    try:
        return load_bytes(document, "a TOML file").decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DocumentError(
            [Problem(str(document), "is not UTF-8 text", "a TOML file saved as UTF-8")]
        ) from None


def list_labels(path: Path | None, search: str = "") -> list[labels.StoredLabel]:
    """The labels of the book that hold every word of `search`."""
    with reading(path) as book:
        return labels.list_labels(book, search)


def label_text(path: Path | None, name: str) -> str:
    """The fragment of a label, as saved. Raises InputError."""
    with reading(path) as book:
        return labels.load_label(book, name).text
