"""Sheets for the tests of assembly, each as small as its subject lets it be."""

from __future__ import annotations

COVER = """
unit = "in"
source = "Invented handbook"
[[component]]
id = "body"
[[component]]
id = "cover"
[[component]]
id = "gasket"
renew = true
[[fasteners]]
tag = "N"
name = "Cover nuts"
order = ["1", "3", "2", "4"]
holds = ["body", "cover", "gasket"]
stages = [{ limits = "16..18 lbf*ft", source = "p. 34" }]
lock = "tab washer"
prove = ["SPIN"]
spends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }
caution = "The cover is spring loaded: keep a hand on it."
[[proof]]
tag = "SPIN"
text = "Turns freely by hand through two turns"
when = ["N"]
"""
"""One set of nuts that clamps a cover, locked by tab washers after a proof."""

CRANK = """
unit = "mm"
source = "Invented handbook"
moments = ["handover", "first run", "50 h"]
[axes]
main = ["1", "2", "3"]
throw = ["1", "2"]
[[component]]
id = "block"
[[component]]
id = "crank"
[[component]]
id = "cap"
positions = "main"
keep = "block"
[[component]]
id = "rod"
positions = "throw"
[[component]]
id = "rcap"
positions = "throw"
keep = "rod"
[[feature]]
tag = "MB"
of = ["block", "cap"]
when = ["M"]
nominal = "60.040"
[[feature]]
tag = "MJ"
of = "crank"
positions = "main"
nominal = "59.990"
[[feature]]
tag = "EF"
of = ["crank", "block"]
positions = ""
when = ["M"]
[[size]]
id = "u50"
nominal = { MJ = "59.490" }
[[fit]]
tag = "MC"
stack = "MB - MJ"
band = { limits = "0.030..0.070 mm", source = "p. 12" }
[[fit]]
tag = "EFL"
stack = "EF"
band = { limits = "0.08..0.20 mm", source = "p. 12" }
[[fasteners]]
tag = "M"
name = "Main cap bolts"
positions = "main"
order = ["a", "b"]
holds = ["crank", "cap"]
stages = [
  { limits = "30 N*m", source = "p. 14" },
  { limits = "58..62 N*m", source = "p. 14" },
  { limits = "60..65 degree", source = "p. 14" },
]
[[fasteners]]
tag = "R"
name = "Big end bolts"
positions = "throw"
count = 2
holds = ["rod", "rcap", "crank"]
stages = [{ limits = "34..38 N*m", source = "p. 14" }]
spends = { tight = { "rod bolt" = 2 } }
[[proof]]
tag = "TURN"
text = "Crank turns by hand with this cap tight"
positions = "main"
when = ["M"]
[[proof]]
tag = "FLOAT"
fit = "EFL"
when = ["M"]
[[proof]]
tag = "MARKS"
text = "Rod and cap numbers on one side"
positions = "throw"
hand = "another"
when = ["R"]
[[step]]
id = "crank-out"
text = "Crank out"
phase = "strip"
leaves = { M = "removed" }
caution = "The crank is heavy and pinches."
[[step]]
id = "crank-in"
text = "Crank and mains"
leaves = { M = "tight" }
hold = ["TURN", "FLOAT"]
[[step]]
id = "rods"
text = "Rods and caps to their own throws"
positions = "throw"
after = ["crank-in"]
leaves = { R = "tight" }
hold = ["MARKS"]
[[step]]
id = "retorque"
text = "Big end bolts checked again"
after = ["rods"]
leaves = { R = "tight" }
due = "50 h"
"""
"""Mains in three stages at three positions, rods on one-use bolts, proofs and steps."""
