"""What two general readers, trimesh and ezdxf, find in a folder that a check wrote with `--also models,drawings`.

    python3 readers.py FOLDER

Prints one JSON object; judges nothing.
"""

import json
import math
import pathlib
import sys

import ezdxf
import trimesh


def mesh(found):
    """Corners at one place are one corner: files of triangles repeat them."""
    found.merge_vertices(merge_tex=True, merge_norm=True)
    return {
        "closed": bool(found.is_watertight),
        "faces_outward": bool(found.is_winding_consistent and found.volume > 0),
        "volume_m3": float(found.volume),
        "area_m2": float(found.area),
        "farthest_m": float(abs(found.vertices).max()),
        "low_m": found.bounds[0].tolist(),
        "high_m": found.bounds[1].tolist(),
    }


def scene(path):
    """The bodies of a glTF file by the name of their node, and what it says of itself."""
    read = trimesh.load_scene(path)
    bodies = {}
    for node in read.graph.nodes_geometry:
        placed, name = read.graph[node]
        if isinstance(read.geometry[name], trimesh.Trimesh):
            # A body's faces are meshes of their own below it.
            body = read.graph.transforms.parents.get(node, node)
            body = node if body == read.graph.base_frame else body
            bodies.setdefault(body, []).append(read.geometry[name].copy())
    return {
        "units": read.units,
        "bodies": {name: mesh(trimesh.util.concatenate(parts)) for name, parts in bodies.items()},
    }


def drawing(path):
    """Layers, the lines in each, words, and what the reader's own audit says."""
    read = ezdxf.readfile(path)
    space = read.modelspace()
    layers = {}
    for line in space.query("LINE"):
        layer = layers.setdefault(line.dxf.layer, {"lines": 0, "length_m": 0.0, "points": []})
        start, end = line.dxf.start, line.dxf.end
        layer["lines"] += 1
        layer["length_m"] += math.dist(start, end)
        layer["points"] += [[start.x, start.y, start.z], [end.x, end.y, end.z]]
    return {
        "release": read.dxfversion,
        "errors": [str(error) for error in read.audit().errors],
        "layers": layers,
        "declared": sorted(layer.dxf.name for layer in read.layers),
        "words": [[text.dxf.layer, text.plain_text()] for text in space.query("TEXT")],
        "kinds": sorted({entity.dxftype() for entity in space}),
    }


folder = pathlib.Path(sys.argv[1])
print(
    json.dumps(
        {
            "stl": {path.name: mesh(trimesh.load_mesh(path)) for path in sorted((folder / "models").glob("*.stl"))},
            "gltf": scene(folder / "models" / "wedges.glb"),
            "dxf": drawing(folder / "drawings" / "section.dxf"),
        }
    )
)
