"""Reading and writing the documents a person keeps: batches, pouches, machines, plans."""

from nutricost.sources.documents.batch import batch_from_table, read_batch
from nutricost.sources.documents.loading import Source
from nutricost.sources.documents.machine import read_machine
from nutricost.sources.documents.plan import read_plan
from nutricost.sources.documents.pouches import PouchFile, read_pouches

__all__ = [
    "PouchFile",
    "Source",
    "batch_from_table",
    "read_batch",
    "read_machine",
    "read_plan",
    "read_pouches",
]
