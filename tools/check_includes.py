#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Holds every #include of engine/ and apps/ against the table in docs/architecture.md.

A folder of engine/ may include itself and the folders that stand above it in the table; a library named in the
table's last column may be included in that folder alone. Prints what breaks a rule and ends with status 1.
"""

import pathlib
import re
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent

# Which headers belong to a library of the table.
LIBRARY_HEADERS = {
    "libcrypto": r"openssl/",
    "xxHash": r"xxhash\.h",
    "toml++": r"toml\+\+",
    "Little CMS": r"lcms2",
    "libtiff": r"tiff",
    "libjpeg": r"jpeglib\.h|jerror\.h",
    "libpng": r"png\.h|pnglibconf",
    "zlib": r"zlib\.h",
    "pango": r"pango/",
    "cairo": r"cairo",
    "zimg": r"zimg",
    "SQLite": r"SQLiteCpp|sqlite3\.h",
    "CLI11": r"CLI/",
    "nlohmann_json": r"nlohmann/",
}
ANYWHERE = re.compile(r"hwy/|Eigen/|unsupported/Eigen")


def table():
    """Rows of the table: folder -> libraries, in order."""
    rows = {}
    for line in (ROOT / "docs" / "architecture.md").read_text().splitlines():
        match = re.match(r"\| `(\w+)` \|[^|]*\|([^|]*)\|", line)
        if match:
            rows[match.group(1)] = [name.strip() for name in match.group(2).split(",") if name.strip()]
    return rows


def owner_of(header, rows):
    for folder, libraries in rows.items():
        for library in libraries:
            if library in LIBRARY_HEADERS and re.match(LIBRARY_HEADERS[library], header):
                return folder
    return None


def main():
    rows = table()
    order = list(rows)
    problems = []
    folders = [path for path in sorted((ROOT / "engine").iterdir()) if path.is_dir() and any(path.iterdir())]
    for path in folders:
        if path.name not in rows:
            problems.append(f"engine/{path.name} is not in the table of docs/architecture.md")
        problems += [f"{inner} is a folder below a subject" for inner in path.iterdir() if inner.is_dir()]
    sources = [p for top in ("engine", "apps") for p in sorted((ROOT / top).rglob("*")) if p.suffix in (".h", ".cpp")]
    for source in sources:
        parts = source.relative_to(ROOT).parts
        here = parts[1] if parts[0] == "engine" else f"apps/{parts[1]}"
        for number, line in enumerate(source.read_text().splitlines(), 1):
            match = re.match(r'\s*#\s*include\s*[<"]([^>"]+)[>"]', line)
            if not match:
                continue
            header = match.group(1)
            place = f"{'/'.join(parts)}:{number}"
            if header.startswith("engine/"):
                other = header.split("/")[1]
                if here in order and other in order and order.index(other) > order.index(here):
                    problems.append(f"{place}: {here} may not include {other}, which stands below it")
            elif header.startswith(("apps/", "tests/")) and parts[0] == "engine":
                problems.append(f"{place}: the engine may not include {header}")
            elif not ANYWHERE.match(header):
                owner = owner_of(header, rows)
                if owner is not None and owner != here:
                    problems.append(f"{place}: <{header}> belongs to {owner} alone")
    lengths = [(len(p.read_text().splitlines()), p.relative_to(ROOT)) for p in sources]
    problems += [f"{path} has {count} lines; past 600 it wants to be two files" for count, path in lengths if count > 600]
    for problem in problems:
        print(problem)
    print(f"include check: {len(sources)} files, {len(problems)} problems")
    return 1 if problems or not sources else 0


if __name__ == "__main__":
    sys.exit(main())
