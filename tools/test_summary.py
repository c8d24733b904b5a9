#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Sums up ctest's JUnit files: failures with what they said, skips with their reason, the slowest ten, and one closing line."""

import re
import sys
import xml.etree.ElementTree as xml

most_lines = 60  # of a failed test: enough for what was expected, or for both threads of a race


def main():
    cases = []
    for path in sys.argv[1:]:
        preset = path.split("/")[-2]
        for case in xml.parse(path).getroot().iter("testcase"):
            cases.append((float(case.get("time") or 0), case.get("status"), f"{case.get('name')} [{preset}]", case))
    failed = [(name, case.findtext("system-out") or "") for _, status, name, case in cases if status == "fail"]
    skipped = [(name, case) for _, status, name, case in cases if status not in ("run", "fail")]
    for name, output in failed:
        print(f"failed: {name}")
        for line in output.splitlines()[:most_lines]:
            print(f"    {line}")
    for name, case in skipped:
        output = case.findtext("system-out") or ""
        reason = re.search(r"Skipped\n(.*)", output)
        print(f"skipped: {name}{': ' + reason.group(1) if reason else ''}")
    print("The slowest ten:")
    for seconds, _, name, _ in sorted(cases, key=lambda case: -case[0])[:10]:
        print(f"  {seconds:6.1f} s  {name}")
    print(f"{len(cases) - len(failed) - len(skipped)} passed, {len(failed)} failed, {len(skipped)} skipped")
    return 1 if failed or not cases else 0


if __name__ == "__main__":
    sys.exit(main())
