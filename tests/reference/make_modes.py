#!/usr/bin/env python3
"""Makes modes.json: modes, pentatonic scales, blues and broken chords, spelled by music21 (10.5.1).

    python3 -m venv venv && venv/bin/pip install music21==10.5.1
    venv/bin/python tests/reference/make_modes.py > tests/reference/modes.json
"""

import json

from music21 import interval, key, pitch, scale

MODES = {
    "dorian": (scale.DorianScale, 2),
    "phrygian": (scale.PhrygianScale, 3),
    "lydian": (scale.LydianScale, 4),
    "mixolydian": (scale.MixolydianScale, 5),
    "locrian": (scale.LocrianScale, 7),
}
# Handbook tables; the letters are music21's.
BY_INTERVALS = {
    "major pentatonic": ("major", "P1 M2 M3 P5 M6"),
    "minor pentatonic": ("minor", "P1 m3 P4 P5 m7"),
    "blues": ("minor", "P1 m3 P4 d5 P5 m7"),
}
CHORDS = {
    "major": "P1 M3 P5",
    "minor": "P1 m3 P5",
    "diminished": "P1 m3 d5",
    "augmented": "P1 M3 A5",
    "dominant seventh": "P1 M3 P5 m7",
    "major seventh": "P1 M3 P5 M7",
    "minor seventh": "P1 m3 P5 m7",
    "half-diminished seventh": "P1 m3 d5 m7",
    "diminished seventh": "P1 m3 d5 d7",
}
ROOTS = [letter + sign for letter in "CDEFGAB" for sign in ("", "#", "-")]


def written(p):
    return p.name.replace("-", "b")


def above(tonic, names):
    return [written(interval.Interval(name).transposePitch(tonic)) for name in names.split()]


rows = []
for sharps in range(-7, 8):
    signature = key.KeySignature(sharps)
    for mode, (kind, degree) in MODES.items():
        major = scale.MajorScale(signature.asKey("major").tonic)
        tonic = major.pitchFromDegree(degree)
        notes = [written(p) for p in kind(tonic).getPitches()[:7]]
        rows.append({"scale": f"{written(tonic)} {mode}", "signature": sharps, "notes": notes})
    for name, (mode, intervals) in BY_INTERVALS.items():
        tonic = signature.asKey(mode).tonic
        rows.append({"scale": f"{written(tonic)} {name}", "signature": sharps, "notes": above(tonic, intervals)})
chords = [
    {"chord": f"{written(pitch.Pitch(root))} {kind}", "notes": above(pitch.Pitch(root), intervals)}
    for root in ROOTS
    for kind, intervals in CHORDS.items()
]
lines = ",\n  ".join(json.dumps(row) for row in rows)
more = ",\n  ".join(json.dumps(row) for row in chords)
print(f'{{\n "scales": [\n  {lines}\n ],\n "chords": [\n  {more}\n ]\n}}')
