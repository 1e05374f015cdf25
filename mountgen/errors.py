"""The family of errors.

A *fault* is one thing wrong with one input: where it is, what was found, what is expected and what
to do about it. Readers collect every fault of a file before they raise, so that a person mends a
survey once. Only the command line turns these errors into text and exit codes.

    MountgenError
    ├── InputError        something the user gave is wrong (exit code 2)
    │   ├── SurveyError       a survey file
    │   ├── CatalogueError    a file of profiles/
    │   ├── ShopError         a shop file or its bend table, or work that the shop cannot do
    │   ├── MeasuredError     a file of what was measured after installation
    │   └── OutputError       the place to write to
    ├── SheetError        a sheet part that cannot be folded or cut
    ├── StockError        stock from which the parts cannot be cut
    └── KernelError       the CAD kernel gave a solid that fails its own check
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Fault:
    """One thing wrong: `where` is 'file', 'file:line' or 'file:line:column', the others plain sentences.
    `key` is the key of the file that it is about, '' where it is about none."""

    where: str
    found: str
    expected: str
    action: str
    key: str = field(default="", compare=False)

    def __str__(self) -> str:
        return f"{self.where}: {self.found}; expected {self.expected}; {self.action}"


class MountgenError(Exception):
    """Base of every error that mountgen raises on purpose."""


class InputError(MountgenError):
    """Something the user gave is wrong; carries every fault found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class SurveyError(InputError):
    """A survey file is wrong."""


class CatalogueError(InputError):
    """A file of profiles/ is wrong, or a name is not in it."""


class ShopError(InputError):
    """A shop file or its bend table is wrong, or the shop cannot make what it is asked for."""


class MeasuredError(InputError):
    """A file of what was measured after installation is wrong."""


class OutputError(InputError):
    """The package cannot be written where it was asked for."""


class SheetError(MountgenError):
    """A sheet part cannot be cut or folded as described."""


class StockError(MountgenError):
    """The shop's stock is not enough, or not large enough, for what is to be cut from it."""


class KernelError(MountgenError):
    """The CAD kernel returned a solid that fails its own check."""
