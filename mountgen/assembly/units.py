"""A mount as pieces: sub-assemblies for the bench, and what is mounted on the line one after the other."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from mountgen.assembly.order import find_order
from mountgen.assembly.records import Assembly, Blocked, Fastening, Move, Piece, Puzzle, Step
from mountgen.assembly.room import Named
from mountgen.detail.bridge import BEAM
from mountgen.detail.exploded import CARRIED
from mountgen.detail.records import HEADS, RAILS, Detail, Instance
from mountgen.geometry import Box, Placement
from mountgen.layout.rules import KEY_ROOM
from mountgen.survey.records import Flow

ARM_UNIT = "arm with cross plate"
BENCH = MappingProxyType(
    {
        "mast": "post",
        "cross joint": ARM_UNIT,
        "sliding arm": ARM_UNIT,
        "head bracket": "head bracket",
        "encoder unit": "encoder unit",
        "controller unit": "controller unit",
        "far mast": "far post",
        "near eye unit": "near eye unit",
        "far eye unit": "far eye unit",
    }
)
"""The groups that are made up on the bench, and what the result is called."""
BEAM_UNIT = "beam with cross plates"
BRIDGED = MappingProxyType(dict.fromkeys(("cross joint", "far cross joint", "beam unit"), BEAM_UNIT))
"""The same of a bridge, whose beam takes both cross plates along."""
BY_ITSELF = frozenset({"arm stop", "far arm stop"})
"""Parts of such a group that go onto the line by themselves."""
WISHED = (
    "backing plate",
    "rail angle",
    "upper jaw",
    "lower jaw",
    "base plate",
    "foot angle, upstream",
    "post",
    "post cap",
    "foot angle, downstream",
    "arm stop",
    "far backing plate",
    "far rail angle",
    "far post",
    "far post cap",
    "far arm stop",
    "arm",
    ARM_UNIT,
    BEAM,
    BEAM_UNIT,
    "cross plate",
    "far cross plate",
    "swing plate",
    *HEADS,
    "lead-in shoe",
    "photo-eye arm",
    "near eye bracket",
    "far eye bracket",
    "photo-eye",
    "ear",
    "head bracket",
    "encoder bracket",
    "encoder spring",
    "encoder arm",
    "encoder",
    "measuring wheel",
    "encoder unit",
    "controller bracket",
    "controller",
    "controller unit",
    "near eye unit",
    "reflector",
    "receiver",
    "far eye unit",
)
"""The order that a fitter would choose (common practice); what is not listed comes last."""
SITE = RAILS | {"floor"}
"""What stands there already, as joints name it."""
SET_NUTS = ("press nut", "T-nut", "rivet nut")
"""Nuts that sit in their part before it is mounted."""
WORLD = Placement()


@dataclass(frozen=True)
class Held:
    """A detail with what its joints hold: by joint, the parts (own hardware, rail and floor are none), its
    fasteners, and the part that a set nut sits in."""

    detail: Detail

    @cached_property
    def members(self) -> dict[str, frozenset[str]]:
        parts = {instance.name for instance in self.detail.instances if not instance.joint}
        return {
            joint.id: frozenset(member.instance for member in joint.members) & parts
            for joint in self.detail.joints
        }

    @cached_property
    def on_site(self) -> frozenset[str]:
        """The joints that a rail or the floor is a member of: nothing tightens them on the bench."""
        joints = self.detail.joints
        return frozenset(joint.id for joint in joints if any(m.instance in SITE for m in joint.members))

    @cached_property
    def fasteners(self) -> dict[str, list[Instance]]:
        found: dict[str, list[Instance]] = {joint.id: [] for joint in self.detail.joints}
        for instance in self.detail.instances:
            if instance.joint:
                found[instance.joint].append(instance)
        return found

    @cached_property
    def last(self) -> dict[str, str]:
        return {joint.id: joint.members[-1].instance for joint in self.detail.joints}


@dataclass(frozen=True)
class Unit:
    """Parts that go onto the line together."""

    name: str
    instances: tuple[Instance, ...]


def put_together(detail: Detail, site: Named) -> Assembly:
    """The steps that put the mount together: every sub-assembly on the bench, then all on the line."""
    held, units = Held(detail), tuple(units_of(detail))
    steps: list[Step] = []
    for unit in units:
        if len(unit.instances) == 1:
            continue
        found = find_order(bench_puzzle(held, unit))
        if isinstance(found, Blocked):
            return Assembly(tuple(steps), found)
        pieces = tuple((move.piece,) for move in found)
        steps.append(Step(f"make up the {unit.name}", found, pieces, on_bench=True))
    found = find_order(line_puzzle(held, units, site))
    if isinstance(found, Blocked):
        return Assembly(tuple(steps), found)
    members = {unit.name: tuple(instance.name for instance in unit.instances) for unit in units}
    return Assembly((*steps, *_line_steps(found, members)))


def _line_steps(moves: Iterable[Move], members: Mapping[str, tuple[str, ...]]) -> Iterator[Step]:
    """A step for every piece; one that nothing is tightened on yet belongs to the next."""
    waiting: list[Move] = []
    for move in moves:
        waiting.append(move)
        if move.fastenings:
            pieces = tuple(members[waited.piece] for waited in waiting)
            yield Step(f"mount the {move.piece}", tuple(waiting), pieces)
            waiting = []


def in_world(assembly: Assembly, flow: Flow) -> Assembly:
    """The steps on the line as they are seen there; they were found in the working view."""
    if flow == "left_to_right":
        return assembly
    return replace(assembly, steps=tuple(s if s.on_bench else _flipped(s) for s in assembly.steps))


def _flipped(step: Step) -> Step:
    ways = (move.direction for move in step.moves)
    flipped = (None if way is None else (-way[0], way[1], way[2]) for way in ways)
    moves = zip(step.moves, flipped, strict=True)
    return replace(step, moves=tuple(replace(move, direction=way) for move, way in moves))


def units_of(detail: Detail) -> Iterator[Unit]:
    """Every part in its unit, in the order wished for."""
    members: dict[str, list[Instance]] = {}
    is_bridge = any(instance.name == BEAM for instance in detail.instances)
    benches = {**BENCH, **BRIDGED} if is_bridge else BENCH
    for instance in detail.instances:
        if not instance.joint:
            bench = "" if instance.name in BY_ITSELF else benches.get(instance.group, "")
            members.setdefault(bench or instance.name, []).append(instance)
    for name in sorted(members, key=_wish):
        yield Unit(name, tuple(sorted(members[name], key=lambda instance: _wish(instance.name))))


def _wish(name: str) -> tuple[int, int]:
    """A carried part comes right after its carrier where it has no place of its own."""
    if name not in WISHED and name in CARRIED:
        return WISHED.index(CARRIED[name]), 1
    return (WISHED.index(name) if name in WISHED else len(WISHED)), 0


def bench_puzzle(held: Held, unit: Unit) -> Puzzle:
    """The unit's parts, seen in the frame of its first: on the bench nothing is tilted."""
    base = unit.instances[0].placement
    owners = {instance.name: instance.name for instance in unit.instances}
    pieces = tuple(_piece(held, Unit(i.name, (i,)), base) for i in unit.instances)
    fastenings = tuple(f for f in _fastenings(held, owners, base) if f.id not in held.on_site)
    return Puzzle(tuple(_hung(pieces, fastenings, {pieces[0].name})), fastenings)


def line_puzzle(held: Held, units: Iterable[Unit], site: Named) -> Puzzle:
    """The units as they are mounted on the line."""
    units = tuple(units)
    owners = {instance.name: unit.name for unit in units for instance in unit.instances}
    pieces = tuple(_piece(held, unit, WORLD) for unit in units)
    fastenings = tuple(_fastenings(held, owners, WORLD))
    roots = {name for fastening in fastenings if fastening.id in held.on_site for name in fastening.pieces}
    return Puzzle(tuple(_hung(pieces, fastenings, roots)), fastenings, tuple(site))


def _hung(pieces: Iterable[Piece], fastenings: Iterable[Fastening], roots: set[str]) -> Iterator[Piece]:
    """The pieces with what each hangs on: the one that leads to the roots by the fewest joints, or for what
    no joint holds its carrier."""
    holder: dict[str, str] = {}
    fastenings, waiting, seen = tuple(fastenings), deque(sorted(roots)), set(roots)
    while waiting:
        here = waiting.popleft()
        for other in sorted({n for f in fastenings if here in f.pieces for n in f.pieces} - seen):
            holder[other] = here
            seen.add(other)
            waiting.append(other)
    for piece in pieces:
        carrier = holder.get(piece.name, CARRIED.get(piece.name) if piece.name not in seen else None)
        yield replace(piece, needs=frozenset({carrier} if carrier else ()))


def _piece(held: Held, unit: Unit, base: Placement) -> Piece:
    """The unit's parts, the screws that hold them together, and the nuts that are set in them."""
    detail, names = held.detail, {instance.name for instance in unit.instances}
    inner = {id_ for id_, members in held.members.items() if members <= names} if len(names) > 1 else set()
    inner -= held.on_site
    boxes: list[Box] = []
    for instance in detail.instances:
        set_in = instance.name.endswith(SET_NUTS) and held.last[instance.joint] in names
        if instance.name in names or instance.joint in inner or set_in:
            boxes += _boxes(detail, instance, base)
    if unit.name in CARRIED:
        axes = [unit.instances[0].placement.z_axis]
    else:
        axes = list(dict.fromkeys(j.direction for j in detail.joints if held.members[j.id] & names))
    turned = tuple(base.local_vector(axis) for axis in axes)
    return Piece(unit.name, tuple(boxes), turned, plugs_in=unit.name in CARRIED)


def _fastenings(held: Held, owners: dict[str, str], base: Placement) -> Iterator[Fastening]:
    """The joints between different pieces, and those to rail or floor, in this frame."""
    for joint in held.detail.joints:
        members = held.members[joint.id]
        pieces = frozenset(owners[name] for name in members if name in owners)
        to_site = joint.id in held.on_site
        if not members <= owners.keys() or not pieces or (len(pieces) == 1 and not to_site):
            continue
        loose = [i for i in held.fasteners[joint.id] if not i.name.endswith(SET_NUTS)]
        yield Fastening(
            joint.id,
            pieces,
            base.local_point(joint.point),
            base.local_vector(joint.direction),
            max(KEY_ROOM, joint.screw_length) if joint.key else 0.0,
            tuple(box for instance in loose for box in _boxes(held.detail, instance, base)),
        )


def _boxes(detail: Detail, instance: Instance, base: Placement) -> list[Box]:
    place = instance.placement
    seen = Placement(
        base.local_point(place.origin), base.local_vector(place.x_axis), base.local_vector(place.z_axis)
    )
    return [box.placed(seen) for box in detail.parts[instance.part].boxes]
