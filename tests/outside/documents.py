#!/usr/bin/env python3
"""Holds documents against PDF/A-2a and PDF/UA-1 with a validator that is not ours.

Usage, by hand, in an environment of its own:

    python3 -m venv venv && venv/bin/pip install page-validation==0.11.0
    venv/bin/python tests/outside/documents.py FILE.pdf...

Says of each file and standard how many rules it keeps, names those it breaks, and ends with 1 where one is broken.
"""

import sys

from page import ValidationProfile, validate_pdf

STANDARDS = (ValidationProfile.PDF_A_2A, ValidationProfile.PDF_UA_1)


def main(files):
    broken = 0
    for file in files:
        for standard in STANDARDS:
            report = validate_pdf(file, profile=standard)
            print(f"{file}: {standard.value} {report.rules.passed} of {report.rules.total} rules kept")
            for failure in report.failures:
                print(f"    {failure.rule_id}: {failure.message}")
            broken += not report.is_compliant
    return 1 if broken or not files else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
