#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Holds #includes against the tables in docs/architecture.md: of engine/, apps/ and the virtual shop; and lines against
their length.

A folder of engine/ may include itself and the folders that stand above it in the table; a library of the table's last
column only the folders that name it. A program of apps/, and the virtual shop, may include itself and what its own row
names: whole folders, and single headers that hold values. Tests (*_test.cpp) include what they test with. Prints what
breaks a rule and ends with status 1.
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
    "oneDNN": r"oneapi/",
    "OpenMP": r"omp\.h",
    "Eigen": r"(unsupported/)?Eigen/",
    "apriltag": r"apriltag/",
    "SQLite": r"SQLiteCpp|sqlite3\.h",
    "CLI11": r"CLI/",
    "nlohmann_json": r"nlohmann/",
    "xcb": r"xcb/",
    "Qt": r"Q[A-Z]|Qt[A-Z]\w*/",
}
LONGEST_LINE = 120  # Letters, as .clang-format has it.
LONGEST_FILE = 600  # Lines; past them it wants to be two files.


def cells(row):
    return [cell.strip() for cell in row.strip().strip("|").split("|")]


def names_in(cell):
    return [name.strip() for name in cell.split(",") if name.strip()]


def tables():
    """Of the engine's folders, in order: folder -> libraries. Of the programs: folder -> (what it may include, libraries)."""
    engine, programs = {}, {}
    for line in (ROOT / "docs" / "architecture.md").read_text().splitlines():
        if match := re.match(r"\| `(\w+)` \|", line):
            engine[match.group(1)] = names_in(cells(line)[2])
        elif match := re.match(r"\| `((?:apps|tests)/\w+)` \|", line):
            programs[match.group(1)] = (re.findall(r"`([\w/.]+)`", cells(line)[1]), names_in(cells(line)[2]))
    return engine, programs


def library_of(header):
    return next((name for name, pattern in LIBRARY_HEADERS.items() if re.match(pattern, header)), None)


def refusal(here, header, engine, programs):
    """Why `here` may not include `header`; None where it may."""
    order = list(engine)
    is_program = "/" in here
    library = library_of(header)
    if library is not None:
        allowed = programs.get(here, ([], []))[1] if is_program else engine.get(here, [])
        return None if library in allowed else f"{here} may not include {library}"
    if header.startswith("engine/"):
        folder = header.split("/")[1]
        if is_program:
            allowed = programs.get(here, ([], []))[0]
            fits = folder in allowed or header.removeprefix("engine/") in allowed
            return None if fits else f"{here} may not include {header}: its row in docs/architecture.md does not name it"
        if here in order and folder in order and order.index(folder) > order.index(here):
            return f"{here} may not include {folder}, which stands below it"
    elif header.startswith(("apps/", "tests/")) and not header.startswith(f"{here}/"):
        return f"{here} may not include {header}"
    return None


def include_problems(source, engine, programs):
    parts = source.relative_to(ROOT).parts
    here = parts[1] if parts[0] == "engine" else f"{parts[0]}/{parts[1]}"
    for number, line in enumerate(source.read_text().splitlines(), 1):
        match = re.match(r'\s*#\s*include\s*[<"]([^>"]+)[>"]', line)
        why = refusal(here, match.group(1), engine, programs) if match else None
        if why is not None:
            yield f"{'/'.join(parts)}:{number}: {why}"


def length_problems(source):
    path = source.relative_to(ROOT)
    lines = source.read_text().splitlines()
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            yield f"{path}:{number}: {len(line)} letters, and a line has at most {LONGEST_LINE}"
    if len(lines) > LONGEST_FILE and path.parts[0] != "tests":
        yield f"{path} has {len(lines)} lines; past {LONGEST_FILE} it wants to be two files"


def sources_of(*tops):
    return [p for top in tops for p in sorted((ROOT / top).rglob("*")) if p.suffix in (".h", ".cpp")]


def main():
    engine, programs = tables()
    problems = []
    for path in sorted((ROOT / "engine").iterdir()):
        if not path.is_dir() or not any(path.iterdir()):
            continue
        if path.name not in engine:
            problems.append(f"engine/{path.name} is not in the table of docs/architecture.md")
        problems += [f"{inner} is a folder below a subject" for inner in path.iterdir() if inner.is_dir()]
    sources = sources_of("engine", "apps")
    shop = [p for p in sources_of("tests/virtual_shop") if not p.name.endswith("_test.cpp")]
    for source in sources + shop:
        problems += include_problems(source, engine, programs)
    all_sources = sources + sources_of("tests")
    for source in all_sources:
        problems += length_problems(source)
    for problem in problems:
        print(problem)
    print(f"include and length check: {len(all_sources)} files, {len(problems)} problems")
    return 1 if problems or not sources else 0


if __name__ == "__main__":
    sys.exit(main())
