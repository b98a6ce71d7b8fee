"""Validates the MusicXML scores that the tests write against the schema of the report: the seeds in tests/fuzz/seeds/musicxml, plain
and packed, and the hand-made scores of the reader's own tests, which these write to the folder that BOXWRIGHT_SCORES names.

The schema is MusicXML 4.0's own musicxml.xsd (W3C Music Notation Community Group, Final Community Group Report, June 2021), as the
PyPI package `musicxml` carries it; the two schemas that it names on the network are replaced by stubs with the attributes it
uses. A score spoiled on purpose must be refused, or the check checks nothing.

    python musicxml_schema.py [FILE ...]
"""

import glob
import importlib.util
import io
import os
import re
import sys
import zipfile

from lxml import etree

XLINK = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink"
 xmlns="http://www.w3.org/1999/xlink">%s</xs:schema>""" % "".join(
    f'<xs:attribute name="{name}" type="xs:string"/>' for name in ("type", "href", "role", "title", "show", "actuate")
)
XML = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:string"/></xs:schema>"""


class Local(etree.Resolver):
    """Gives the stubs; nothing is fetched."""

    def resolve(self, url, public_id, context):
        if not url.startswith("http"):
            return None
        return self.resolve_string(XLINK if "xlink" in url else XML, context)


def schema():
    package = os.path.dirname(importlib.util.find_spec("musicxml").origin)
    [path] = glob.glob(os.path.join(package, "**", "musicxml_4_0.xsd"), recursive=True)
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(Local())
    return etree.XMLSchema(etree.parse(path, parser))


def text(path):
    """The bytes of the score in a file, plain or packed."""
    data = open(path, "rb").read()
    if not zipfile.is_zipfile(io.BytesIO(data)):
        return data
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        container = etree.fromstring(package.read("META-INF/container.xml"))
        return package.read(container.find(".//rootfile").get("full-path"))


def faults(rules, data):
    document = etree.fromstring(data, etree.XMLParser(no_network=True, load_dtd=False, resolve_entities=False))
    return [] if rules.validate(document) else [f"line {entry.line}: {entry.message}" for entry in rules.error_log]


def main():
    here = os.path.dirname(os.path.abspath(__file__))
    paths = sys.argv[1:] or sorted(glob.glob(os.path.join(here, "../fuzz/seeds/musicxml/score-*")))
    rules, bad = schema(), 0
    for path in paths:
        found = faults(rules, text(path))
        bad += bool(found)
        for fault in found[:5]:
            print(f"{os.path.basename(path)}: {fault}")
    spoiled = re.sub(rb"<step>.</step>", b"<step>H</step>", text(paths[0]), count=1)
    planted = bool(faults(rules, spoiled))
    print(f"{len(paths)} scores, {bad} not valid; the spoiled one is {'refused' if planted else 'NOT refused'}")
    return 0 if paths and not bad and planted else 1


if __name__ == "__main__":
    sys.exit(main())
