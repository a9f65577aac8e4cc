"""Ingredient lines read into amount, unit, package size, food words, state and preparation.

The grammar, in the order it is read:

    line     := ["-"] quantity food {"," part}   |   food ("," | "-") quantity {"," part}   |   food
    quantity := amount ["x" amount] [size] [measure] ["-"] [unit] [container] ["plus" amount unit]
    food     := words ["or" words]
    part     := preparation | state | removed part | more about the food | remark
    brackets   may stand anywhere: a package size, a second measure, a state or a remark.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from nutricost.domain.foods.amounts import Amount, read_amount
from nutricost.domain.foods.line_quantity import (
    Measure,
    Quantity,
    measure_at,
    quantity_at,
    text_at,
    unnumbered_at,
)
from nutricost.domain.foods.measures import Unit
from nutricost.domain.foods.tokens import Token, merge, scan, stem
from nutricost.domain.foods.words import (
    CUT_BEFORE,
    FILLERS,
    NOTE_STARTS,
    PARTS,
    PREPARATION,
    SHARED_HEADS,
    STATES,
    TAKEN_AWAY,
)

__all__ = ["IngredientLine", "Measure", "read_line"]


@dataclass(frozen=True, slots=True)
class IngredientLine:
    """What one ingredient line says. Words are stems, in the order of the line.

    `words` is the first part with its preparation words; `more` are later parts that say more about the
    food; `part_states` are states told outside the first part; `package` is what one package or piece
    holds; `total` is a second measure of the whole amount; `negative` marks food poured off.
    """

    text: str
    amount: Amount | None = None
    unit: Unit | None = None
    size: str | None = None
    package: Measure | None = None
    total: Measure | None = None
    negative: bool = False
    words: tuple[str, ...] = ()
    more: tuple[tuple[str, ...], ...] = ()
    part_states: frozenset[str] = frozenset()
    preparation: tuple[str, ...] = ()
    alternatives: tuple[tuple[str, ...], ...] = ()
    removed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    imperial: bool = False

    @property
    def states(self) -> frozenset[str]:
        """All states the line tells ('chuck roast' is a cut, 'roast beef' is cooked)."""
        told = {STATES[w] for at, w in enumerate(self.words) if w in STATES and not (w == "roast" and at)}
        return self.part_states | told


@dataclass(slots=True)
class _Draft:
    quantity: Quantity
    more: list[tuple[str, ...]] = field(default_factory=list)
    states: set[str] = field(default_factory=set)
    preparation: list[str] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    total: Measure | None = None
    has_food: bool = False


_PART_ENDS = (PREPARATION | TAKEN_AWAY) - STATES.keys()
"""Last words of a part that tells what was done ('casings removed', 'woody ends snapped off')."""


def _parts(tokens: Sequence[Token]) -> tuple[list[list[Token]], list[tuple[int, list[Token]]]]:
    """Parts between commas, and bracket groups with the number of words of the first part before them."""
    parts: list[list[Token]] = [[]]
    groups: list[tuple[int, list[Token]]] = []
    group: list[Token] | None = None
    depth = 0
    for at, token in enumerate(tokens):
        if token.text in ("(", "[", "{"):
            depth += 1
            if depth == 1:
                group = []
                groups.append((len(parts[0]) if len(parts) == 1 else 10**6, group))
            continue
        if token.text in (")", "]", "}"):
            depth = max(depth - 1, 0)
            if depth == 0:
                group = None
            continue
        if group is not None:
            group.append(token)
            continue
        spaced_dash = token.text == "-" and token.space and at + 1 < len(tokens) and tokens[at + 1].space
        numbers = at > 0 and tokens[at - 1].kind == "number" and at + 1 < len(tokens)
        if token.text in (",", ";", ":", "|") or (
            spaced_dash and at > 0 and not (numbers and tokens[at + 1].kind == "number")
        ):
            parts.append([])
            continue
        parts[-1].append(token)
    return [part for part in parts if part], groups


def _word_stems(tokens: Sequence[Token]) -> list[str]:
    return merge([stem(t.text) for t in tokens if t.kind == "word" or (t.kind == "number" and t.value)])


def _taken(draft: _Draft, words: list[str]) -> list[str]:
    """The words with what was taken away or left on told in one word ('skin removed' -> 'skinless')."""
    kept: list[str] = []
    at = 0
    while at < len(words):
        word = words[at]
        after = words[at + 1] if at + 1 < len(words) else ""
        if word in PARTS and after in TAKEN_AWAY:
            kept.append(PARTS[word])
            draft.removed.append(word)
            at += 2
        elif word in ("without", "no") and after in PARTS:
            kept.append(PARTS[after])
            draft.removed.append(after)
            at += 2
        elif word in ("with", "on") and after in ("skin", "bone"):
            kept.append("skinon" if after == "skin" else "bonein")
            at += 2
        elif word in PARTS and word in ("skin", "bone") and after == "and" and words[at + 2 : at + 4] == [
            "bone", "removed",
        ]:  # fmt: skip
            kept += ["skinless", "boneless"]
            draft.removed += ["skin", "bone"]
            at += 4
        else:
            if word in ("skinless", "boneless", "seedless"):
                draft.removed.append(word.removesuffix("less"))
            kept.append(word)
            at += 1
    return kept


def _weighs_volume(quantity: Quantity, found: Measure) -> bool:
    """Whether a bracket gives the weight of a volume: '1 cup (120 g) flour'."""
    return quantity.unit is not None and quantity.unit.kind == "volume" and found.unit.kind == "mass"


def _read_group(draft: _Draft, before: int, group: list[Token]) -> None:
    """A bracket: a package size, a second measure, a state or a remark."""
    quantity = draft.quantity
    measure = measure_at(group, 0)
    rest = group
    if measure is not None:
        found, end = measure
        rest = group[end:]
        texts = {t.text for t in rest}
        each = "each" in texts or "apiece" in texts
        contained = quantity.unit is not None and quantity.unit.kind == "container"
        right_after_number = before <= quantity.end and quantity.unit is None
        counted = quantity.unit is None or quantity.unit.kind in ("count", "container")
        if quantity.package is None and counted and (each or contained or right_after_number):
            quantity.package = found
        elif (quantity.package is None and draft.total is None and counted) or (
            draft.total is None and _weighs_volume(quantity, found)
        ):
            draft.total = found
        rest = [t for t in rest if t.text not in ("each", "apiece", "total", "/")]
    elif (counted_group := read_amount(group, 0)) is not None and text_at(group, counted_group[1]) in (
        "inch",
        "in",
        '"',
    ):
        draft.notes.append(" ".join(t.text for t in group))
        return
    words = _taken(draft, _word_stems(rest))
    _read_part(draft, words)


def _read_part(draft: _Draft, words: list[str]) -> None:
    """A part after the food: preparation, state, more about the food, or a remark."""
    if not words:
        return
    if words[:2] == ["made", "up"]:
        draft.states.add("prepared")
        return
    dabbed = words[0] in ("pat", "patted")
    for word in words:
        if word in STATES and not (dabbed and word == "dry"):
            draft.states.add(STATES[word])
    if words[0] in NOTE_STARTS or (words[0][0].isdigit() and words[1:2] in (["inch"], ["cm"], ["minute"])):
        draft.notes.append(" ".join(words))
        return
    if words[0] in PREPARATION:
        draft.preparation.append(" ".join(words))
        return
    if draft.has_food and len(words) <= 5 and words[-1] in _PART_ENDS:
        draft.preparation.append(" ".join(words))
        return
    content = [w for w in words if w not in STATES and w not in PREPARATION and w not in FILLERS]
    if content or words == ["ground"]:
        draft.more.append(tuple(words))
    else:
        draft.preparation.append(" ".join(words))


def _find_quantity(parts: list[list[Token]]) -> Quantity | None:
    """Takes the quantity out of the parts, wherever it stands; None where there is none."""
    first = parts[0]
    quantity = quantity_at(first, 0)
    if quantity is not None:
        parts[0] = first[quantity.end :]
        if quantity.package is None and (quantity.unit is None or quantity.unit.kind == "container"):
            _weight_after(parts, quantity)
        return quantity
    for number, part in enumerate(parts[1:], start=1):
        found = quantity_at(part, 0)
        if found is not None and (found.end >= len(part) or found.unit is not None) and not _is_length(found):
            parts[number] = part[found.end :]
            return found
    for at in range(1, min(len(first), 40)):
        if first[at].kind != "number":
            continue
        found = quantity_at(first, at)
        if (
            found is not None
            and not _is_length(found)
            and (found.unit is not None or found.end >= len(first))
        ):
            parts[0] = first[:at] + first[found.end :]
            found.end = 0
            return found
    bare = unnumbered_at(first, 0)
    if bare is not None:
        parts[0] = first[bare.end :]
    return bare


def _weight_after(parts: list[list[Token]], quantity: Quantity) -> None:
    """Takes a weight from a later part: of the whole ('1 chicken, about 4 lb'), of a package ('1 can beans,
    15 oz') or of each ('4 duck breasts, 8 oz each')."""
    for number, part in enumerate(parts[1:], start=1):
        found = measure_at(part, 0)
        if found is None:
            continue
        measure, each = found[0], [token.text for token in part[found[1] :]]
        if each in (["each"], ["apiece"]) or (not each and measure.unit.kind == "mass"):
            if each or quantity.unit is not None:
                quantity.package = measure
            else:
                quantity.total = measure
            parts[number] = []
            return


def _is_length(quantity: Quantity) -> bool:
    return quantity.unit is not None and quantity.unit.kind == "length"


_PARTS_OF = frozenset(
    "juice zest rind peel white yolk meat seed skin breast thigh leg wing liver heart".split()
)
"""Parts that are foods of their own: 'juice of 2 limes', 'whites of 4 eggs'."""
_WHOLE_OF = frozenset("flesh pulp kernel leaf clove segment floret".split())
"""Parts that are the food itself: 'flesh of 2 avocados', 'leaves of 1 bunch parsley'."""


def _part_of(parts: list[list[Token]]) -> None:
    """Turns 'juice of 2 lemons' into '2 lemons juice', and 'flesh of 2 avocados' into '2 avocados'.

    Of two parts the juice counts, which weighs most ('zest and juice of 1 lime').
    """
    first = parts[0]
    link = next((at for at in range(1, min(len(first), 7)) if first[at].text in ("of", "from")), 0)
    before = first[:link]
    stems = [stem(token.text) for token in before]
    named = [token for token, word in zip(before, stems, strict=True) if word in _PARTS_OF]
    other = set(stems) - _PARTS_OF - _WHOLE_OF - PREPARATION - FILLERS
    counted = read_amount(first, link + 1) is not None
    if not link or other or not (named or (counted and set(stems) & _WHOLE_OF)):
        return
    if not counted and stems[-1] not in ("juice", "zest", "rind", "peel"):
        return
    part = next((token for token in named if stem(token.text) == "juice"), named[-1] if named else None)
    parts[0] = [*first[link + 1 :], *([] if part is None else [part])]


def _alternatives(words: list[str]) -> tuple[list[str], list[tuple[str, ...]]]:
    """The first of the alternatives with a shared head completed, and the others."""
    if "or" not in words:
        return words, []
    at = words.index("or")
    left, right = words[:at], words[at + 1 :]
    if not left or not right:
        return left or right, []
    if right[0] in ("more", "so", "to", "other"):
        return left, []
    content_left = [w for w in left if w not in PREPARATION]
    if len(right) >= 2 and right[-1] in SHARED_HEADS and right[-1] not in left and len(content_left) <= 2:
        return [*left, right[-1]], [tuple(right)]
    if len(right) >= 2 and (left[-1] in STATES or left[-1] in PREPARATION) and len(content_left) <= 1:
        return [*left, *[w for w in right if w not in STATES]], []
    return left, [tuple(right)]


def _cut(words: list[str], notes: list[str]) -> list[str]:
    """The words up to a remark ('flour plus extra for dusting')."""
    for at, word in enumerate(words):
        ends = word in CUT_BEFORE or (word == "to" and words[at + 1 : at + 2] in (["taste"], ["serve"]))
        ends = ends and not (word == "for" and words[at + 1 : at + 2] in (["stew"], ["stewing"]))
        ends = ends or (word == "as" and words[at + 1 : at + 2] in (["needed"], ["required"]))
        if ends and at > 0:
            notes.append(" ".join(words[at:]))
            return words[:at]
    return words


def read_line(text: str) -> IngredientLine:
    """What an ingredient line says; never raises: what can't be read is left among the words."""
    tokens = scan(text)
    while tokens and tokens[0].text in ("•", "·", "-", "+") and not (
        tokens[0].text == "-" and len(tokens) > 1 and tokens[1].kind == "number" and not tokens[1].space
    ):  # fmt: skip
        tokens = tokens[1:]
    negative = bool(tokens) and tokens[0].text == "-"
    if negative:
        tokens = tokens[1:]
    parts, groups = _parts(tokens)
    if not parts:
        inner = [group for _, group in groups if group]
        if not inner:
            return IngredientLine(text)
        parts, groups = [inner[0]], []
    _part_of(parts)
    quantity = _find_quantity(parts) or Quantity()
    draft = _Draft(quantity, total=quantity.total)
    for before, group in groups:
        _read_group(draft, before, group)
    parts = [part for part in parts if part]
    words = _word_stems(parts[0]) if parts else []
    while words and words[0] in ("of", "the", "and"):
        words = words[1:]
    words = _cut(_taken(draft, words), draft.notes)
    words, alternatives = _alternatives(words)
    draft.has_food = bool(words)
    for part in parts[1:]:
        _read_part(draft, _taken(draft, _cut(_word_stems(part), draft.notes)))
    if not words and draft.more:
        words = list(draft.more.pop(0))
    for part_words in [*draft.more]:
        if len(part_words) == 2 and part_words[0] in _PARTS_OF and part_words[1] == "only" and words:
            draft.more.remove(part_words)  # '3 eggs, yolks only'
            words.append(part_words[0])
    for preparation in draft.preparation:
        done = set(preparation.split()) - FILLERS
        if words and done and done <= {"juiced", "zested"}:
            words.append("juice" if "juiced" in done else "zest")
    return IngredientLine(
        text=text,
        amount=quantity.amount,
        unit=quantity.unit,
        size=quantity.size,
        package=quantity.package,
        total=draft.total,
        negative=negative,
        words=tuple(words),
        more=tuple(draft.more),
        part_states=frozenset(draft.states),
        preparation=tuple(draft.preparation),
        alternatives=tuple(alternatives),
        removed=tuple(dict.fromkeys(draft.removed)),
        notes=tuple(draft.notes),
        imperial=any(t.text in ("uk", "imperial") for t in tokens),
    )
