"""What a model file holds: a tree of named, placed nodes over products that are each stored once.

Words: a *product* is a part with its solid and colour; an *occurrence* is one placed copy of it, a leaf
of the tree; a *group* is a node with children. Names are those a reader sees in the tree of a CAD program,
so each one is used once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from mountgen.detail.records import Instance, Rgb
from mountgen.errors import KernelError
from mountgen.geometry import Placement
from mountgen.kernel.frames import Solid


@dataclass(frozen=True)
class Product:
    """A part as it is stored: the name shown for it, its solid, and its colour (sRGB, 0..1)."""

    name: str
    solid: Solid
    colour: Rgb


@dataclass(frozen=True)
class AssemblyNode:
    """A group (`children`) or an occurrence (`product`, a key of the assembly's products), in its
    parent's frame."""

    name: str
    placement: Placement = field(default_factory=Placement)
    children: tuple[AssemblyNode, ...] = ()
    product: str = ""

    def walk(self) -> Iterator[AssemblyNode]:
        """This node and all below it, parents first."""
        yield self
        for child in self.children:
            yield from child.walk()


@dataclass(frozen=True)
class Assembly:
    """The root group and the products its occurrences name."""

    root: AssemblyNode
    products: Mapping[str, Product]

    def used_products(self) -> tuple[str, ...]:
        """The keys in use, in order of first use."""
        return tuple(dict.fromkeys(node.product for node in self.root.walk() if node.product))


def grouped_tree(name: str, instances: tuple[Instance, ...]) -> AssemblyNode:
    """A root over one group per `Instance.group`, in order of first use, over the instances."""
    groups: dict[str, list[AssemblyNode]] = {}
    for instance in instances:
        leaf = AssemblyNode(instance.name, instance.placement, product=instance.part)
        groups.setdefault(instance.group, []).append(leaf)
    return AssemblyNode(name, children=tuple(AssemblyNode(g, children=tuple(n)) for g, n in groups.items()))


def check_assembly(assembly: Assembly) -> None:
    """KernelError for a name that is empty or used twice, a product that is missing, a node that is
    neither a group nor an occurrence, or a root that is no group."""
    nodes = list(assembly.root.walk())
    if not assembly.root.children:
        raise KernelError(f"{assembly.root.name}: the root must be a group")
    counts = Counter(node.name for node in nodes)
    repeated = sorted(name for name, count in counts.items() if count > 1 or not name.strip())
    if repeated:
        raise KernelError(f"names of occurrences must be given, and once each: {repeated}")
    for node in nodes:
        if bool(node.children) == bool(node.product):
            raise KernelError(f"{node.name}: expected either children or a product")
        if node.product and node.product not in assembly.products:
            raise KernelError(f"{node.name}: no product {node.product!r} in the assembly")
