"""An independent check of press files against the numbered statements for PDF/X-1a:2003 and PDF/X-4.

Usage: pdfx_check.py [--x1a FILE...] [--x4 FILE...] [--plant] [--own PROGRAM]

It shares no code with the program: files are read with pikepdf (pinned in requirements.txt), content streams with its
parser. Statements: ISO 15930-4:2003 and ISO 15930-7:2010 as quoted by public preflight rules and descriptions; the ISO texts
themselves were not read. `--plant` changes each given file in every way that a statement of its standard forbids, and demands that
the check finds each by its number; a planted fault that is not found is a failure. It changes them too in ways that look like faults
and are lawful, and demands that none is found: a check that cries at everything finds every fault. `--own` holds the preflight of
the program that is named to the same: each planted file is given to it as well, and its points answer by their own numbers.
"""

import argparse
import io
import json
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from decimal import Decimal

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf

from pdfx_plants import planted

HUNDREDTH_MM = 0.01 / 25.4 * 72
OPERATORS = set(
    "b B b* B* BDC BI BMC BT BX c cm CS cs d d0 d1 Do DP EI EMC ET EX f F f* G g gs h i ID j J K k l m M MP n q Q re RG rg "
    "ri s S SC sc SCN scn sh T* Tc Td TD Tf Tj TJ TL Tm Tr Ts Tw Tz v w W W* y ' \" INLINE IMAGE".split()
)
# ISO 16684-1, 8; ISO 15930-7.
NAMESPACES = {
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
}
# A date of PDF (ISO 32000-1, 7.9.4) and one of XMP (ISO 8601 as the W3C's note on dates has it).
DATE = re.compile(r"(D:)?\d{4}(0[1-9]|1[0-2])?(0[1-9]|[12]\d|3[01])?([01]\d|2[0-3])?([0-5]\d){0,2}(Z|[+-]\d\d)?'?(\d\d)?'?")
ISO_DATE = re.compile(r"\d{4}(-\d\d(-\d\d(T\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:?\d\d)?)?)?)?")
# How programs of fonts begin (ISO 32000-1, table 126).
HEADS = {
    "/FontFile": (b"%!", b"\x80\x01"),
    "/FontFile2": (b"\0\x01\0\0", b"true", b"OTTO"),
    "/FontFile3": (b"\x01\0", b"OTTO", b"\0\x01\0\0", b"true"),
}
# Inks that want no transfer curve of their own in a halftone of type 5 (ISO 32000-1, table 130).
PROCESS = {"/Default", "/Gray", "/Cyan", "/Magenta", "/Yellow", "/Black", "/Red", "/Green", "/Blue"}
# The numbers under which the program's own preflight has what both standards forbid alike.
OWN = {"x1a": {}, "x4": {"19": "X4-07d", "20": "X4-08d"}}
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
# Device spaces, and the names under which others stand for them (ISO 32000-1, 8.6.5.6).
DEFAULTS = {"/DeviceGray": "/DefaultGray", "/DeviceRGB": "/DefaultRGB", "/DeviceCMYK": "/DefaultCMYK"}
# What colour by device may be used under an output profile for a space (X-4, from memory).
UNDER = {b"GRAY": {"/DeviceGray"}, b"CMYK": {"/DeviceGray", "/DeviceCMYK"}, b"RGB ": {"/DeviceRGB"}}


class Check:
    def __init__(self, data: bytes, standard: str):
        self.data, self.standard, self.faults = data, standard, []
        self.pdf = Pdf.open(io.BytesIO(data))
        self.colours, self.plain, self.fonts, self.profile = set(), set(), {}, None

    def fault(self, number: str, words: str):
        self.faults.append((number, words))

    def run(self):
        self.form()
        for index, page in enumerate(self.pdf.pages, 1):
            self.boxes(index, page)
            self.annotations(index, page)
            if page.obj.get("/Group", {}).get("/S") == "/Transparency" and self.standard == "x1a":
                self.fault("14", f"page {index} is a transparency group")
            if "/SeparationInfo" in page.obj:
                self.fault("19", f"page {index} is separated")
            resources = page.obj.get("/Resources", Dictionary())
            self.mixed(page.obj, resources)
            parts = page.obj.get("/Contents", Array([]))
            parts = list(parts) if isinstance(parts, Array) else [parts]
            if not all(isinstance(part, pikepdf.Stream) for part in parts):
                self.fault("20", f"page {index} has content that is none")
                continue
            self.content(page, resources, set())
        self.intents()
        self.objects()
        self.inks()
        return self.faults

    def form(self):
        # ISO 32000-1, 7.5.2: the later of the two.
        version = max(float(self.data[5:8]), float(str(self.pdf.Root.get("/Version", "/0"))[1:]))
        limit = 1.4 if self.standard == "x1a" else 1.6
        if version > limit:
            self.fault("01", f"header or catalog say {version}")
        if self.standard == "x1a" and (self.is_modern() or "/OCProperties" in self.pdf.Root):
            self.fault("01", "constructs of PDF 1.5")
        if self.standard == "x1a" and any(page.obj.get("/UserUnit", 1) != 1 for page in self.pdf.pages):
            self.fault("01", "a unit of its own, which came with PDF 1.6")
        info = self.pdf.docinfo
        if self.standard == "x1a":
            claim = str(info.get("/GTS_PDFXVersion", "")), str(info.get("/GTS_PDFXConformance", ""))
            # ISO 15930-1:2001 is the older part, of PDF 1.3.
            older = claim == ("PDF/X-1:2001", "PDF/X-1a:2001") and version <= 1.3
            if not older and (claim[0] != "PDF/X-1a:2003" or "2001" in claim[1]):
                self.fault("02", "the version is not named in Info")
            for key in ("/Title", "/CreationDate", "/ModDate"):
                if not str(info.get(key, "")).strip():
                    self.fault("03", f"{key} is missing")
                elif "Date" in key and not DATE.fullmatch(str(info[key])):
                    self.fault("03", f"{key} is no date")
            if info.get("/Trapped") not in (Name("/True"), Name("/False")):
                self.fault("04", "the trapping state is missing or no name")
        else:
            found = self.metadata()
            if found.get("pdfxid:GTS_PDFXVersion") != "PDF/X-4":
                self.fault("02", "the version is not named in the metadata")
            for key in ("dc:title", "xmp:CreateDate", "xmp:ModifyDate", "xmp:MetadataDate", "xmpMM:DocumentID",
                        "xmpMM:VersionID", "xmpMM:RenditionClass", "pdf:Trapped"):
                if not found.get(key):
                    self.fault("03", f"{key} is missing")
                elif key.endswith("Date") and not ISO_DATE.fullmatch(found[key]):
                    self.fault("03", f"{key} is no date")
            if found.get("xmpMM:RenditionClass", "default") != "default":
                self.fault("03", "the rendition class is not default")
            trapped = info.get("/Trapped")
            if trapped is not None and found.get("pdf:Trapped") not in (None, str(trapped)[1:]):
                self.fault("03", "Info and metadata differ in the trapping state")
        identity = self.pdf.trailer.get("/ID")
        if identity is None or len(identity) != 2 or not all(len(bytes(part)) for part in identity):
            self.fault("05" if self.standard == "x1a" else "08", "the trailer has no pair of ids")
        if self.pdf.is_encrypted:
            self.fault("06", "the file is encrypted")

    def is_modern(self):
        """Whether there are streams of objects, or of their places: asked of the objects, for a text may speak of either."""
        kinds = (Name("/ObjStm"), Name("/XRef"))
        streams = (entry for entry in self.pdf.objects if isinstance(entry, pikepdf.Stream))
        # The library takes such streams apart and need not list them: then the words stand outside any string.
        bare = re.sub(rb"\((?:\\.|[^\\()])*\)", b"", self.data)
        return any(entry.get("/Type") in kinds for entry in streams) or re.search(rb"/Type\s*/(ObjStm|XRef)\b", bare)

    def metadata(self):
        """The properties of the packet by usual prefix and name, whatever prefixes it has, as elements or attributes."""
        if "/Metadata" not in self.pdf.Root:
            return {}
        try:
            root = ElementTree.fromstring(bytes(self.pdf.Root.Metadata.read_bytes()).decode().strip("\ufeff \n"))
        except ElementTree.ParseError as error:
            self.fault("03", f"the metadata are no XML: {error}")
            return {}
        known = {space: prefix for prefix, space in NAMESPACES.items()}
        found = {}
        for description in root.iter(f"{RDF}Description"):
            values = [(key, value) for key, value in description.attrib.items()]
            values += [(child.tag, "".join(child.itertext())) for child in description]
            for key, value in values:
                space, _, name = key[1:].partition("}")
                if space in known and value.strip():
                    found[f"{known[space]}:{name}"] = value.strip()
        return found

    def boxes(self, index, page):
        number = "07" if self.standard == "x1a" else "08"

        def box(key):
            node = page.obj
            # ISO 32000-1, table 30: of the boxes these two alone are inherited.
            while key not in node and key in ("/MediaBox", "/CropBox") and "/Parent" in node:
                node = node.Parent
            if key not in node:
                return None
            # Any two opposite corners will do (7.9.5).
            x0, y0, x1, y1 = (float(v) for v in node[key])
            return [min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)]

        media, trim, art, bleed = (box(key) for key in ("/MediaBox", "/TrimBox", "/ArtBox", "/BleedBox"))
        if media is None or (trim is None) == (art is None):
            return self.fault(number, f"page {index} lacks a media box, or has not exactly one of trim box and art box")
        inner = trim or art
        for box_ in (media, inner, bleed, box("/CropBox")):
            if box_ is not None and (box_[2] <= box_[0] or box_[3] <= box_[1]):
                self.fault(number, f"page {index} has an empty box")
        bleed = bleed or inner
        crop = box("/CropBox") or media
        for small, large, words in ((inner, bleed, "trim outside bleed"), (bleed, media, "bleed outside medium"),
                                    (bleed, crop, "crop box cuts the bleed")):
            if any(small[i] < large[i] - HUNDREDTH_MM for i in (0, 1)) or any(
                small[i] > large[i] + HUNDREDTH_MM for i in (2, 3)
            ):
                self.fault("08", f"page {index}: {words}")

    def annotations(self, index, page):
        area = [float(v) for v in page.obj.get("/BleedBox", page.obj.get("/TrimBox", page.mediabox))]
        for note in page.obj.get("/Annots", []):
            x0, y0, x1, y1 = (float(v) for v in note.Rect)
            if not (x1 <= area[0] or x0 >= area[2] or y1 <= area[1] or y0 >= area[3]):
                self.fault("17" if self.standard == "x1a" else "07", f"page {index}: an annotation on the printed area")

    def intents(self):
        found = [entry for entry in self.pdf.Root.get("/OutputIntents", []) if entry.get("/S") == "/GTS_PDFX"]
        nine, ten, eleven = ("09", "10", "11") if self.standard == "x1a" else ("04", "04", "04")
        if len(found) != 1:
            return self.fault(nine, f"{len(found)} output intents for PDF/X")
        entry = found[0]
        registered = str(entry.get("/RegistryName", "")) == "http://www.color.org"
        if not str(entry.get("/OutputConditionIdentifier", "")):
            self.fault(ten, "the condition has no name")
        profile = entry.get("/DestOutputProfile")
        if profile is None and (self.standard == "x4" or not registered):
            self.fault(ten, "no profile is carried")
        if not registered and not str(entry.get("/Info", "")):
            self.fault(ten, "the condition is not explained")
        if profile is not None:
            head = bytes(profile.read_bytes())[:128]
            spaces = (b"CMYK", b"GRAY") if self.standard == "x1a" else (b"CMYK", b"GRAY", b"RGB ")
            if head[36:40] != b"acsp" or head[12:16] != b"prtr" or head[16:20] not in spaces:
                self.fault(eleven, "the profile is not one for output, or not of a space that the standard takes")
            self.profile = head[16:20]

    def objects(self):
        for entry in self.pdf.objects:
            if isinstance(entry, pikepdf.Stream):
                self.stream(entry)
            if isinstance(entry, (Dictionary, pikepdf.Stream)):
                self.dictionary(entry, 0)
        self.dictionary(self.pdf.Root, 0)
        preferences = self.pdf.Root.get("/ViewerPreferences", Dictionary())
        for key in ("/ViewArea", "/ViewClip", "/PrintArea", "/PrintClip"):
            if key in preferences and preferences[key] not in (Name.MediaBox, Name.BleedBox):
                self.fault("21", f"{key} is {preferences[key]}")

    def stream(self, stream):
        self.filters(stream.get("/Filter", []))
        if "/F" in stream:
            self.fault("19", "a stream outside the file")
        if stream.get("/Subtype") == "/PS" or stream.get("/Subtype2") == "/PS":
            self.fault("19", "a PostScript picture")
        if stream.get("/Subtype") == "/Form" and "/PS" in stream:
            self.fault("19", "a form that is PostScript")
        if "/OPI" in stream or any(other.get("/DefaultForPrinting", False) for other in stream.get("/Alternates", [])):
            self.fault("19", "a picture that is swapped, or another printed in its place")
        if self.standard == "x1a" and stream.get("/Subtype") == "/Image" and stream.get("/BitsPerComponent", 8) > 8:
            self.fault("01", "sixteen bits a component, which came with PDF 1.5")
        if stream.get("/Subtype") == "/Form" and "/Ref" in stream:
            self.fault("19", "a page of another file")
        # A name in the place of the mask is none.
        masked = isinstance(stream.get("/SMask"), pikepdf.Stream)
        if stream.get("/Subtype") == "/Image" and masked and self.standard == "x1a":
            self.fault("14", "a picture with a soft mask")

    def filters(self, filters):
        filters = [filters] if isinstance(filters, Name) else list(filters)
        banned = {"/LZWDecode", "/LZW", "/JBIG2Decode", "/JPXDecode"} if self.standard == "x1a" else set()
        for name in filters:
            if str(name) in banned:
                self.fault("15", f"{name} is used")

    def dictionary(self, entry, depth, inside=False):
        sixteen = "16" if self.standard == "x1a" else "07"
        if entry.get("/S") == "/JavaScript" or "/JS" in entry or "/AcroForm" in entry or "/JavaScript" in entry:
            self.fault(sixteen, "a script or a form")
        if self.standard == "x1a" and entry.get("/S") == "/Thread":
            self.fault(sixteen, "an action")
        if "/HalftoneType" in entry:
            curved = [entry] if entry.get("/HalftoneType") != 5 else [
                part for ink, part in entry.items() if ink in PROCESS and isinstance(part, Dictionary)]
            # A part for an ink of a halftone of type 5 is looked at there alone.
            if not inside and any("/TransferFunction" in part for part in curved):
                self.fault("18" if self.standard == "x1a" else "07", "a transfer curve in a halftone")
        if self.standard == "x1a" and ("/AA" in entry or "/OpenAction" in entry):
            self.fault(sixteen, "an action")
        for key in ("/TR", "/HTP"):
            if key in entry:
                self.fault("18" if self.standard == "x1a" else "07", f"{key} in a graphics state")
        if "/HalftoneName" in entry or entry.get("/HalftoneType", 1) not in (1, 5):
            self.fault("18" if self.standard == "x1a" else "07", "a halftone by name or of a type of its own")
        if "/TR2" in entry and entry["/TR2"] != Name.Default:
            self.fault("18" if self.standard == "x1a" else "07", "/TR2 in a graphics state")
        if self.standard == "x1a":
            if any(key in entry and isinstance(entry[key], (int, float, Decimal)) and entry[key] < 1 for key in ("/CA", "/ca")):
                self.fault("14", "opacity")
            if "/SMask" in entry and isinstance(entry["/SMask"], Dictionary) and entry.get("/Subtype") != "/Image":
                self.fault("14", "a soft mask")
            modes = entry.get("/BM", [])
            modes = [modes] if isinstance(modes, Name) else list(modes)
            if any(mode not in (Name.Normal, Name.Compatible) for mode in modes):
                self.fault("14", "a blend mode")
            if "/EF" in entry:
                self.fault("19", "an embedded file")
        if depth < 12:
            for key, value in entry.items():
                # What is an object of its own is looked at as one.
                inner = list(value) if isinstance(value, Array) and not value.is_indirect else [value]
                for one in inner:
                    if isinstance(one, Dictionary) and not one.is_indirect and key != "/Parent":
                        self.dictionary(one, depth + 1, entry.get("/HalftoneType", 0) == 5)

    def mixed(self, holder, resources):
        """The space in which a transparency group is mixed."""
        if "/CS" in holder.get("/Group", {}):
            self.space(holder.Group.CS, resources)

    def called(self, kind, name, resources):
        """What content calls by a name; a fault where that is not there."""
        found = resources.get(kind, Dictionary()).get(str(name))
        if found is None:
            self.fault("20", f"{name} is called and is not among {kind}")
        return found

    def content(self, holder, resources, seen):
        for key, space in resources.get("/ColorSpace", Dictionary()).items():
            if key in DEFAULTS.values():
                self.space(space, resources)
        for instruction in pikepdf.parse_content_stream(holder):
            operator, operands = str(instruction.operator), instruction.operands
            if isinstance(instruction, pikepdf.ContentStreamInlineImage):
                self.inline(instruction.iimage.obj, resources)
            elif operator not in OPERATORS:
                self.fault("20", f"the operator {operator}")
            elif operator in ("rg", "RG"):
                self.space(Name.DeviceRGB, resources)
            elif operator in ("k", "K"):
                self.space(Name.DeviceCMYK, resources)
            elif operator in ("g", "G"):
                self.space(Name.DeviceGray, resources)
            elif operator in ("cs", "CS"):
                if str(operands[0]) in ("/DeviceGray", "/DeviceRGB", "/DeviceCMYK", "/Pattern"):
                    self.space(operands[0], resources)
                elif (space := self.called("/ColorSpace", operands[0], resources)) is not None:
                    self.space(space, resources)
            elif operator == "Tf":
                if (font := self.called("/Font", operands[0], resources)) is not None:
                    self.font(font)
            elif operator == "Do":
                if (stream := self.called("/XObject", operands[0], resources)) is not None:
                    self.picture(stream, resources, seen)
            elif operator == "gs":
                state = self.called("/ExtGState", operands[0], resources)
                if state is not None and "/Font" in state:
                    self.font(state.Font[0])
                mask = Dictionary() if state is None else state.get("/SMask", Dictionary())
                if isinstance(mask, Dictionary) and "/G" in mask:
                    self.picture(mask.G, resources, seen)
            elif operator in ("scn", "SCN") and operands and isinstance(operands[-1], Name):
                self.called("/Pattern", operands[-1], resources)
            elif operator == "sh":
                if (shading := self.called("/Shading", operands[0], resources)) is not None:
                    self.space(shading.ColorSpace, resources)

    def inline(self, image, resources):
        short = {"/G": "/DeviceGray", "/RGB": "/DeviceRGB", "/CMYK": "/DeviceCMYK", "/I": "/Indexed"}
        space = image.get("/ColorSpace", image.get("/CS", []))
        for name in [space] if isinstance(space, Name) else list(space):
            if isinstance(name, Name):
                full = short.get(str(name), str(name))
                found = resources.get("/ColorSpace", Dictionary()).get(full)
                self.space(Name(full) if found is None else found, resources)
        self.filters(image.get("/Filter", image.get("/F", [])))
        if self.standard == "x1a" and image.get("/BitsPerComponent", image.get("/BPC", 8)) > 8:
            self.fault("01", "sixteen bits a component, which came with PDF 1.5")

    def picture(self, stream, resources, seen):
        if stream.objgen in seen:
            return
        seen.add(stream.objgen)
        if stream.get("/Subtype") == "/Form":
            if stream.get("/Group", {}).get("/S") == "/Transparency" and self.standard == "x1a":
                self.fault("14", "a form is a transparency group")
            self.mixed(stream, resources)
            self.content(stream, stream.get("/Resources", resources), seen)
        elif "/ColorSpace" in stream:
            self.space(stream.ColorSpace, resources)

    def space(self, space, resources):
        family = str(space) if isinstance(space, Name) else str(space[0])
        self.colours.add(family)
        # A space by device is plain unless another that is tied to a profile or a white point stands for it.
        other = resources.get("/ColorSpace", Dictionary()).get(DEFAULTS.get(family, "/"))
        tied = isinstance(other, Array) and str(other[0]) in ("/ICCBased", "/CalGray", "/CalRGB", "/Lab")
        if family in DEFAULTS and not tied:
            self.plain.add(family)
        if isinstance(space, Name):
            return
        if family in ("/Indexed", "/Pattern") and len(space) > 1:
            self.space(space[1], resources)
        if family in ("/Separation", "/DeviceN"):
            self.space(space[2], resources)

    def font(self, font):
        below = font.DescendantFonts[0] if "/DescendantFonts" in font else font
        described = below.get("/FontDescriptor", Dictionary())
        programs = [(key, described[key]) for key in HEADS if isinstance(described.get(key), pikepdf.Stream)]
        sound = any(bytes(program.read_bytes()).startswith(HEADS[key]) for key, program in programs)
        if not sound and font.get("/Subtype") != "/Type3":
            self.fonts[str(font.get("/BaseFont"))] = False

    def inks(self):
        allowed = {"/DeviceGray", "/DeviceCMYK", "/Separation", "/DeviceN", "/Indexed", "/Pattern"}
        if self.standard == "x1a":
            for family in sorted(self.colours - allowed):
                self.fault("12", f"{family} is used")
        else:
            for family in sorted(self.plain - UNDER.get(self.profile, {"/DeviceGray"})):
                self.fault("06", f"{family} is used under a profile for {self.profile}")
        for font in self.fonts:
            self.fault("13" if self.standard == "x1a" else "07", f"{font} is not embedded")


def check(data: bytes, standard: str):
    return Check(data, standard).run()


def own(program: str, data: bytes, standard: str):
    """The numbers of the points of a standard that the program's own preflight fails; all where it does not read the file."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(data)
        file.flush()
        done = subprocess.run([program, "preflight", file.name, "--json"], capture_output=True, text=True)
    report = json.loads(done.stdout)
    if report["unreadable"]:
        return ["encrypted"] if "encrypted" in report["unreadable"] else []
    prefix = {"x1a": "X1a-", "x4": "X4-"}[standard]
    return [check["id"] for check in report["checks"] if check["outcome"] == "FAIL" and check["id"].startswith(prefix)]


def answers(number: str, found: list, standard: str) -> bool:
    """Whether points of the program's own answer for a statement: X4-07a and its like for 07."""
    if number == "06" and "encrypted" in found:
        return True
    wanted = OWN[standard].get(number, {"x1a": "X1a-", "x4": "X4-"}[standard] + number)
    return any(point.startswith(wanted) for point in found)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--x1a", nargs="*", default=[])
    parser.add_argument("--x4", nargs="*", default=[])
    parser.add_argument("--plant", action="store_true")
    parser.add_argument("--own", metavar="PROGRAM")
    arguments = parser.parse_args()
    if not arguments.x1a and not arguments.x4:
        parser.error("no files")
    bad = 0
    for standard, files in (("x1a", arguments.x1a), ("x4", arguments.x4)):
        for path in files:
            with open(path, "rb") as file:
                data = file.read()
            faults = check(data, standard)
            print(f"{path}: {standard}: {len(faults)} faults")
            for number, words in faults:
                print(f"  {number}: {words}")
            bad += len(faults)
            if arguments.plant:
                count = 0
                for number, words, broken in planted(data, standard):
                    count += 1
                    found = {fault for fault, _ in check(broken, standard)}
                    if number is None and found:
                        print(f"  lawful, and yet a fault: {words}; found {sorted(found)}")
                        bad += 1
                    if number is not None and number not in found:
                        print(f"  planted, not found: {number} {words}; found {sorted(found)}")
                        bad += 1
                    if not arguments.own:
                        continue
                    answer = own(arguments.own, broken, standard)
                    if answer if number is None else not answers(number, answer, standard):
                        print(f"  the program's own preflight: {number or 'lawful'} {words}; it fails {answer}")
                        bad += 1
                print(f"  {count} changed files were looked at")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
