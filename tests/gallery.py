"""Pictures of the examples for the README: each mount on its line, and one page of its drawings.

    python tests/gallery.py [FOLDER]

Packages are built to a temporary folder; pictures go to outputs/gallery (or FOLDER). Needs pdftoppm, and
chromium for the page of options.
The renderer is a plain z-buffer: triangles from the GLB, flat light from two lamps, dark lines where
two faces meet at an angle, the line around the mount as boxes, a product as a tinted one.
"""

from __future__ import annotations

import struct
import subprocess
import sys
import tempfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import trimesh
from shops import SHOP

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.geometry import Box
from mountgen.options.find import find_options
from mountgen.package.feasibility_scene import line_boxes
from mountgen.package.options_page import options_page
from mountgen.package.records import SceneBox
from mountgen.package.writer import write_package
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Family, Survey

GALLERY = Path(__file__).resolve().parents[1] / "outputs/gallery"
WIDTH, HEIGHT, FINER = 1200, 900, 3
"""Size of a picture; it is drawn FINER times as fine and averaged."""

EYE = np.array([0.62, -1.0, 0.62])
"""From what is looked at towards the eye: the operator's side, from above, the mast on the far side
(x is turned round when the mast stands right)."""
LAMPS = ((np.array([-0.35, -0.75, 0.9]), 0.55), (np.array([0.9, -0.3, 0.35]), 0.22))
AMBIENT = 0.50
EDGE_ANGLE_DEG = 25.0
EDGE_SHADE = 0.45
GLASS = 0.36
"""How much of its own colour a see-through product has."""
SHOWN_X = 330.0
"""mm of line shown either way of the print line."""
DRAWING_PAGE = 3
FAMILIES: tuple[tuple[str, Family], ...] = (
    ("seed-cartons", "rail_clamp"),
    ("compost-sacks", "bridge"),
    ("seed-cartons", "floor_stand"),
)
"""Pictures of the other families: an example, and what holds its mount there."""
ROLLER = (0.70, 0.72, 0.75)


@dataclass(frozen=True)
class Body:
    """Triangles (n, 3 corners, 3), their colour, and edges (m, 2, 3) to be drawn dark."""

    triangles: np.ndarray
    edges: np.ndarray
    colour: np.ndarray
    glass: bool = False


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else GALLERY
    folder.mkdir(parents=True, exist_ok=True)
    catalogue = Catalogue()
    with tempfile.TemporaryDirectory() as place:
        for path in sorted((profiles_folder() / "surveys").glob("*.toml")):
            result = study(read_survey(path, catalogue), catalogue, SHOP)
            final, package = write_package(result, catalogue, Path(place))
            bodies = [*mount_bodies(package / "assembly.glb"), *line_bodies(final)]
            (folder / f"{package.name}.png").write_bytes(png(picture(bodies, _eye(final))))
            _drawing(package / "cut-and-drill.pdf", folder / f"{package.name}-drawing.png")
        for name, family in FAMILIES:
            survey = replace(
                read_survey(profiles_folder() / f"surveys/{name}.toml", catalogue), family=family
            )
            final, package = write_package(study(survey, catalogue, SHOP), catalogue, Path(place) / family)
            bodies = [*mount_bodies(package / "assembly.glb"), *line_bodies(final)]
            (folder / f"family-{family}.png").write_bytes(png(picture(bodies, _eye(final))))
        page = Path(place) / "options.html"
        survey = read_survey(profiles_folder() / "surveys/seed-cartons.toml", catalogue)
        page.write_text(options_page(find_options(survey, catalogue, SHOP)), encoding="utf-8")
        _screenshot(page, folder / "seed-cartons-options.png")


def _screenshot(page: Path, target: Path) -> None:
    """The upper part of a page, as a browser shows it."""
    command = ["chromium", "--headless", "--no-sandbox", "--hide-scrollbars", "--window-size=1000,1180"]
    subprocess.run([*command, f"--screenshot={target}", page.as_uri()], check=True, capture_output=True)


def _eye(result: Study) -> np.ndarray:
    """The mast stands downstream of the head, which is what the picture is about."""
    return EYE if result.survey.line.flow == "right_to_left" else EYE * [-1, 1, 1]


def _drawing(pdf: Path, target: Path) -> None:
    page = str(DRAWING_PAGE)
    command = ["pdftoppm", "-png", "-gray", "-r", "75", "-f", page, "-l", page, "-singlefile"]
    subprocess.run([*command, str(pdf), str(target.with_suffix(""))], check=True)


def mount_bodies(glb: Path) -> Iterator[Body]:
    """Every occurrence of the assembly, in mm with z up."""
    scene = trimesh.load_scene(glb)
    for name in scene.graph.nodes_geometry:
        matrix, geometry = scene.graph[name]
        mesh = scene.geometry[geometry].copy()
        colour = np.asarray(mesh.visual.material.baseColorFactor[:3], dtype=float) / 255
        mesh.merge_vertices(merge_tex=True, merge_norm=True)
        mesh.apply_transform(matrix)
        x, y, z = (mesh.vertices * 1000).T
        corners = np.column_stack([x, -z, y])
        sharp = mesh.face_adjacency_angles > np.radians(EDGE_ANGLE_DEG)
        edges = corners[mesh.face_adjacency_edges[sharp]]
        yield Body(corners[mesh.faces], edges, _srgb(colour))


def _srgb(linear: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1, for the linear colours of glTF."""
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def line_bodies(result: Study) -> Iterator[Body]:
    """Rails, bed, guides and one product, the smallest; glass last, so that it is laid over the rest."""
    survey = result.survey
    names = {product.name for product in survey.products}
    products = [box for box in line_boxes(survey) if box.name in names]
    for box in line_boxes(survey):
        if box.name not in names and box.name != "conveying surface":
            yield _box_body(_cropped(box))
        elif box.name == "conveying surface":
            yield from _bed(survey, _cropped(box))
    yield _box_body(products[-1], glass=True)


def _bed(survey: Survey, surface: SceneBox) -> Iterator[Body]:
    """Rollers where there are some, else the surface as it is."""
    line = survey.line
    if line.surface != "rollers":
        yield _box_body(surface)
        return
    low, high = surface.box.low, surface.box.high
    first = np.ceil((low[0] - line.first_roller_at) / line.roller_pitch)
    x = line.first_roller_at + first * line.roller_pitch
    while x <= high[0]:
        yield _roller(float(x), line.roller_diameter / 2, low[1], high[1])
        x += line.roller_pitch


def _roller(x: float, radius: float, near: float, far: float) -> Body:
    mesh = trimesh.creation.cylinder(radius, far - near, sections=48)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, [1, 0, 0]))
    mesh.apply_translation([x, (near + far) / 2, -radius])
    sharp = mesh.face_adjacency_angles > np.radians(EDGE_ANGLE_DEG)
    edges = mesh.vertices[mesh.face_adjacency_edges[sharp]]
    return Body(mesh.triangles, edges, np.array(ROLLER))


def _cropped(box: SceneBox) -> SceneBox:
    low, high = box.box.low, box.box.high
    inside = Box((max(low[0], -SHOWN_X), *low[1:]), (min(high[0], SHOWN_X), *high[1:]))
    return SceneBox(box.name, inside, box.colour)


def _box_body(box: SceneBox, glass: bool = False) -> Body:
    mesh = trimesh.creation.box(bounds=[box.box.low, box.box.high])
    sharp = mesh.face_adjacency_angles > np.radians(EDGE_ANGLE_DEG)
    edges = mesh.vertices[mesh.face_adjacency_edges[sharp]]
    return Body(mesh.triangles, edges, np.array(box.colour), glass)


@dataclass(frozen=True)
class Camera:
    """Parallel projection on a picture: rows of `turn` are its right, its up and towards the eye."""

    turn: np.ndarray
    middle: np.ndarray
    scale: float

    def project(self, points: np.ndarray) -> np.ndarray:
        """Picture x to the right, y down, and depth, larger nearer to the eye."""
        seen = (points @ self.turn.T - self.middle) * self.scale
        size = np.array([WIDTH, HEIGHT]) * FINER
        return np.concatenate([size / 2 + seen[..., :2] * [1, -1], seen[..., 2:]], axis=-1)


def camera_around(bodies: list[Body], eye: np.ndarray) -> Camera:
    toward = eye / np.linalg.norm(eye)
    right = np.cross([0, 0, 1], toward)
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(toward, right), toward])
    points = np.concatenate([body.triangles.reshape(-1, 3) for body in bodies]) @ turn.T
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.array([WIDTH, HEIGHT]) * FINER * 0.94
    return Camera(turn, (low + high) / 2, float((room / (high - low)[:2]).min()))


def picture(bodies: list[Body], eye: np.ndarray) -> np.ndarray:
    """The bodies as (HEIGHT, WIDTH, 3) bytes."""
    camera = camera_around(bodies, eye)
    image = np.ones((HEIGHT * FINER, WIDTH * FINER, 3), dtype=np.float32)
    depth = np.full(image.shape[:2], -np.inf, dtype=np.float32)
    for body in bodies:
        if not body.glass:
            _draw(body, camera, image, depth)
    for body in bodies:
        if body.glass:
            _lay_over(body, camera, image, depth)
    fine = image.reshape(HEIGHT, FINER, WIDTH, FINER, 3).mean(axis=(1, 3))
    return np.round(np.clip(fine, 0, 1) * 255).astype(np.uint8)


def _lay_over(body: Body, camera: Camera, image: np.ndarray, depth: np.ndarray) -> None:
    """A see-through body: drawn by itself, then mixed in where nothing stands before it."""
    own, own_depth = np.ones_like(image), np.full_like(depth, -np.inf)
    _draw(body, camera, own, own_depth)
    seen = own_depth > depth
    image[seen] = (1 - GLASS) * image[seen] + GLASS * own[seen]


def _draw(body: Body, camera: Camera, image: np.ndarray, depth: np.ndarray) -> None:
    normals = np.cross(
        body.triangles[:, 1] - body.triangles[:, 0], body.triangles[:, 2] - body.triangles[:, 0]
    )
    sizes = np.linalg.norm(normals, axis=1)
    normals /= np.maximum(sizes, 1e-12)[:, None]
    facing = (normals @ camera.turn[2] > 0) & (sizes > 1e-9)
    light = np.full(len(normals), AMBIENT)
    for lamp, strength in LAMPS:
        light += strength * np.clip(normals @ (lamp / np.linalg.norm(lamp)), 0, None)
    for triangle, shade in zip(camera.project(body.triangles[facing]), light[facing], strict=True):
        _fill(triangle, np.minimum(body.colour * shade, 1.0), image, depth)
    for start, end in camera.project(body.edges):
        _line(start, end, body.colour * EDGE_SHADE, image, depth)


def _fill(triangle: np.ndarray, colour: np.ndarray, image: np.ndarray, depth: np.ndarray) -> None:
    """Pixels whose centre lies in the triangle and is nearer than what is there."""
    low = np.maximum(np.floor(triangle[:, :2].min(axis=0)).astype(int), 0)
    high = np.minimum(np.ceil(triangle[:, :2].max(axis=0)).astype(int), [image.shape[1], image.shape[0]])
    if (high <= low).any():
        return
    (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) = triangle
    area = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    if abs(area) < 1e-9:
        return
    x = np.arange(low[0], high[0])[None, :] + 0.5
    y = np.arange(low[1], high[1])[:, None] + 0.5
    b = ((x - x0) * (y2 - y0) - (x2 - x0) * (y - y0)) / area
    c = ((x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)) / area
    z = z0 + b * (z1 - z0) + c * (z2 - z0)
    window = (slice(low[1], high[1]), slice(low[0], high[0]))
    hit = (b >= -1e-6) & (c >= -1e-6) & (b + c <= 1 + 1e-6) & (z > depth[window])
    depth[window][hit] = z[hit]
    image[window][hit] = colour


def _line(
    start: np.ndarray, end: np.ndarray, colour: np.ndarray, image: np.ndarray, depth: np.ndarray
) -> None:
    """A line FINER - 1 pixels wide where no face lies more than a little before it."""
    count = int(np.abs(end - start)[:2].max()) + 1
    points = start + (end - start) * np.linspace(0, 1, count + 1)[:, None]
    for dx, dy in np.ndindex(FINER - 1, FINER - 1):
        x, y = points[:, 0].astype(int) + dx, points[:, 1].astype(int) + dy
        inside = (x >= 0) & (y >= 0) & (x < image.shape[1]) & (y < image.shape[0])
        x, y, z = x[inside], y[inside], points[inside, 2]
        shown = z > depth[y, x] - 3.0 * FINER
        image[y[shown], x[shown]] = colour
        depth[y[shown], x[shown]] = np.maximum(depth[y[shown], x[shown]], z[shown])


def png(pixels: np.ndarray) -> bytes:
    """A true-colour PNG (RFC 2083), every row predicted from the one above."""
    height, width, _ = pixels.shape
    above = np.concatenate([np.zeros_like(pixels[:1]), pixels[:-1]])
    rows = (pixels.astype(np.int16) - above).astype(np.uint8).reshape(height, -1)
    data = b"".join(b"\x02" + row.tobytes() for row in rows)
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(data, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, body) for kind, body in chunks)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


if __name__ == "__main__":
    main()
