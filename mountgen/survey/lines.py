"""On which line of a TOML text each key stands.

tomllib keeps no line numbers, so the text is walked a second time. The walk trusts that tomllib has
accepted the text: it checks nothing, it only finds where keys, tables and array items begin.

A *key path* runs from the top of the document, array items by their index: ("product", 0, "code", "size").
"""

from __future__ import annotations

import re
from bisect import bisect_right

KeyPath = tuple[str | int, ...]

_TRIVIA = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*([A-Za-z0-9_-]+|"(?:\\.|[^"\\])*"|'[^']*')[ \t]*""")
_SCALAR = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\])*"|'[^']*'|[^,\]}\n#]+''', re.DOTALL
)


def line_index(text: str) -> dict[KeyPath, int]:
    """The line, from 1, of every key, table and array item of a valid TOML text."""
    walk = _Walk(text)
    walk.document()
    return walk.lines


def line_of(index: dict[KeyPath, int], path: KeyPath) -> int:
    """The line of `path`, or of the nearest table around it, or line 1."""
    while path and path not in index:
        path = path[:-1]
    return index.get(path, 1)


class _Walk:
    """One pass over one text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[KeyPath, int] = {}
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

    def _line(self) -> int:
        return bisect_right(self._breaks, self.at - 1) + 1

    def _keys(self) -> list[str]:
        """A dotted key; stands behind it afterwards."""
        keys: list[str] = []
        while match := _KEY.match(self.text, self.at):
            keys.append(match[1].strip("\"'"))
            self.at = match.end()
            if self.text[self.at : self.at + 1] != ".":
                break
            self.at += 1
        return keys

    def _header(self) -> KeyPath:
        line, width = self._line(), 2 if self.text.startswith("[[", self.at) else 1
        self.at += width
        keys = self._keys()
        self.at += width
        path: KeyPath = ()
        for key in keys[:-1]:
            path = self._into_last_item((*path, key))
            self.lines.setdefault(path, line)
        path = (*path, keys[-1])
        path = self._new_item(path, line) if width == 2 else self._into_last_item(path)
        self.lines[path] = line
        return path

    def _into_last_item(self, path: KeyPath) -> KeyPath:
        return (*path, self._items[path]) if path in self._items else path

    def _new_item(self, path: KeyPath, line: int) -> KeyPath:
        self.lines.setdefault(path, line)
        self._items[path] = self._items.get(path, -1) + 1
        return (*path, self._items[path])

    def _pair(self, table: KeyPath) -> KeyPath:
        """One `key = value`; gives the table back."""
        line, path = self._line(), table
        for key in self._keys():
            path = (*path, key)
            self.lines.setdefault(path, line)
        self.at += 1
        self._value(path)
        return table

    def _value(self, path: KeyPath) -> None:
        opening = self._next()
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
            self.lines[*path, count] = self._line()
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
