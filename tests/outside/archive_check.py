"""Validates finished PDFs against PDF/UA-1 and PDF/A-2b with an outside validator.

Usage: archive_check.py [--ua FILE...] [--a2b FILE...]

Validator: page-validation (PyPI, pinned in requirements.txt), which checks ISO 14289-1 and ISO 19005-2 rule by rule.
Ends with status 1 if any file fails.
"""

import argparse
import sys

import page


def check(path: str, profile: str) -> bool:
    report = page.validate_pdf(path, profile=profile)
    print(f"{path}: {profile}: {report.rules.passed} of {report.rules.total} rules pass")
    for failure in report.failures:
        print(f"  {failure.rule_id}: {failure.message} ({failure.object_id})")
    return report.is_compliant


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--ua", nargs="*", default=[])
    parser.add_argument("--a2b", nargs="*", default=[])
    arguments = parser.parse_args()
    results = [check(path, "ua1") for path in arguments.ua] + [check(path, "2b") for path in arguments.a2b]
    if not results:
        parser.error("no files")
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())
