"""Getting at the bytes of a document: a path, or the content with a name for messages."""

from __future__ import annotations

import os
import re
import tomllib
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from nutricost.errors import DocumentError, Problem

SIZE_LIMIT_BYTES = 20_000_000
"""Far above any document of this kind; what is larger is some other file."""

IN_BOOK = "book:"
"""How the name of a document that is kept in the book begins; whoever asks for it looks it up there."""

Source = str | os.PathLike[str] | tuple[str | bytes, str]
"""A path, or (content, name): what a caller read from stdin or a form, and what to call it."""


def source_name(source: Source) -> str:
    """What messages call the document: the path as given, or the name that came with the content."""
    return source[1] if isinstance(source, tuple) else os.fspath(source)


def load_bytes(source: Source, wanted: str) -> bytes:
    """The content of a document. `wanted` says what is accepted, for the messages.

    Raises DocumentError for a file that is missing, unreadable, a folder, or above 20 MB.
    """
    name = source_name(source)
    if isinstance(source, tuple):
        content = source[0].encode("utf-8", "surrogatepass") if isinstance(source[0], str) else source[0]
    else:
        try:
            with Path(source).open("rb") as file:
                content = file.read(SIZE_LIMIT_BYTES + 1)
        except FileNotFoundError:
            raise _refused(name, "no such file", wanted) from None
        except IsADirectoryError:
            raise _refused(name, "is a folder", wanted) from None
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise _refused(name, f"cannot be read: {reason}", wanted) from None
    if len(content) > SIZE_LIMIT_BYTES:
        raise _refused(name, "is larger than 20 MB", wanted)
    return content


def load_toml(source: Source) -> dict[str, Any]:
    """The parsed TOML document, its fractional numbers as Decimal; a BOM and CRLF are accepted.

    Raises DocumentError with the file, and the line where the syntax is broken.
    """
    name = source_name(source)
    content = load_bytes(source, "a TOML file")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refused(f"{name}: line {line}", "is not UTF-8 text", "a TOML file saved as UTF-8") from None
    return parse_toml(text, name)


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """The parsed TOML text, its fractional numbers as Decimal. Raises DocumentError."""
    try:
        return tomllib.loads(text, parse_float=_decimal)
    except tomllib.TOMLDecodeError as error:
        raise _broken(text, name, str(error)) from None
    except RecursionError:
        raise _refused(name, "is nested too deeply", "a batch, machine or plan in TOML") from None
    except ValueError as error:  # Python refuses whole numbers of thousands of digits
        raise _refused(name, f"holds an unusable number: {error}", "ordinary numbers") from None


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text.replace("_", ""))
    except InvalidOperation:  # an exponent that no Decimal can hold: refused later as not finite
        return Decimal("NaN")


def _broken(text: str, name: str, message: str) -> DocumentError:
    """The syntax error with its line in front."""
    at = re.search(r"\(at (?:line (\d+), column (\d+)|end of document)\)", message)
    what = message[: at.start()].strip() if at else message
    if at and at[1]:
        line, column = int(at[1]), f", column {at[2]}"
    else:
        line, column = text.rstrip("\n").count("\n") + 1, ""
    return _refused(f"{name}: line {line}{column}", f"broken TOML: {what}", "TOML 1.0")


def _refused(where: str, what: str, accepted: str) -> DocumentError:
    return DocumentError([Problem(where, what, accepted)])
