#!/usr/bin/env python3
"""Writes the plan cases that lie beside it and name it as their source.

Another way than the engine's: depths are searched by bisection on one forward
model of plain distances (testdata/published/independent.py), one move after the
other as a person with a calculator would; there is no programme to be solved.

    python3 independent_plans.py
"""
import json
import math
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "published"))
from independent import Crank, bisect, deg, rad  # noqa: E402

SOURCE = {"kind": "independent", "how": "bisection on a slider-crank of plain distances, independent_plans.py beside this file"}
TOLERANCE = {"deg": 0.001, "mm": 0.0005, "ratio": 0.001, "cc": 0.0005}


class Engine:
    def __init__(self, bore, stroke, rod, squish, chamber, exhaust, transfers, intake, band=None, offset=0.0):
        self.crank = Crank(stroke, rod, offset)
        self.bore, self.stroke, self.rod, self.band, self.offset = bore, stroke, rod, band, offset
        self.squish, self.vc = squish, chamber
        self.ex, self.tr, self.inn = (self.crank.travel(rad(exhaust)), [self.crank.travel(rad(t)) for t in transfers],
                                      self.crank.travel(rad(intake)))

    def after(self, lower=0.0, band=0.0, roof=0.0, transfer=None, floor=0.0):
        area = math.pi * self.bore ** 2 / 4
        e = Engine.__new__(Engine)
        e.__dict__.update(self.__dict__)
        e.ex = self.ex + lower - roof
        e.tr = [x + lower - t for x, t in zip(self.tr, transfer or [0.0] * len(self.tr))]
        e.inn = self.inn + lower + floor
        e.squish = self.squish - lower + band
        ring = math.pi * (self.bore ** 2 - (self.bore - 2 * (self.band or 0)) ** 2) / 4
        e.vc = self.vc - area * lower / 1000 + ring * band / 1000
        return e

    exhaust = property(lambda s: deg(s.crank.down(s.ex)))
    first = property(lambda s: min(deg(s.crank.down(x)) for x in s.tr))
    intake = property(lambda s: deg(s.crank.up(s.inn)))
    blowdown = property(lambda s: s.first - s.exhaust)
    exhaust_open = property(lambda s: deg(s.crank.up(s.ex)) - s.exhaust)
    intake_open = property(lambda s: 360 - s.intake + deg(s.crank.down(s.inn)))
    swept = property(lambda s: math.pi * s.bore ** 2 / 4 * s.crank.travel(s.crank.bdc - s.crank.tdc) / 1000)
    geometric = property(lambda s: (s.swept + s.vc) / s.vc)
    trapped = property(lambda s: (math.pi * s.bore ** 2 / 4 * s.ex / 1000 + s.vc) / s.vc)

    def build(self):
        """The engine as a build file, read without error."""
        names = ["transfer"] if len(self.tr) == 1 else ["transfer left", "transfer right"]
        windows = [("exhaust", "exhaust", self.ex, False)] + [(n, "transfer", x, False) for n, x in zip(names, self.tr)] + [("intake", "intake", self.inn, True)]
        readings = []
        for name, _, x, skirt in windows:
            down, up = round(deg(self.crank.down(x)), 9), round(deg(self.crank.up(x)), 9)
            opens, closes = (up, down) if skirt else (down, up)
            readings += [{"window": name, "event": "opens", "value": opens}, {"window": name, "event": "closes", "value": closes}]
        engine = {"bore_mm": self.bore, "stroke_mm": self.stroke, "rod_mm": self.rod, "intake": "piston_port", "base_gasket_mm": 0.5, "squish_mm": [self.squish], "chamber_cc": self.vc}
        if self.band:
            engine["squish_band_width_mm"] = self.band
        stops = [340, 20]
        if self.offset:
            engine["pin_offset_mm"] = self.offset
            x = 4.0
            stops = [round(deg(self.crank.up(x)), 9), round(deg(self.crank.down(x)), 9)]
        return {"format": "portwright-build", "version": 1, "name": "check", "engine": engine,
                "windows": [{"name": n, "kind": k} for n, k, _, _ in windows], "wheel": {"numbering": "0-360", "numbers": "rise", "step_deg": 0.5},
                "passes": [{"name": "as received", "cylinder": 1, "stops": [{"when": "before", "near": "tdc", "readings": stops}], "readings": readings}]}


def write(name, what, engine, more, expect):
    build = engine.build()
    build.update(more)
    case = {"case": name, "what": what, "source": SOURCE, "command": "plan", "build": build, "expect": expect, "tolerance": TOLERANCE}
    with open(os.path.join(HERE, name + ".json"), "w", encoding="utf-8") as f:
        json.dump(case, f, indent=1)
        f.write("\n")
    print(name)


def by(move, amount, window=None):
    m = {"move": move, "by_mm": round(amount, 6)}
    return {**m, "window": window} if window else m


def main():
    a = Engine(48, 34, 60, 1.0, 6.0, 100, [122], 75, band=9)
    # Blowdown of 24 by the exhaust's roof alone.
    u = bisect(lambda u: a.after(roof=u).blowdown - 24, 0, 2)
    write("plan_blowdown", "blowdown 24 with nothing but the exhaust roof", a, {"targets": {"blowdown_deg": 24}, "moves_allowed": {"exhaust_roof_mm": {}}},
          {"status": "solved", "moves": [by("exhaust_roof", u, "exhaust")], "after": {"blowdown_deg": 24, "exhaust_opens_deg": a.after(roof=u).exhaust, "transfer_opens_deg": 122}, "missed": []})
    # Squish by a base cut, then exhaust duration and blowdown by both roofs.
    low = 0.45
    x = bisect(lambda u: a.after(lower=low, roof=u).exhaust_open - 164, 0, 3)
    t = bisect(lambda t: a.after(lower=low, roof=x, transfer=[t]).blowdown - 22, 0, 3)
    end = a.after(lower=low, roof=x, transfer=[t])
    write("plan_three_targets", "squish 0.55 by the base, exhaust open for 164 and blowdown 22 by both roofs", a,
          {"targets": {"squish_mm": 0.55, "exhaust_duration_deg": 164, "blowdown_deg": 22}, "moves_allowed": {"base_cut_mm": {"max": 0.8}, "exhaust_roof_mm": {"max": 3}, "transfer_roof_mm": {"max": 3}}},
          {"status": "solved", "moves": [by("base_cut", low), by("exhaust_roof", x, "exhaust"), by("transfer_roof", t, "transfer")],
           "after": {"squish_mm": 0.55, "exhaust_duration_deg": 164, "blowdown_deg": 22, "intake_opens_deg": end.intake, "chamber_cc": end.vc, "geometric_ratio": end.geometric, "trapped_ratio": end.trapped}, "missed": []})
    # The trapped ratio up to 8.2 by a base cut; the exhaust goes later with it.
    d = bisect(lambda d: a.after(lower=d).trapped - 8.2, 0, 0.8)
    write("plan_trapped_ratio", "trapped ratio 8.2 by a base cut", a, {"targets": {"trapped_ratio": 8.2}, "moves_allowed": {"base_cut_mm": {"max": 0.8}}},
          {"status": "solved", "moves": [by("base_cut", d)], "after": {"trapped_ratio": 8.2, "squish_mm": 1 - d, "exhaust_opens_deg": a.after(lower=d).exhaust, "geometric_ratio": a.after(lower=d).geometric}, "missed": []})
    # Drop and re-squish: base and the same off the band.
    end = a.after(lower=0.5, band=0.5)
    write("what_if_drop_and_band", "base and band cut by the same: squish as it was, everything else moved", a,
          {"moves": [by("base_cut", 0.5), by("band_cut", 0.5)]},
          {"status": "what_if", "after": {"squish_mm": 1, "chamber_cc": end.vc, "geometric_ratio": end.geometric, "trapped_ratio": end.trapped, "exhaust_opens_deg": end.exhaust, "intake_opens_deg": end.intake, "intake_duration_deg": end.intake_open}})
    # The exhaust's duration limit stops the roof short of the target.
    x = bisect(lambda u: a.after(roof=u).exhaust_open - 163, 0, 3)
    write("plan_limited_by_duration", "exhaust 96 wanted, at most 163 degrees allowed", a,
          {"targets": {"exhaust_opens_deg": 96}, "moves_allowed": {"exhaust_roof_mm": {"max": 3}}, "limits": {"exhaust_duration_max_deg": 163}},
          {"status": "limited", "moves": [by("exhaust_roof", x, "exhaust")], "after": {"exhaust_opens_deg": a.after(roof=x).exhaust, "exhaust_duration_deg": 163}, "missed": ["exhaust_opens_deg"], "binding": ["exhaust_duration_max_deg"]})
    # An offset engine: durations are no mirror of the openings.
    o = Engine(48, 34, 60, 1.0, 6.0, 100.29444, [122.40241, 124], 75.17335, band=5, offset=1.0)
    x = bisect(lambda u: o.after(roof=u).exhaust_open - 166, 0, 3)
    level = [0.0, bisect(lambda t: deg(o.crank.down(o.tr[1] - t)) - deg(o.crank.down(o.tr[0])), 0, 2)]
    f = bisect(lambda f: o.after(floor=f).intake_open - 154, 0, 3)
    end = o.after(roof=x, transfer=level, floor=f)
    write("plan_offset_and_uneven", "offset 1 mm: exhaust open for 166, the later transfer levelled with the earlier, intake open for 154", o,
          {"targets": {"exhaust_duration_deg": 166, "transfer_opens_deg": round(deg(o.crank.down(o.tr[0])), 9), "intake_duration_deg": 154},
           "moves_allowed": {"exhaust_roof_mm": {}, "transfer_roof_mm": {}, "intake_floor_mm": {}}},
          {"status": "solved", "moves": [by("exhaust_roof", x, "exhaust"), by("transfer_roof", level[1], "transfer right"), by("intake_floor", f, "intake")],
           "after": {"exhaust_duration_deg": 166, "exhaust_opens_deg": end.exhaust, "transfer_opens_deg": end.first, "intake_duration_deg": 154, "intake_opens_deg": end.intake}, "missed": []})
    # Contradiction: squish at least 1.1 as it is 1.0, and nothing that raises the cylinder.
    write("plan_contradiction", "squish limit above what is there, and only moves that lower", a,
          {"targets": {"exhaust_opens_deg": 98}, "moves_allowed": {"base_cut_mm": {"max": 0.5}}, "limits": {"squish_min_mm": 1.1}},
          {"status": "impossible", "moves": [], "binding": ["squish_min_mm", "no_metal_back"]})


if __name__ == "__main__":
    main()
