"""The error of text that is no quantity, and how such text is quoted."""

from __future__ import annotations

LONGEST_TEXT = 60
"""Characters; no quantity takes more to write."""


class UnitError(ValueError):
    """Text that is no such quantity: what was `found`, what is `expected`, what to do."""

    def __init__(self, found: str, expected: str, action: str = "write it like that") -> None:
        self.found = found
        self.expected = expected
        self.action = action
        super().__init__(f"{found}; expected {expected}; {action}")


def quoted(value: object) -> str:
    """A value as it was written, on one line and cut to a readable length, for an error."""
    text = "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in str(value))
    shown = f"'{text}'" if isinstance(value, str) else text
    return shown if len(shown) <= LONGEST_TEXT + 2 else shown[:LONGEST_TEXT] + "..."
