"""The synonym file that ships with the package, as people edit it; the index carries it packed."""

from __future__ import annotations

import os
import tomllib

import nutricost.data
from nutricost.domain.foods.vocabulary import Vocabulary, read_vocabulary
from nutricost.errors import SourceError


def shipped_vocabulary() -> Vocabulary:
    """The vocabulary of synonyms.toml; raises SourceError where the file is missing or damaged."""
    path = os.path.join(nutricost.data.__path__[0], "synonyms.toml")
    try:
        with open(path, "rb") as file:
            data = tomllib.load(file)
        return read_vocabulary(data["foods"], data["words"], data["alone"], data["not_food"])
    except (OSError, KeyError, tomllib.TOMLDecodeError) as error:
        raise SourceError(f"the synonym file can't be read ({error}): reinstall nutricost") from error
