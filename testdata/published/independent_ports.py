#!/usr/bin/env python3
"""Writes port_, chamber_ and timearea_independent.json beside it.

Another way than the engine's: openings are drawn as outlines and cut into thin
rows whose widths are added up, angles are stepped through, the peak of the
squish velocity is searched step by step on volumes, not on a formula. Nothing
is integrated in closed form. Values that an earlier Python/SciPy computation
had given must agree to every digit shown, or nothing is written.

    python3 independent_ports.py
"""
import math

import independent
from independent import Crank, EXACT, ROWS, bisect, deg, inputs, rad, row, slope

HOW = "Python, outlines cut into rows and angles stepped through"
HOW_TOO = HOW + "; agrees with an earlier Python/SciPy computation"


def how(scipy):
    return HOW_TOO if scipy else HOW


class Outline:
    """An opening as two curves over the distance from its middle."""

    def __init__(self, chord, height, top=0.0, bottom=0.0, arch=0.0, bridges=0, bridge=0.0):
        self.w, self.h, self.rb = chord / 2, height, bottom
        clear = (chord - bridges * bridge) / (bridges + 1)  # each of the openings that the bridges leave
        self.bars = [(-chord / 2 + (clear + bridge) * (i + 1) - bridge / 2, bridge / 2) for i in range(bridges)]
        self.R = (self.w ** 2 + arch ** 2) / (2 * arch) if arch else None
        self.rt, self.cx = top, self.w - top
        # The corner's circle sinks until it touches the roof in one point.
        def gap(cy):  # least clearance between the corner's circle and the roof
            return min(cy - math.sqrt(max(top ** 2 - (s - self.cx) ** 2, 0)) - self.plain(s)
                       for s in [self.cx + top * i / 4000 * (self.w - self.cx) / max(top, 1e-12) for i in range(-4000, 4001)] if abs(s) <= self.w)
        if not top:
            self.cy = None
        elif not arch:
            self.cy = top
        else:
            self.cy = bisect(gap, top, top + height)

    def plain(self, s):
        return 0.0 if self.R is None else self.R - math.sqrt(self.R ** 2 - s * s)

    def inside(self, s, y):
        a = abs(s)
        if a > self.w or y < self.plain(s) or y > self.h or any(abs(s - c) < b for c, b in self.bars):
            return False
        if self.rt and a > self.cx and y < self.cy:  # beyond the touching point the circle cuts the corner off
            dx, dy = a - self.cx, y - self.cy
            touch = 0.0 if self.R is None else math.atan2(self.cx, self.R - self.cy)
            if math.atan2(dx, -dy) > touch and math.hypot(dx, dy) > self.rt:
                return False
        if self.rb and a > self.w - self.rb and y > self.h - self.rb and math.hypot(a - self.w + self.rb, y - self.h + self.rb) > self.rb:
            return False
        return True

    def width(self, y):
        """Clear width at a depth: bridges taken off the span, whose end is found by bisection."""
        if not self.touches(y):
            return 0.0
        lo, hi = 0.0, self.w
        bars, self.bars = self.bars, []
        if self.inside(hi, y):
            end = hi
        else:
            for _ in range(60):
                mid = (lo + hi) / 2
                lo, hi = (mid, hi) if self.inside(mid, y) else (lo, mid)
            end = lo
        self.bars = bars
        lost = sum(max(0.0, min(c + b, end) - max(c - b, -end)) for c, b in bars)
        return 2 * end - lost

    def touches(self, y):
        return 0 < y < self.h


def table(outline, n):
    """Area down to each of n depths: rows counted at their middle depth."""
    step = outline.h / n
    out = [0.0]
    for i in range(n):
        out.append(out[-1] + outline.width((i + 0.5) * step) * step)
    return out


def areas():
    file = "port"
    for c, alpha, ratio in [(0.50, "60.0000", "1.047198"), (0.62, "76.6323", "1.078617"), (0.65, "81.0832", "1.088591"), (0.70, "88.8540", "1.107711"), (0.75, "97.1808", "1.130749")]:
        bore = 48.0
        half = bisect(lambda a: bore / 2 * math.sin(a) - c * bore / 2, 0, math.pi / 2)
        n = 20000  # the arc as a many-sided line
        arc = n * 2 * bore / 2 * math.sin(half / n)
        row(file, f"chord-{c}", f"a chord of {c} bores", "port.Chord", {"bore_mm": bore, "chord_mm": c * bore},
            {"angle_deg": deg(2 * half), "arc_mm": arc, "sagitta_mm": bore / 2 * (1 - math.cos(half)), "ratio": arc / (c * bore)}, 1e-6, "a line of 20000 sides is short by 1e-9",
            {"angle_deg": alpha, "ratio": ratio}, how(True))
    for arc, chord in [(30, "28.0847"), (36, "32.7187")]:
        row(file, f"arc-{arc}", f"{arc} mm along a 48 mm bore", "port.ChordOf", {"bore_mm": 48, "arc_mm": arc}, {"chord_mm": 48 * math.sin(arc / 48)}, 1e-9, EXACT, {"chord_mm": chord}, how(True))
    rounded = table(Outline(30, 11, 4, 3), 22000)
    for u, text in [(0.5, "12.308047"), (1, "25.626494"), (2, "53.826958"), (4, "113.132741"), (6, "173.132741"), (8, "233.132741"), (9, "263.019701"), (10, "292.172426"), (11, "319.269908")]:
        a = rounded[int(round(u * 2000))]
        if abs(a - float(text)) > 2e-5:
            raise SystemExit(f"area at {u}: {a}, the earlier computation gave {text}")
        row(file, f"rounded-{u}", f"30 x 11 with corners 4 and 3, open {u} mm", "port.Area",
            {"chord_mm": 30, "height_mm": 11, "corner_top_mm": 4, "corner_bottom_mm": 3, "depth_mm": u}, {"area_mm2": float(text)}, 1e-6,
            "six decimals of the earlier computation", None, HOW_TOO)
    for name, given in [("arched", dict(chord=30, height=12, top=4, bottom=3, arch=3)), ("arched, one bridge", dict(chord=34, height=14, top=5, bottom=4, arch=2, bridges=1, bridge=3)),
                        ("two bridges", dict(chord=30, height=10, top=2, bottom=2, bridges=2, bridge=2)), ("half round", dict(chord=20, height=16, arch=10)),
                        ("nearly flat", dict(chord=30, height=11, top=4, bottom=3, arch=0.05))]:
        count = 12000
        t = table(Outline(**given), count)
        for share in (0.05, 0.2, 0.5, 0.95, 1):
            k = round(share * count)
            row(file, f"{name.replace(', ', '-').replace(' ', '-')}-{share}", f"{name}, {share} of the height open", "port.Area",
                {"chord_mm": given["chord"], "height_mm": given["height"], "corner_top_mm": given.get("top", 0), "corner_bottom_mm": given.get("bottom", 0),
                 "arch_mm": given.get("arch", 0), "bridges": given.get("bridges", 0), "bridge_mm": given.get("bridge", 0), "depth_mm": given["height"] * k / count},
                {"area_mm2": t[k]}, 2e-3, "12000 rows, and the corner's touching point is found to a thousandth of its radius", None, HOW)


class Case:
    def __init__(self, crank, outline, travel, skirt=False, n=4000):
        self.m, self.o, self.x, self.skirt = crank, outline, travel, skirt
        self.t = table(outline, n)
        self.n = n

    def open(self, a):
        x = self.m.travel(a)
        u = (self.x - x) if self.skirt else (x - self.x)
        u = min(max(u, 0), self.o.h)
        if self.skirt:
            return self.t[-1] - self.at(self.o.h - u)
        return self.at(u)

    def at(self, u):
        k = min(u / self.o.h * self.n, self.n - 1e-9)
        i = int(k)
        return self.t[i] + (k - i) * (self.t[i + 1] - self.t[i])

    def sum(self, a, b, steps=8000):
        h = (b - a) / steps
        return sum(self.open(rad(a + (i + 0.5) * h)) for i in range(steps)) * h


def timeareas():
    file = "timearea"
    m = Crank(34, 60)
    vs = math.pi * 48 * 48 / 4 * 34 / 1000
    xe, xt, xi = m.travel(rad(100)), m.travel(rad(122)), m.travel(rad(75))
    why = "steps of 0.02 degree and rows of 0.003 mm"
    for name, outline, x, skirt, span, blow, whole, sta, part in [
        ("exhaust", Outline(30, 11.664944, 4, 3), xe, False, (100, 260), 122, "35903.617", "0.0108067", "1742.4740"),
        ("exhaust-square", Outline(30, 11.664944), xe, False, (100, 260), 122, "37089.341", "0.0111636", "1870.8364"),
        ("transfer-square", Outline(36, 6.233586), xt, False, (122, 238), None, "17335.849", "0.00521795", None),
        ("intake-square", Outline(26, 14.890811), xi, True, (-75, 75), None, "36848.189", "0.0110910", None),
    ]:
        c = Case(m, outline, x, skirt)
        theta = c.sum(*span)
        given = inputs(34, 60, 0, chord_mm=2 * outline.w, height_mm=outline.h, corner_top_mm=outline.rt, corner_bottom_mm=outline.rb, edge_at_deg=abs(span[0]), skirt=skirt)
        check(name, theta, whole, 3e-6)
        row(file, f"angle-area-{name}", f"angle-area of the {name.replace('-', ', ')} window", "timearea.AngleArea", given, {"area_mm2_deg": float(whole)}, 2e-3, "three decimals; " + why, None, HOW_TOO)
        check(name, theta / (6 * 9000) * 1e-6 / (vs * 1e-6), sta, 1e-5)
        row(file, f"specific-{name}", f"specific time-area of it at 9000 rpm", "timearea.Specific", {"area_mm2_deg": float(whole), "speed_rpm": 9000, "displacement_cc": vs},
            {"sta_s_per_m": float(whole) / 54000 / vs}, 1e-9, EXACT, {"sta_s_per_m": sta}, how(True))
        if part:
            b = c.sum(span[0], blow, 4000)
            check(name + " blowdown", b, part, 2e-5)
            row(file, f"blowdown-{name}", f"blowdown part of it, until 122 degrees", "timearea.Blowdown", {**given, "transfer_opens_deg": 122}, {"area_mm2_deg": float(part)}, 1e-3, why, None, HOW_TOO)
    for name, given in [("arched-bridged", dict(chord=34, height=12, top=4, bottom=3, arch=2, bridges=1, bridge=3))]:
        o = Outline(**given)
        c = Case(Crank(54, 105), o, Crank(54, 105).travel(rad(88)))
        row(file, f"angle-area-{name}", "angle-area of an arched exhaust with a bridge, stroke 54, rod 105, opening at 88", "timearea.AngleArea",
            inputs(54, 105, 0, chord_mm=34, height_mm=12, corner_top_mm=4, corner_bottom_mm=3, arch_mm=2, bridges=1, bridge_mm=3, edge_at_deg=88, skirt=False),
            {"area_mm2_deg": c.sum(88, 272)}, 1.5, "rows of 0.003 mm, the corner's touching point to a thousandth of its radius", None, HOW)
    strip = 0.0
    for i in range(30000):  # Overmars: 40 mm wide, a mm per degree, 30 degrees
        strip += 40 * (i + 0.5) / 1000 * 0.001
    row(file, "strips", "40 mm wide, opening by a mm a degree for 30 degrees", "timearea.Strips", {"chord_mm": 40, "rate_mm_per_deg": 1, "angle_deg": 30}, {"area_mm2_deg": strip}, 1e-6, EXACT, {"area_mm2_deg": "18000.0"}, how(True))


def check(name, value, text, share):
    if abs(value - float(text)) > share * abs(float(text)):
        raise SystemExit(f"{name}: {value!r}, the earlier computation gave {text}")


def chambers():
    file = "chamber"
    bore, stroke = 48.0, 34.0
    m = Crank(34, 60)
    n = 4000  # areas as polygons of many sides
    disc = lambda d: n * 2 * (d / 2) ** 2 * math.sin(math.pi / n) * math.cos(math.pi / n)
    polygon = "a polygon of 4000 sides is short by 4e-7 of the area"
    for w, text in zip((4, 5, 6, 7, 8, 9), ("0.305556", "0.373264", "0.437500", "0.498264", "0.555556", "0.609375")):
        row(file, f"band-{w}", f"a band of {w} mm in a 48 mm bore", "chamber.BandShare", {"bore_mm": bore, "band_mm": w}, {"share": (disc(bore) - disc(bore - 2 * w)) / disc(bore)}, 1e-8, EXACT, {"share": text}, how(True))
    row(file, "band-area", "a band of 9 mm in a 48 mm bore", "chamber.BandArea", {"bore_mm": bore, "band_mm": 9}, {"area_mm2": math.pi * (bore ** 2 - 30 ** 2) / 4}, 1e-9, EXACT, {"area_mm2": "1102.70"}, how(True))
    vs = math.pi * bore * bore / 4 * stroke / 1000
    xe = m.travel(rad(100))
    for vc, full, old in [(5, "13.304990", "5.221677"), (5.5, "12.186355", "4.837888"), (6, "11.254158", "4.518064"), (6.5, "10.465377", "4.247444")]:
        # The earlier trapped ratio took the volume below exhaust closing; above it lies x_E of the stroke.
        above = math.pi * bore * bore / 4 * xe / 1000
        check("below", (vs - above + vc) / vc, old, 1e-6)
        row(file, f"ratios-{vc}", f"ratios with {vc} cc, exhaust closing at 260", "chamber.Ratios", {**inputs(34, 60, 0), "bore_mm": bore, "clearance_cc": vc, "exhaust_opens_deg": 100},
            {"geometric_ratio": (vs + vc) / vc, "trapped_ratio": (above + vc) / vc}, 1e-9, EXACT, {"geometric_ratio": full}, how(True))
        row(file, f"clearance-{vc}", "the volume for such a ratio", "chamber.ClearanceFor", {"ratio": (vs + vc) / vc, "displacement_cc": vs}, {"clearance_cc": vc}, 1e-9, EXACT, None, HOW)
    for ccr, text in [(1.3, "205.083"), (1.4, "153.812"), (1.5, "123.050")]:
        v = bisect(lambda v: (v + vs) / v - ccr, 1, 1000)
        row(file, f"crankcase-{ccr}", f"case volume for a crankcase ratio of {ccr}", "chamber.Crankcase", {"ratio": ccr, "displacement_cc": vs}, {"crankcase_cc": v, "back_ratio": ccr}, 1e-8, EXACT, {"crankcase_cc": text}, how(True))
    for name, (b, s, rod, d, z0, vc, rpm), speed, at in [
        ("34-60-1.0", (48, 34, 60, 30, 1.0, 6.0, 9000), "20.6662", "12.7756"), ("34-60-0.5", (48, 34, 60, 30, 0.5, 6.0, 9000), "38.7005", "10.0737"),
        ("54-110-0.8", (54, 54, 110, 38.18, 0.8, 8.8, 11000), "34.1786", "9.8189"), ("54-110-1.7", (54, 54, 110, 38.18, 1.7, 8.8, 11000), "14.7553", "12.5074"),
    ]:
        c = Crank(s, rod)
        ap, ab = math.pi * b * b / 4, math.pi * (b * b - d * d) / 4
        bowl = vc * 1000 - ap * z0
        share = lambda a: ab * (z0 + c.travel(a)) / (ap * (z0 + c.travel(a)) + bowl)  # of the charge in the band
        def flow(before):  # what leaves the band by mass balance, over the rim's area
            a = -rad(before)
            rate = -slope(share, a, 1e-3) * rpm / 60 * 2 * math.pi  # of the charge, per second
            z = z0 + c.travel(a)
            return rate * (ap * z + bowl) / (math.pi * d * z) / 1000
        lo, hi = 1.0, 40.0
        for _ in range(80):
            p, q = lo + (hi - lo) / 3, hi - (hi - lo) / 3
            lo, hi = (p, hi) if flow(p) < flow(q) else (lo, q)
        row(file, f"squish-velocity-{name}", f"bore {b}, bowl {d}, gap {z0}, {vc} cc at {rpm} rpm", "chamber.SquishVelocity",
            {**inputs(s, rod, 0), "bore_mm": b, "band_mm": (b - d) / 2, "squish_mm": z0, "clearance_cc": vc, "speed_rpm": rpm},
            {"speed_m_per_s": flow(lo), "before_tdc_deg": lo}, {"speed_m_per_s": 1e-6, "before_tdc_deg": 1e-3}, "mass balance by differences; a flat peak gives its place less sharply",
            {"speed_m_per_s": speed, "before_tdc_deg": at}, "Python, charge in the band by mass balance and differences; agrees with an earlier Python/SciPy computation")
    for lower, cut, vc, full, old in [(0.5, 0, "5.095221", "13.075030", "4.965207"), (0.5, 0.5, "5.646571", "11.895985", "4.578031")]:
        v = 6 - math.pi * bore ** 2 / 4 * lower / 1000 + math.pi * (bore ** 2 - 30 ** 2) / 4 * cut / 1000
        row(file, f"drop-and-cut-{cut}", f"lowered by {lower}, a 9 mm band cut by {cut}", "chamber.Moved", {"bore_mm": bore, "stroke_mm": stroke, "band_mm": 9, "clearance_cc": 6, "lower_mm": lower, "band_cut_mm": cut},
            {"clearance_cc": v, "geometric_ratio": (vs + v) / v}, 1e-9, EXACT, {"clearance_cc": vc, "geometric_ratio": full}, how(True))


def speeds():
    file = "chamber"
    for stroke, rpm, text in [(34, 9000, "10.2000"), (34, 13500, "15.3000"), (34, 14000, "15.8667"), (34, 10000, "11.3333")]:
        row(file, f"mean-speed-{rpm}", f"mean piston speed, stroke {stroke} at {rpm} rpm", "crank.MeanSpeed", {"stroke_mm": stroke, "speed_rpm": rpm},
            {"speed_m_per_s": stroke / 1000 / (0.5 / (rpm / 60))}, 1e-9, EXACT, {"speed_m_per_s": text}, "Python, a stroke over half a turn's time; agrees with an earlier Python/SciPy computation")
    m = Crank(34, 60)
    for rpm, text in [(9000, "19379.0"), (13500, "43602.7"), (14000, "46892.3")]:
        w = rpm / 60 * 2 * math.pi
        row(file, f"top-accel-{rpm}", f"piston acceleration at TDC at {rpm} rpm", "crank.TopAccel", inputs(34, 60, 0, speed_rpm=rpm),
            {"accel_m_per_s2": independent.bend(m.travel, 0.0, 1e-2) * w * w / 1000}, 1e-2, "differences of positions carry 7 digits", {"accel_m_per_s2": text})


def main():
    for part in (areas, timeareas, chambers, speeds):
        part()
    independent.write({"title": "independent_ports.py"})


if __name__ == "__main__":
    main()
