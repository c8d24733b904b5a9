#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Stands in for the program under test where the virtual shops are tested themselves: the same verbs and files, and the
simplest correction there is, so many codes a channel. It learns by cells alone and refuses every scan."""

import argparse
import functools
import json
import os
import struct
import sys

RING = [(0, 0, 0), (9, 9, 9), (-9, -9, -9), (8, -4, -4), (-8, 4, 4), (-4, 8, -4), (4, -8, 4), (-4, -4, 8), (4, 4, -8)]
CELL = 240  # Pixels.


def read_tiff(path):
    """Width, height, samples: uncompressed 8-bit RGB whose strips follow one another."""
    data = open(path, "rb").read()
    (at,) = struct.unpack_from("<I", data, 4)
    tags = {}
    for i in range(struct.unpack_from("<H", data, at)[0]):
        tag, kind, count, value = struct.unpack_from("<HHII", data, at + 2 + 12 * i)
        tags[tag] = (kind, count, value if kind == 4 else value & 0xFFFF)
    first = tags[273][2] if tags[273][1] == 1 else struct.unpack_from("<I", data, tags[273][2])[0]
    width, height = tags[256][2], tags[257][2]
    return width, height, data[first : first + width * height * 3]


def write_tiff(path, width, height, samples):
    values = {256: width, 257: height, 259: 1, 262: 2, 277: 3, 278: height, 279: len(samples), 296: 2}
    after = 8 + 2 + 12 * 12 + 4
    values.update({258: after, 273: after + 14, 282: after + 6, 283: after + 6})
    directory = b"".join(
        struct.pack("<HHII", tag, 3 if tag == 258 else 5 if tag in (282, 283) else 4, 3 if tag == 258 else 1, value)
        for tag, value in sorted(values.items())
    )
    with open(path, "wb") as out:
        out.write(b"II*\0" + struct.pack("<IH", 8, 12) + directory + b"\0\0\0\0")
        out.write(struct.pack("<HHHII", 8, 8, 8, 300, 1) + samples)


@functools.cache
def table_of(by):
    """White and black stay."""
    return bytes(min(255, max(0, round(code + by * 4 * code / 255 * (1 - code / 255)))) for code in range(256))


def shifted(samples, shift):
    out = bytearray(samples)
    for channel, by in enumerate(shift):
        out[channel::3] = samples[channel::3].translate(table_of(by))
    return bytes(out)


def sheet(words, state):
    width, height, samples = read_tiff(words.rest[0])
    left, top = (width - CELL) // 2, (height - CELL) // 2
    starts = [3 * (y * width + left) for y in range(top, top + CELL)]
    rows = [samples[start : start + 3 * CELL] for start in starts]
    page = [bytearray(b"\xff" * 9000) for _ in range(2400)]
    cells = []
    for i, step in enumerate(RING):
        x, y = 200 + i % 3 * 300, 200 + i // 3 * 300
        total = [a + b for a, b in zip(state["shift"], step)]
        for row, line in enumerate(rows):
            page[y + row][3 * x : 3 * (x + CELL)] = shifted(line, total)
        mm = 25.4 / 300
        cells.append({"letter": "ABCDEFGHI"[i], "x_mm": x * mm, "y_mm": y * mm, "width_mm": CELL * mm, "height_mm": CELL * mm})
    state["sheets"] += 1
    file = os.path.join(words.to, "sheet.tif")
    write_tiff(file, 3000, 2400, b"".join(page))
    part = {"x": left, "y": top, "width": CELL, "height": CELL}
    return {"sheet": str(state["sheets"]), "file": file, "part": part, "cells": cells, "ppi": 300}


def answer(words, state):
    chosen = "ABCDEFGHI".index(words.cell)
    state["shift"] = [a + b for a, b in zip(state["shift"], RING[chosen])]
    state["stop"] = chosen == 0 or state["sheets"] >= 4
    return {}


def make(words, state):
    width, height, samples = read_tiff(words.rest[0])
    file = os.path.join(words.to, "chart.tif")
    write_tiff(file, width, height, shifted(samples, state["shift"] if words.correction == "latest" else (0, 0, 0)))
    return {"file": file}


def main():
    parser = argparse.ArgumentParser()
    for option in ("data", "shop", "medium", "size", "to", "cell", "correction", "sharpen", "enlarge", "light"):
        parser.add_argument("--" + option)
    parser.add_argument("--screen-brightness")
    parser.add_argument("--screen-profile")
    for flag in ("json", "replace", "anyway"):
        parser.add_argument("--" + flag, action="store_true")
    parser.add_argument("verb")
    parser.add_argument("rest", nargs="*")
    words = parser.parse_intermixed_args()
    if not os.path.exists(os.path.join(words.data, "shops", "virtual.toml")):
        sys.exit("no shop")
    memory = os.path.join(words.data, "state.json")
    state = json.load(open(memory)) if os.path.exists(memory) else {"shift": [0, 0, 0], "sheets": 0, "stop": False}
    verb = words.rest.pop(0) if words.verb == "test" else words.verb
    if verb == "scan":
        print("Scans are not understood here.", file=sys.stderr)
        sys.exit(1)
    does = {"sheet": sheet, "answer": answer, "make": make, "status": lambda _, s: {"stop": s["stop"], "sheets": s["sheets"]}}
    print(json.dumps(does[verb](words, state)))
    json.dump(state, open(memory, "w"))


main()
