"""What one key of a plan file is: how it is read, how it is written, and what it is for.

A key is declared with the field of the plan that it fills (`plan`), and nowhere else: the reader, the writer, the keys
that a table may have, and README's list follow from that. A key that is read together with others (a picture with its
cells) has no `read` and `write` of its own; its table's code does it.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any, TypeVar

from tracker.exact.measure import Measure, write_length
from tracker.plan.defaults import DEFAULTS, Defaults
from tracker.plan.fields import Fields

Table = TypeVar("Table")

_KEY = "key"
_TONES = "from 1 (lightest) to 9 (darkest)"
COLOUR = ("colour", "color")
"""How the word is spelt."""


@dataclasses.dataclass(frozen=True)
class Key:
    """One field of a plan as it stands in a file.

    `says` is its line in README. `read(fields, name)` gives its value from its table, every fault noted. `write(name,
    value, unit)` gives its line; None where the value goes without saying. `names` are its keys, where they are not
    called as the field.
    """

    says: str
    read: Callable[[Fields, str], Any] | None = None
    write: Callable[[str, Any, str], str | None] | None = None
    names: tuple[str, ...] = ()


def from_file(kind: Key, **given: Any) -> Any:
    """A dataclass field that is filled from a plan file; `given` as for `dataclasses.field`."""
    return dataclasses.field(metadata={_KEY: kind}, **given)


def declared(table: type) -> Iterator[tuple[str, Key]]:
    """The fields of a table that stand in files, in order, with their keys."""
    for each in dataclasses.fields(table):
        if _KEY in each.metadata:
            yield each.name, each.metadata[_KEY]


def known_keys(table: type) -> tuple[str, ...]:
    """Every key that a table may have."""
    return tuple(dict.fromkeys(name for field, kind in declared(table) for name in kind.names or (field,)))


def read_keys(table: type, fields: Fields) -> dict[str, Any]:
    """The values of all fields that can be read one by one, by field."""
    return {field: kind.read(fields, field) for field, kind in declared(table) if kind.read is not None}


def filled(fields: Fields, name: str, table: type[Table]) -> Table | None:
    """The table at a key as what it stands for, all of whose keys are read one by one; None where there is none."""
    inner = fields.table_of(name, known_keys(table))
    return None if inner is None else table(**read_keys(table, inner))


def all_filled(fields: Fields, name: str, table: type[Table]) -> tuple[Table, ...]:
    """The same for each of an array of tables."""
    return tuple(table(**read_keys(table, inner)) for inner in fields.tables_of(name, known_keys(table)))


def write_keys(value: Any, unit: str) -> list[str]:
    """The lines of all fields of a table that can be written one by one and are not as they are anyway."""
    lines = (
        kind.write(field, getattr(value, field), unit)
        for field, kind in declared(type(value))
        if kind.write is not None
    )
    return [line for line in lines if line is not None]


# Kinds of keys


def together(says: str, *names: str) -> Key:
    """Keys that are read and written with others."""
    return Key(says, names=names)


def text(says: str, example: str) -> Key:
    """A text that must be there."""
    return Key(
        says,
        lambda fields, name: fields.text(name, quoted(example)),
        lambda name, value, _: f"{name} = {quoted(value)}",
    )


def choice(says: str, usual: str, *others: str) -> Key:
    """One of some words."""
    words = (usual, *others)
    return Key(
        says,
        lambda fields, name: fields.choice(name, words, usual),
        lambda name, value, _: None if value == usual else f'{name} = "{value}"',
    )


def flag(says: str, usual: bool = False) -> Key:
    """true or false."""
    return Key(
        says,
        lambda fields, name: fields.flag(name, usual),
        lambda name, value, _: None if value == usual else f"{name} = {'true' if value else 'false'}",
    )


def whole(says: str, least: int, most: int, words: str, usual: int | None = None) -> Key:
    """A whole number, the usual one or else `least` where nothing is said; `words` are its limits."""
    unsaid = least if usual is None else usual
    return Key(
        says,
        lambda fields, name: fields.whole(name, least, most, words, unsaid),
        lambda name, value, _: None if value == unsaid else f"{name} = {value}",
    )


def length(says: str, usual: Callable[[Defaults], Measure] | None = None) -> Key:
    """A length: what is usual in the plan's unit where nothing is said, or, where nothing is usual, None."""

    def read(fields: Fields, name: str) -> Measure | None:
        if usual is None and name not in fields:
            return None
        return fields.length(name, None if usual is None else usual(DEFAULTS[fields.unit]))

    def write(name: str, value: Measure | None, unit: str) -> str | None:
        as_usual = None if usual is None else usual(DEFAULTS[unit])
        return None if value is None or value == as_usual else length_line(name, value, unit)

    return Key(says, read, write)


def mark(says: str, **by_unit: tuple[Fraction, ...]) -> Key:
    """One of a ruler's marks, by unit; the usual one where nothing is said."""
    known = {unit: tuple(map(Measure, own)) for unit, own in by_unit.items()}
    return Key(
        says,
        lambda fields, name: fields.mark(name, known[fields.unit], DEFAULTS[fields.unit].ruler),
        length(says, lambda usual: usual.ruler).write,
    )


def unit(says: str) -> Key:
    """The unit of length, which is read before all else; always written."""
    return Key(says, lambda fields, _: fields.unit, lambda name, value, _: f'{name} = "{value}"')


def tone(says: str) -> Key:
    """How dark a cloth is, which must be there; or its colour, which the reader then takes it from (0)."""

    def read(fields: Fields, name: str) -> int:
        if name not in fields and any(spelling in fields for spelling in COLOUR):
            return 0
        if not fields.need(name, f"{name} = 2, a whole number {_TONES}, or the cloth's colour"):
            return 5
        return fields.whole(name, 1, 9, _TONES, 5)

    return Key(says, read, lambda name, value, _: f"{name} = {value}")


def colour(says: str) -> Key:
    """A colour, in either spelling; empty where there is none."""

    def read(fields: Fields, name: str) -> str:
        spelt = [spelling for spelling in COLOUR if spelling in fields]
        if len(spelt) > 1:
            fields.fault("either", spelt[1], " and ".join(spelt))
        return fields.colour(spelt[0]) if spelt else ""

    return Key(says, read, lambda name, value, _: f'{name} = "{value}"' if value else None, COLOUR)


def cloth(says: str) -> Key:
    """The letter of a cloth, which must be there."""
    return Key(says, lambda fields, name: fields.fabric(name), lambda name, value, _: f'{name} = "{value}"')


def cloth_if_any(says: str, *nothing: str) -> Key:
    """The letter of a cloth, or None where nothing is said, or a word that means no cloth."""

    def read(fields: Fields, name: str) -> str | None:
        if name not in fields or fields.table[name] in nothing:
            return None
        return fields.cloth(name)

    return Key(says, read, lambda name, value, _: f'{name} = "{value}"' if value else None)


def word(says: str, name: str, meant: str) -> Key:
    """Whether the key `name`, which may say other things too, says this word."""
    return Key(
        says,
        lambda fields, _: fields.table.get(name) == meant,
        lambda _, value, unit: f'{name} = "{meant}"' if value else None,
        (name,),
    )


def strip(says: str, usual: Callable[[Defaults], Measure] | None = None) -> Key:
    """The cut width of a strip, given as `cut`, or as `finished` where nothing is usual."""

    def read(fields: Fields, name: str) -> Measure:
        if usual is not None and name not in fields:
            return usual(DEFAULTS[fields.unit])
        return fields.strip()

    return Key(says, read, length_line, ("cut",) if usual else ("cut", "finished"))


def turns(says: str) -> Key:
    """Rows of quarter turns, in degrees; empty where nothing is said."""

    def write(name: str, value: tuple[tuple[int, ...], ...], _: str) -> str | None:
        rows = (f"[{', '.join(quoted(str(turn)) for turn in row)}]" for row in value)
        return f"{name} = [{', '.join(rows)}]" if value else None

    return Key(says, lambda fields, name: fields.turns(name) if name in fields else (), write)


def beyond() -> Key:
    """How far something reaches beyond the top; always written."""
    says = "how far it reaches beyond the top (4 in, 10 cm)"
    return Key(says, lambda fields, name: fields.length(name, DEFAULTS[fields.unit].beyond), length_line)


def share(says: str) -> Key:
    """A share of the cloth."""

    def write(name: str, value: Fraction, unit: str) -> str | None:
        if value == DEFAULTS[unit].allowance:
            return None
        return f'{name} = "{write_length(value * 100, "cm", plain=True)} %"'

    return Key(says, lambda fields, name: fields.share(name, DEFAULTS[fields.unit].allowance), write)


# Writing


def quoted(value: str) -> str:
    r"""A text in quotes; `"` and `\` are the only characters in a plan's texts that need a code."""
    return '"' + re.sub(r'(["\\])', r"\\\1", value) + '"'


def length_line(name: str, value: Measure, unit: str) -> str:
    """`cut = "1 1/2"`."""
    return f'{name} = "{write_length(value, unit, plain=True)}"'
