"""The bare script that `mountgen build` is timed against makes the same mount."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
import trimesh

BENCHMARKS = Path(__file__).parent / "benchmarks"


@pytest.fixture
def bare(monkeypatch):
    monkeypatch.syspath_prepend(BENCHMARKS)
    import bare_build
    import mount_data

    return bare_build, mount_data


def test_solids_of_equal_volume(bare, package):
    from mountgen.kernel.measure import volume

    bare_build, mount_data = bare
    data = mount_data.mount_data("mount", package.study.detail)
    expected = {part["number"]: part["volume_mm3"] for part in package.manifest["parts"]}
    for number, part in json.loads(json.dumps(data))["parts"].items():
        assert volume(bare_build.solid_of(part)) == pytest.approx(expected[number], rel=1e-6), number


def test_the_same_mount_is_written(bare, packages, tmp_path):
    package = packages("seed-cartons")
    data = bare[1].mount_data("mount", package.study.detail)
    (tmp_path / "mount.json").write_text(json.dumps(data))
    script = BENCHMARKS / "bare_build.py"
    subprocess.run(
        [sys.executable, script, tmp_path / "mount.json", tmp_path], check=True, capture_output=True
    )
    ours = trimesh.load_scene(package.folder / "assembly.glb")
    plain = trimesh.load_scene(tmp_path / "assembly.glb")
    assert set(plain.graph.nodes_geometry) >= set(ours.graph.nodes_geometry)
    assert (tmp_path / "assembly.step").stat().st_size > (package.folder / "assembly.step").stat().st_size / 2
