"""Fails if a test run left anything out: reads pytest's JUnit files."""

import sys
import xml.etree.ElementTree as ET


def main(paths: list[str]) -> None:
    """Read each file and stop at the first one with no test, or with a skipped one."""
    for path in paths:
        cases = list(ET.parse(path).iter("testcase"))  # noqa: S314  # written by pytest just now
        skipped = [
            f"{case.get('classname')}.{case.get('name')}"
            for case in cases
            if case.find("skipped") is not None
        ]
        if not cases or skipped:
            sys.exit(f"{path}: {len(cases)} tests, skipped: {', '.join(skipped) or 'none'}")
        print(f"{path}: {len(cases)} tests, none skipped")


if __name__ == "__main__":
    main(sys.argv[1:])
