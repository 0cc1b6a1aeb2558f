# Drawings by another program, to compare with. Three commands:
#   make DIR   makes DXF files in DIR; prints JSON: file, and of each outline its
#              area, length and box as the other program flattens it
#   audit FILE reads a DXF; prints JSON: errors found, version, unit, counts, box
import json
import math
import os
import sys

import ezdxf
from ezdxf.math import Vec3

FINE = 1e-4


def measure(points):
    pts = [(p[0], p[1]) for p in points]
    if math.dist(pts[0], pts[-1]) > 1e-9:
        pts.append(pts[0])
    area = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(pts, pts[1:])) / 2
    length = sum(math.dist(a, b) for a, b in zip(pts, pts[1:]))
    xs, ys = [p[0] for p in pts], [p[1] for p in pts]
    return {"area": abs(area), "length": length, "low": [min(xs), min(ys)], "high": [max(xs), max(ys)]}


def flat(e):
    """Points along an entity in the coordinates of the drawing."""
    kind = e.dxftype()
    if kind == "LINE":
        return [e.dxf.start, e.dxf.end]
    if kind in ("ARC", "CIRCLE", "ELLIPSE", "SPLINE"):
        return list(e.flattening(FINE))
    raise ValueError(kind)


def chain(entities):
    """Points along entities that follow each other, whichever way each runs."""
    rows = [flat(e) for e in entities]
    pts = rows[0]
    if len(rows) > 1 and min(pts[0].distance(rows[1][0]), pts[0].distance(rows[1][-1])) < min(
        pts[-1].distance(rows[1][0]), pts[-1].distance(rows[1][-1])
    ):
        pts.reverse()
    for row in rows[1:]:
        if pts[-1].distance(row[0]) > pts[-1].distance(row[-1]):
            row.reverse()
        pts.extend(row)
    return pts


def make(directory):
    said = []
    for version in ("R12", "R2000", "R2010", "R2018"):
        doc = ezdxf.new(version)
        doc.header["$INSUNITS"] = 4
        doc.header["$MEASUREMENT"] = 1
        msp = doc.modelspace()
        outlines = []
        spot = [0]

        def at():
            spot[0] += 1
            return 100 * (spot[0] % 6) + 50, 100 * (spot[0] // 6) + 50

        def keep(*entities):
            rows = []
            for e in entities:
                if e.dxftype() in ("POLYLINE", "LWPOLYLINE"):
                    rows.extend(e.virtual_entities())
                else:
                    rows.append(e)
            outlines.append(measure(chain(rows)))

        bulge = math.sqrt(2) - 1
        frame = [(-100, -100, 0), (800, -100, bulge), (900, 0, 0), (900, 800, 0), (-100, 800, -0.05)]
        if version == "R12":
            keep(msp.add_polyline2d(frame, format="xyb", close=True))
        else:
            keep(msp.add_lwpolyline(frame, format="xyb", close=True))

        x, y = at()
        keep(msp.add_circle((x, y), 12.5))
        x, y = at()  # a stadium of four pieces
        keep(
            msp.add_line((x - 20, y - 10), (x + 20, y - 10)),
            msp.add_arc((x + 20, y), 10, -90, 90),
            msp.add_line((x - 20, y + 10), (x + 20, y + 10)),
            msp.add_arc((x - 20, y), 10, 90, 270),
        )
        x, y = at()  # drawn from below: x is turned round
        keep(msp.add_circle((-x, y), 9, dxfattribs={"extrusion": (0, 0, -1)}))
        x, y = at()
        keep(
            msp.add_arc((-x, y), 20, 30, 150, dxfattribs={"extrusion": (0, 0, -1)}),
            msp.add_line((x - 20 * math.cos(math.pi / 6), y + 10), (x + 20 * math.cos(math.pi / 6), y + 10)),
        )
        x, y = at()
        bow = [(-x + 20, y, 0.2), (-x - 20, y - 5, -0.4), (-x, y + 35, 0.1)]
        if version == "R12":
            keep(msp.add_polyline2d(bow, format="xyb", close=True, dxfattribs={"extrusion": (0, 0, -1)}))
        else:
            keep(msp.add_lwpolyline(bow, format="xyb", close=True, dxfattribs={"extrusion": (0, 0, -1)}))

        # Blocks: turned, mirrored, in rows, nested.
        hole = doc.blocks.new("HOLE", base_point=(3, 4))
        hole.add_circle((3, 4), 2)
        tab = doc.blocks.new("TAB")
        tab.add_line((-10, 0), (10, 0))
        tab.add_arc((0, 0), 10, 0, 180)
        both = doc.blocks.new("BOTH")
        both.add_blockref("TAB", (0, 20), dxfattribs={"rotation": 30, "xscale": -1.5, "yscale": 1.5, "zscale": 1.5})
        x, y = at()
        ref = msp.add_blockref("TAB", (x, y), dxfattribs={"rotation": 200})
        keep(*ref.virtual_entities())
        x, y = at()
        ref = msp.add_blockref("BOTH", (x, y), dxfattribs={"rotation": -20, "xscale": -1})
        keep(*[e for r in ref.virtual_entities() for e in r.virtual_entities()])
        x, y = at()
        ref = msp.add_blockref(
            "HOLE", (x - 20, y - 20), dxfattribs={"rotation": 15, "column_count": 3, "row_count": 2, "column_spacing": 15, "row_spacing": 12}
        )
        for r in ref.multi_insert():
            keep(*r.virtual_entities())
        x, y = at()
        ref = msp.add_blockref("HOLE", (-x, y), dxfattribs={"extrusion": (0, 0, -1), "rotation": 40})
        keep(*ref.virtual_entities())

        if version != "R12":
            x, y = at()
            keep(msp.add_ellipse((x, y), (25, 10), 0.4))
            x, y = at()
            arc = msp.add_ellipse((x, y), (30, -5), 0.6, 0.5, 4.0)
            keep(arc, msp.add_line(arc.start_point, arc.end_point))
            x, y = at()
            arc = msp.add_ellipse((x, y), (30, 5), 0.5, 0.2, 2.9, dxfattribs={"extrusion": (0, 0, -1)})
            keep(arc, msp.add_line(arc.start_point, arc.end_point))
            x, y = at()  # a circle stretched by its block
            ref = msp.add_blockref("HOLE", (x, y), dxfattribs={"xscale": 8, "yscale": 5, "rotation": 25})
            keep(*ref.virtual_entities())
            for degree in (2, 3, 5):
                x, y = at()
                pts = [(x - 30, y), (x - 30, y + 30), (x, y + 10), (x + 20, y + 35), (x + 30, y), (x + 10, y - 30), (x + 5, y - 5)]
                s = msp.add_open_spline(pts, degree=degree)
                keep(s, msp.add_line(pts[0], pts[-1]))
                x, y = at()
                pts = [(x + (25 + 6 * (i % 3)) * math.cos(i * math.pi / 6), y + (25 + 6 * (i % 3)) * math.sin(i * math.pi / 6), 0) for i in range(12)]
                s = msp.add_open_spline(pts, degree=degree)
                s.set_closed(pts, degree=degree)
                curve = s.construction_tool()
                low, high = curve.knots()[degree], curve.knots()[len(s.control_points)]
                steps = 20000
                outlines.append(measure([curve.point(low + (high - low) * i / steps) for i in range(steps + 1)]))
            x, y = at()
            pts = [(x - 30, y), (x - 30, y + 30), (x, y + 10), (x + 20, y + 35), (x + 30, y)]
            s = msp.add_rational_spline(pts, [1, 3, 0.5, 2, 1], degree=3)
            keep(s, msp.add_line(pts[0], pts[-1]))

        msp.add_text("flange")
        msp.add_point((0, 0))
        name = os.path.join(directory, version + ".dxf")
        doc.saveas(name)
        said.append({"file": name, "outlines": outlines})
    print(json.dumps(said))


def audit(name):
    doc = ezdxf.readfile(name)
    errors = [e.message for e in doc.audit().errors] + [e.message for e in doc.audit().fixes]
    counts, boxes, open_loops = {}, {}, 0
    for e in doc.modelspace():
        counts[e.dxftype()] = counts.get(e.dxftype(), 0) + 1
        rows = list(e.virtual_entities()) if e.dxftype() == "POLYLINE" else [e]
        if e.dxftype() == "POLYLINE" and not e.is_closed:
            open_loops += 1
        for row in rows:
            m = measure(flat_exact(row))
            box = boxes.setdefault(e.dxf.layer, [m["low"], m["high"]])
            box[0] = [min(a, b) for a, b in zip(box[0], m["low"])]
            box[1] = [max(a, b) for a, b in zip(box[1], m["high"])]
    print(json.dumps({
        "errors": errors, "version": doc.dxfversion, "unit": doc.header.get("$INSUNITS", 0), "measurement": doc.header.get("$MEASUREMENT", -1),
        "extmin": list(doc.header["$EXTMIN"])[:2], "extmax": list(doc.header["$EXTMAX"])[:2],
        "layers": sorted(l.dxf.name for l in doc.layers), "counts": counts, "boxes": boxes, "open": open_loops,
    }))


def flat_exact(e):
    """Points of a line, arc or circle with those where it reaches farthest."""
    if e.dxftype() == "LINE":
        return [e.dxf.start, e.dxf.end]
    c, r = e.dxf.center, e.dxf.radius
    start, end = (0, 360) if e.dxftype() == "CIRCLE" else (e.dxf.start_angle, e.dxf.end_angle)
    span = (end - start) % 360 or 360
    angles = [start, start + span] + [q for q in range(-720, 1081, 90) if start < q < start + span]
    return [Vec3(c.x + r * math.cos(math.radians(a)), c.y + r * math.sin(math.radians(a))) for a in sorted(angles)]


if __name__ == "__main__":
    {"make": make, "audit": audit}[sys.argv[1]](sys.argv[2])
