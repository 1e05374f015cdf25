"""Small frames that several tests share."""

from mountgen.mechanics.frame import RIGID, Bar, Frame, Mass, Member, Node, Support

E, G, INERTIA = 70000.0, 27000.0, 90000.0
BAR = Bar(area=1000.0, iy=INERTIA, iz=INERTIA, j=120000.0, e_mpa=E, g_mpa=G, kg_per_mm3=2.7e-6)


def cantilever(length=200.0, bar=BAR, parts=1, masses=(), support=RIGID):
    """Along +x from node n0, held there, to the last node 'tip'."""
    names = [f"n{i}" for i in range(parts)] + ["tip"]
    nodes = tuple(Node(name, (length * i / parts, 0.0, 0.0)) for i, name in enumerate(names))
    members = tuple(Member(f"m{i}", names[i], names[i + 1], bar) for i in range(parts))
    return Frame(nodes, members, (Support("n0", support),), masses)


def l_frame(post=300.0, arm=200.0, bar=BAR, masses=()):
    """A post along +z with an arm along +y on its top."""
    nodes = (Node("foot", (0.0, 0.0, 0.0)), Node("top", (0.0, 0.0, post)), Node("tip", (0.0, arm, post)))
    members = (Member("post", "foot", "top", bar, up=(1.0, 0.0, 0.0)), Member("arm", "top", "tip", bar))
    return Frame(nodes, members, (Support("foot"),), masses)


HEAD = Mass("tip", 2.5, offset=(20.0, 30.0, -40.0), inertia=(4e3, 3e3, 5e3, 200.0, -100.0, 50.0))
