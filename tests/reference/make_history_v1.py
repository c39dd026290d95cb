"""Writes history-v1.jsonl: two lines of a practice history, version 1, made from the description of the format.

The first line has everything a pass can have, the second only what it must have. The sum is FNV-1a, 64 bits (RFC 9923),
over the bytes of the pass.
"""
import json
from pathlib import Path


def fnv(data: bytes) -> int:
    value = 0xCBF29CE484222325
    for byte in data:
        value = ((value ^ byte) * 0x100000001B3) % 2**64
    return value


def line(passed: dict) -> str:
    body = json.dumps(passed, separators=(",", ":"))
    return '{"v":1,"sum":"%016x","pass":%s}\n' % (fnv(body.encode()), body)


STRIKES = [
    {"hand": "left", "chord": 0, "first": True, "ms": -12.5},
    {"hand": "left", "chord": 1, "first": True, "how": "missed", "not_in_time": True},
    {"hand": "left", "chord": 2, "first": True, "how": "other-position", "not_in_time": True},
]


def bar(number: int, **clean: bool) -> dict:
    return {"bar": number, **clean, "expected": 8, "matched": 7, "extra": 1, "pedal": False, "strikes": STRIKES}


FULL = {
    "at": 1795641120000,
    "zone": 60,
    "song": {"id": "k3v9", "title": 'Weir "and" Lock'},
    "key": "Eb major",
    "speed": 72.0,
    "hands": "left",
    "stopped": True,
    "seconds": 12.5,
    "purpose": "asked-again",
    "help": "numbers",
    "marks": "after",
    "guess": "slips",
    "layout": "".join("%016x" % (2**64 // 7 * n) for n in range(5)),
    "bars": [bar(2, clean=False, clean_in_time=True), bar(3, clean=True)],
}
BARE = {"at": 0, "song": {"title": "Weir"}, "key": "C major", "speed": 100.0}

Path(__file__).with_name("history-v1.jsonl").write_text(line(FULL) + line(BARE))
