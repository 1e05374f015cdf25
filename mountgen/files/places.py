"""Where in a TOML text each key and each value stands.

tomllib keeps no places, so the text is walked a second time. The walk trusts that tomllib has
accepted the text: it checks nothing, it only finds where keys, tables, values and array items begin.

A *key path* runs from the top of the document, array items by their index: ("product", 0, "code", "size").
A *place* is a line and a column, both counted from 1, columns in characters.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

KeyPath = tuple[str | int, ...]
Part = Literal["key", "value"]

_TRIVIA = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*([A-Za-z0-9_-]+|"(?:\\.|[^"\\])*"|'[^']*')[ \t]*""")
_SCALAR = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\])*"|'[^']*'|[^,\]}\n#]+''', re.DOTALL
)


class Place(NamedTuple):
    line: int
    column: int


@dataclass(frozen=True)
class PlaceIndex:
    """Where keys and values begin. A header's table, an item of [[...]] too, is a key, at its last name."""

    keys: dict[KeyPath, Place] = field(default_factory=dict)
    values: dict[KeyPath, Place] = field(default_factory=dict)

    def of(self, path: KeyPath, part: Part) -> Place:
        """The place of the key or value at `path`; of the nearest table around one that is not there."""
        if part == "value" and path in self.values:
            return self.values[path]
        while path and path not in self.keys and path not in self.values:
            path = path[:-1]
        return self.keys.get(path) or self.values.get(path) or Place(1, 1)


def place_index(text: str) -> PlaceIndex:
    """The place of every key, table, value and array item of a valid TOML text."""
    walk = _Walk(text)
    walk.document()
    return walk.index


class _Walk:
    """One pass over one text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.index = PlaceIndex()
        self._breaks = [match.start() for match in re.finditer("\n", text)]
        self._items: dict[KeyPath, int] = {}

    def document(self) -> None:
        table: KeyPath = ()
        while self._next():
            table = self._header() if self._next() == "[" else self._pair(table)

    def _next(self) -> str:
        """The next character that is no space, line break or comment; '' at the end."""
        self._skip(_TRIVIA)
        return self.text[self.at : self.at + 1]

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _pass_comma(self) -> None:
        if self._next() == ",":
            self.at += 1

    def _place(self, at: int) -> Place:
        before = bisect_right(self._breaks, at - 1)
        start = self._breaks[before - 1] + 1 if before else 0
        return Place(before + 1, at - start + 1)

    def _keys(self) -> list[tuple[str, Place]]:
        """The names of a dotted key, each with its place; stands behind it afterwards."""
        keys: list[tuple[str, Place]] = []
        while match := _KEY.match(self.text, self.at):
            keys.append((_name(match[1]), self._place(match.start(1))))
            self.at = match.end()
            if self.text[self.at : self.at + 1] != ".":
                break
            self.at += 1
        return keys

    def _header(self) -> KeyPath:
        width = 2 if self.text.startswith("[[", self.at) else 1
        self.at += width
        *around, (last, place) = self._keys()
        self.at += width
        path: KeyPath = ()
        for name, outer in around:
            path = self._into_last_item((*path, name))
            self.index.keys.setdefault(path, outer)
        path = (*path, last)
        path = self._new_item(path, place) if width == 2 else self._into_last_item(path)
        self.index.keys[path] = place
        return path

    def _into_last_item(self, path: KeyPath) -> KeyPath:
        return (*path, self._items[path]) if path in self._items else path

    def _new_item(self, path: KeyPath, place: Place) -> KeyPath:
        self.index.keys.setdefault(path, place)
        self._items[path] = self._items.get(path, -1) + 1
        return (*path, self._items[path])

    def _pair(self, table: KeyPath) -> KeyPath:
        """One `key = value`; gives the table back."""
        path = table
        for name, place in self._keys():
            path = (*path, name)
            self.index.keys.setdefault(path, place)
        self.at += 1
        self._value(path)
        return table

    def _value(self, path: KeyPath) -> None:
        opening = self._next()
        self.index.values[path] = self._place(self.at)
        if opening == "[":
            self._array(path)
        elif opening == "{":
            self._inline_table(path)
        else:
            self._skip(_SCALAR)

    def _array(self, path: KeyPath) -> None:
        self.at += 1
        count = 0
        while self._next() != "]":
            self._value((*path, count))
            count += 1
            self._pass_comma()
        self.at += 1

    def _inline_table(self, path: KeyPath) -> None:
        self.at += 1
        while self._next() != "}":
            self._pair(path)
            self._pass_comma()
        self.at += 1


def _name(written: str) -> str:
    """A key without its quotes and escapes."""
    if written[0] == '"' and "\\" in written:
        return next(iter(tomllib.loads(f"{written} = 0")))
    return written[1:-1] if written[0] in "\"'" else written
