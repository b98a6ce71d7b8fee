"""Validates finished PDFs against PDF/UA-1 and PDF/A-2b with an outside validator.

Usage: archive_check.py [--ua FILE...] [--a2b FILE...]

Validator: page-validation (PyPI, pinned in requirements.txt), which checks ISO 14289-1 and ISO 19005-2 rule by rule.
Ends with status 1 if any file fails, if fewer rules were looked at than the pinned version has, or if it lets a copy pass that
was broken on purpose: without its tags, its language or its figures' words (ISO 14289-1, 7.1, 7.2 and 7.3), without its output
intent or the metadata that claims the standard (ISO 19005-2, 6.2.4.3 and 6.6.4).
"""

import argparse
import sys
import tempfile

import page
import pikepdf

# So many rules version 0.11.0 of the validator looks at in a file of each profile.
RULES = {"ua1": 104, "2b": 144}


def check(path: str, profile: str) -> bool:
    report = page.validate_pdf(path, profile=profile)
    print(f"{path}: {profile}: {report.rules.passed} of {report.rules.total} rules pass")
    for failure in report.failures:
        print(f"  {failure.rule_id}: {failure.message} ({failure.object_id})")
    if report.rules.total < RULES[profile]:
        print(f"  only {report.rules.total} rules were looked at, not {RULES[profile]}")
        return False
    return report.is_compliant


def untagged(pdf):
    del pdf.Root.StructTreeRoot


def without_language(pdf):
    del pdf.Root.Lang


def wordless(pdf):
    figures = [e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/S") == "/Figure" and "/Alt" in e]
    del figures[0].Alt


def without_intent(pdf):
    del pdf.Root.OutputIntents


def without_claim(pdf):
    del pdf.Root.Metadata


PLANTS = {"ua1": [untagged, without_language, wordless], "2b": [without_intent, without_claim]}


def finds_plants(path: str, profile: str) -> bool:
    """Whether copies of a file that are broken on purpose are refused."""
    good = True
    for plant in PLANTS[profile]:
        with pikepdf.open(path) as pdf, tempfile.NamedTemporaryFile(suffix=".pdf") as copy:
            plant(pdf)
            pdf.save(copy.name)
            report = page.validate_pdf(copy.name, profile=profile)
        found = [failure.rule_id for failure in report.failures]
        print(f"planted {plant.__name__}: {', '.join(found[:3]) if found else 'NOT FOUND'}")
        good &= bool(found) and not report.is_compliant
    return good


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--ua", nargs="*", default=[])
    parser.add_argument("--a2b", nargs="*", default=[])
    arguments = parser.parse_args()
    results = [check(path, "ua1") for path in arguments.ua] + [check(path, "2b") for path in arguments.a2b]
    if not results:
        parser.error("no files")
    results += [finds_plants(arguments.ua[0], "ua1")] if arguments.ua else []
    results += [finds_plants(arguments.a2b[0], "2b")] if arguments.a2b else []
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())
