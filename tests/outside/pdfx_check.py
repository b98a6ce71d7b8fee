"""An independent check of press files against the numbered statements for PDF/X-1a:2003 and PDF/X-4.

Usage: pdfx_check.py [--x1a FILE...] [--x4 FILE...] [--plant]

It shares no code with the program: files are read with pikepdf (pinned in requirements.txt), content streams with its
parser. Statements: ISO 15930-4:2003 and ISO 15930-7:2010 as quoted by public preflight rules and descriptions; the ISO texts
themselves were not read. `--plant` changes each given file in every way that a statement of its standard forbids, and demands that
the check finds each by its number; a planted fault that is not found is a failure.
"""

import argparse
import io
import re
import sys
from decimal import Decimal

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, String

HUNDREDTH_MM = 0.01 / 25.4 * 72
OPERATORS = set(
    "b B b* B* BDC BI BMC BT BX c cm CS cs d d0 d1 Do DP EI EMC ET EX f F f* G g gs h i ID j J K k l m M MP n q Q re RG rg "
    "ri s S SC sc SCN scn sh T* Tc Td TD Tf Tj TJ TL Tm Tr Ts Tw Tz v w W W* y ' \" INLINE IMAGE".split()
)


class Check:
    def __init__(self, data: bytes, standard: str):
        self.data, self.standard, self.faults = data, standard, []
        self.pdf = Pdf.open(io.BytesIO(data))
        self.colours, self.fonts = set(), {}

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
            self.content(page, page.obj.get("/Resources", Dictionary()), set())
        self.intents()
        self.objects()
        self.inks()
        return self.faults

    def form(self):
        version = float(self.data[5:8])
        limit = 1.4 if self.standard == "x1a" else 1.6
        if version > limit:
            self.fault("01", f"the header says {version}")
        if self.standard == "x1a" and (b"/ObjStm" in self.data or b"/XRef" in self.data or "/OCProperties" in self.pdf.Root):
            self.fault("01", "constructs of PDF 1.5")
        info = self.pdf.docinfo
        if self.standard == "x1a":
            if str(info.get("/GTS_PDFXVersion", "")) != "PDF/X-1a:2003":
                self.fault("02", "the version is not named in Info")
            for key in ("/Title", "/CreationDate", "/ModDate"):
                if not str(info.get(key, "")).strip():
                    self.fault("03", f"{key} is missing")
            if info.get("/Trapped") not in (Name("/True"), Name("/False")):
                self.fault("04", "the trapping state is missing or no name")
        else:
            packet = bytes(self.pdf.Root.Metadata.read_bytes()).decode() if "/Metadata" in self.pdf.Root else ""
            if not re.search(r"<pdfxid:GTS_PDFXVersion>PDF/X-4</", packet):
                self.fault("02", "the version is not named in the metadata")
            for key in ("dc:title", "xmp:CreateDate", "xmp:ModifyDate", "xmp:MetadataDate", "xmpMM:DocumentID",
                        "xmpMM:VersionID", "xmpMM:RenditionClass", "pdf:Trapped"):
                if f"<{key}>" not in packet:
                    self.fault("03", f"{key} is missing")
        identity = self.pdf.trailer.get("/ID")
        if identity is None or len(identity) != 2 or not all(len(bytes(part)) for part in identity):
            self.fault("05" if self.standard == "x1a" else "08", "the trailer has no pair of ids")
        if self.pdf.is_encrypted:
            self.fault("06", "the file is encrypted")

    def boxes(self, index, page):
        number = "07" if self.standard == "x1a" else "08"
        box = lambda key: [float(v) for v in page.obj[key]] if key in page.obj else None
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
        area = [float(v) for v in page.obj.get("/BleedBox", page.obj.get("/TrimBox", page.obj.get("/MediaBox")))]
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
            if head[36:40] != b"acsp" or head[12:16] != b"prtr" or head[16:20] not in (b"CMYK", b"GRAY"):
                self.fault(eleven, "the profile is not one for output in CMYK or grey")

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
        filters = stream.get("/Filter", [])
        filters = [filters] if isinstance(filters, Name) else list(filters)
        banned = {"/LZWDecode", "/JBIG2Decode", "/JPXDecode"} if self.standard == "x1a" else set()
        for name in filters:
            if str(name) in banned:
                self.fault("15", f"{name} is used")
        if "/F" in stream:
            self.fault("19", "a stream outside the file")
        if stream.get("/Subtype") == "/PS" or stream.get("/Subtype2") == "/PS":
            self.fault("19", "a PostScript picture")
        if "/Alternates" in stream or "/OPI" in stream:
            self.fault("19", "an alternate or swapped picture")
        if stream.get("/Subtype") == "/Image" and "/SMask" in stream and self.standard == "x1a":
            self.fault("14", "a picture with a soft mask")

    def dictionary(self, entry, depth):
        sixteen = "16" if self.standard == "x1a" else "07"
        if entry.get("/S") == "/JavaScript" or "/JS" in entry or "/AcroForm" in entry or "/JavaScript" in entry:
            self.fault(sixteen, "a script or a form")
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
            if "/BM" in entry and entry["/BM"] not in (Name.Normal, Name.Compatible):
                self.fault("14", "a blend mode")
        if depth < 12:
            for key, value in entry.items():
                # What is an object of its own is looked at as one.
                inner = list(value) if isinstance(value, Array) and not value.is_indirect else [value]
                for one in inner:
                    if isinstance(one, Dictionary) and not one.is_indirect and key != "/Parent":
                        self.dictionary(one, depth + 1)

    def content(self, holder, resources, seen):
        for key, space in resources.get("/ColorSpace", Dictionary()).items():
            if key in ("/DefaultGray", "/DefaultRGB", "/DefaultCMYK"):
                self.space(space)
        for instruction in pikepdf.parse_content_stream(holder):
            operator, operands = str(instruction.operator), instruction.operands
            if isinstance(instruction, pikepdf.ContentStreamInlineImage):
                space = instruction.iimage.obj.get("/ColorSpace", instruction.iimage.obj.get("/CS"))
                if space is not None:
                    names = {"/G": "/DeviceGray", "/RGB": "/DeviceRGB", "/CMYK": "/DeviceCMYK", "/I": "/Indexed"}
                    key = str(space) if isinstance(space, Name) else str(space[0])
                    self.colours.add(names.get(key, key))
            elif operator not in OPERATORS:
                self.fault("20", f"the operator {operator}")
            elif operator in ("rg", "RG"):
                self.colours.add("/DeviceRGB")
            elif operator in ("k", "K"):
                self.colours.add("/DeviceCMYK")
            elif operator in ("g", "G"):
                self.colours.add("/DeviceGray")
            elif operator in ("cs", "CS"):
                self.space(resources.get("/ColorSpace", Dictionary()).get(str(operands[0]), operands[0]))
            elif operator == "Tf":
                self.font(resources.Font[str(operands[0])])
            elif operator == "Do":
                self.picture(resources.XObject[str(operands[0])], resources, seen)
            elif operator == "sh":
                self.space(resources.Shading[str(operands[0])].ColorSpace)

    def picture(self, stream, resources, seen):
        if stream.objgen in seen:
            return
        seen.add(stream.objgen)
        if stream.get("/Subtype") == "/Form":
            if stream.get("/Group", {}).get("/S") == "/Transparency" and self.standard == "x1a":
                self.fault("14", "a form is a transparency group")
            self.content(stream, stream.get("/Resources", resources), seen)
        elif "/ColorSpace" in stream:
            self.space(stream.ColorSpace)

    def space(self, space):
        if isinstance(space, Name):
            self.colours.add(str(space))
            return
        family = str(space[0])
        self.colours.add(family)
        if family in ("/Indexed", "/Pattern") and len(space) > 1:
            self.space(space[1])
        if family in ("/Separation", "/DeviceN"):
            self.space(space[2])

    def font(self, font):
        below = font.DescendantFonts[0] if "/DescendantFonts" in font else font
        described = below.get("/FontDescriptor", Dictionary())
        if not any(key in described for key in ("/FontFile", "/FontFile2", "/FontFile3")):
            if font.get("/Subtype") != "/Type3":
                self.fonts[str(font.get("/BaseFont"))] = False

    def inks(self):
        allowed = {"/DeviceGray", "/DeviceCMYK", "/Separation", "/DeviceN", "/Indexed", "/Pattern"}
        if self.standard == "x4":
            allowed |= {"/ICCBased", "/Lab", "/CalRGB", "/CalGray"}
        for family in sorted(self.colours - allowed):
            self.fault("12" if self.standard == "x1a" else "06", f"{family} is used")
        for font in self.fonts:
            self.fault("13" if self.standard == "x1a" else "07", f"{font} is not embedded")


def check(data: bytes, standard: str):
    return Check(data, standard).run()


def saved(pdf: Pdf, **options) -> bytes:
    out = io.BytesIO()
    pdf.save(out, **{"fix_metadata_version": False, "object_stream_mode": pikepdf.ObjectStreamMode.disable, **options})
    return out.getvalue()


def planted(data: bytes, standard: str):
    """Each way of breaking a statement of a standard: its number, what was done, the broken file."""

    def with_pdf(change, **options):
        pdf = Pdf.open(io.BytesIO(data))
        change(pdf)
        return saved(pdf, **options)

    def drop(owner, key):
        del owner[key]

    def append(pdf, operators: bytes):
        pdf.pages[0].contents_add(pdf.make_stream(operators))

    def state(pdf, **entries):
        resources = pdf.pages[0].obj.Resources
        resources.ExtGState = Dictionary(Odd=Dictionary(**entries))
        append(pdf, b"/Odd gs")

    def unembed(pdf):
        for entry in pdf.objects:
            if isinstance(entry, Dictionary) and "/FontFile3" in entry:
                del entry["/FontFile3"]

    def picture(pdf, **entries):
        stream = pdf.make_stream(b"\x80", Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1,
                                 ColorSpace=Name.DeviceGray, BitsPerComponent=8, **entries)
        resources = pdf.pages[0].obj.Resources
        resources.XObject = Dictionary(resources.get("/XObject", Dictionary()))
        resources.XObject.Odd = stream
        append(pdf, b"q /Odd Do Q")

    def lab(pdf):
        pdf.pages[0].obj.Resources.ColorSpace = Dictionary(
            Odd=Array([Name.Lab, Dictionary(WhitePoint=Array([0.96, 1, 0.82]))])
        )
        append(pdf, b"/Odd cs 0 0 0 scn")

    def lzw(pdf):
        stream = pdf.make_stream(b"")
        stream.write(bytes([0x80, 0x0B, 0x60, 0x50, 0x22, 0x0C, 0x0C, 0x85, 0x01]), filter=Name.LZWDecode)
        pdf.Root.Odd = stream

    def note(pdf):
        page = pdf.pages[0].obj
        page.Annots = Array([Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=Array([100, 100, 200, 200]))])

    def form(pdf):
        stream = pdf.make_stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]),
                                 Group=Dictionary(S=Name.Transparency))
        resources = pdf.pages[0].obj.Resources
        resources.XObject = Dictionary(resources.get("/XObject", Dictionary()))
        resources.XObject.Odd = stream
        append(pdf, b"q /Odd Do Q")

    def default(pdf):
        space = Array([Name.CalGray, Dictionary(WhitePoint=Array([0.96, 1, 0.82]))])
        pdf.pages[0].obj.Resources.ColorSpace = Dictionary(DefaultGray=space)

    def named_script(pdf):
        action = Dictionary(S=Name.JavaScript, JS=String("1"))
        pdf.Root.Names = Dictionary(JavaScript=Dictionary(Names=Array([String("a"), action])))

    def outside(pdf):
        pdf.Root.Odd = pdf.make_stream(b"", F=String("elsewhere.dat"))

    def packet(old, new):
        def change(pdf):
            text = bytes(pdf.Root.Metadata.read_bytes())
            assert old in text, old
            pdf.Root.Metadata.write(text.replace(old, new))
        return change

    inline = b"q BI /W 1 /H 1 /CS /RGB /BPC 8 ID abc EI Q"
    halftone = Dictionary(Type=Name.Halftone, HalftoneType=1, Frequency=60, Angle=45, SpotFunction=Name.Round,
                          HalftoneName=String("own"))
    no_id = lambda: re.sub(rb"/ID(\s*\[)", rb"/IX\1", data)
    first = lambda pdf: pdf.pages[0].obj
    intent = lambda pdf: pdf.Root.OutputIntents[0]
    raw = []
    if no_id() == data:
        raise SystemExit("the id of the file is not where it is looked for")
    if standard == "x1a":
        raw = [("05", "no id", no_id())]
    else:
        raw = [("08", "no id", no_id())]
    x4 = [
        ("01", "version 1.7", lambda p: None, {"force_version": "1.7"}),
        ("02", "no version", packet(b"<pdfxid:GTS_PDFXVersion>PDF/X-4<", b"<pdfxid:GTS_PDFXVersion>PDF/X-9<"), {}),
        ("03", "no trapping state", packet(b"<pdf:Trapped>False</pdf:Trapped>", b""), {}),
        ("03", "no version id", packet(b"<xmpMM:VersionID>1</xmpMM:VersionID>", b""), {}),
        ("04", "no intent", lambda p: drop(p.Root, "/OutputIntents"), {}),
        ("04", "two intents", lambda p: p.Root.OutputIntents.append(p.Root.OutputIntents[0]), {}),
        ("04", "no profile", lambda p: drop(intent(p), "/DestOutputProfile"), {}),
        ("04", "an odd profile", lambda p: intent(p).__setitem__("/DestOutputProfile", p.make_stream(b"\0" * 200)), {}),
        ("06", "RGB", lambda p: append(p, b"1 0 0 rg"), {}),
        ("06", "RGB in an inline picture", lambda p: append(p, inline), {}),
        ("06", "encryption", lambda p: None, {"encryption": pikepdf.Encryption(owner="a", user="")}),
        ("07", "a font that is not embedded", unembed, {}),
        ("07", "a script", lambda p: p.Root.__setitem__("/OpenAction", Dictionary(S=Name.JavaScript, JS=String("1"))), {}),
        ("07", "a script by name", named_script, {}),
        ("07", "a form to fill in", lambda p: p.Root.__setitem__("/AcroForm", Dictionary()), {}),
        ("07", "a link on the page", note, {}),
        ("07", "a transfer curve", lambda p: state(p, TR=Name.Identity), {}),
        ("07", "a halftone by name", lambda p: state(p, HT=halftone), {}),
        ("08", "no trim box", lambda p: drop(first(p), "/TrimBox"), {}),
        ("08", "trim box and art box", lambda p: first(p).__setitem__("/ArtBox", first(p).TrimBox), {}),
        ("08", "trim outside bleed", lambda p: first(p).__setitem__("/TrimBox", Array([0, 0, 9, 9])), {}),
        ("08", "an empty trim box", lambda p: first(p).__setitem__("/TrimBox", Array([100, 100, 100, 100])), {}),
        ("19", "an alternate picture", lambda p: picture(p, Alternates=Array([])), {}),
        ("19", "a PostScript picture", lambda p: picture(p, Subtype2=Name.PS), {}),
        ("19", "a stream outside the file", outside, {}),
        ("19", "a separated page", lambda p: first(p).__setitem__("/SeparationInfo", Dictionary()), {}),
        ("20", "an unknown operator", lambda p: append(p, b"BX 1 odd EX"), {}),
    ]
    plants = [
        ("01", "version 1.7", lambda p: None, {"force_version": "1.7"}),
        ("01", "object streams", lambda p: None, {"object_stream_mode": pikepdf.ObjectStreamMode.generate}),
        ("02", "another version in Info", lambda p: p.docinfo.__setitem__("/GTS_PDFXVersion", String("PDF/X-3:2003")), {}),
        ("03", "no title", lambda p: drop(p.docinfo, "/Title"), {}),
        ("04", "trapping unknown", lambda p: p.docinfo.__setitem__("/Trapped", Name.Unknown), {}),
        ("07", "no trim box", lambda p: drop(first(p), "/TrimBox"), {}),
        ("06", "encryption", lambda p: None, {"encryption": pikepdf.Encryption(owner="a", user="")}),
        ("07", "an empty trim box", lambda p: first(p).__setitem__("/TrimBox", Array([100, 100, 100, 100])), {}),
        ("12", "RGB in an inline picture", lambda p: append(p, inline), {}),
        ("12", "grey that stands for another space", default, {}),
        ("14", "a form that is a transparency group", form, {}),
        ("16", "a script by name", named_script, {}),
        ("18", "a halftone by name", lambda p: state(p, HT=halftone), {}),
        ("19", "a PostScript picture", lambda p: picture(p, Subtype2=Name.PS), {}),
        ("19", "a stream outside the file", outside, {}),
        ("07", "trim box and art box", lambda p: first(p).__setitem__("/ArtBox", first(p).TrimBox), {}),
        ("08", "trim outside bleed", lambda p: first(p).__setitem__("/TrimBox", Array([0, 0, 9, 9])), {}),
        ("09", "no intent", lambda p: drop(p.Root, "/OutputIntents"), {}),
        ("09", "two intents", lambda p: p.Root.OutputIntents.append(p.Root.OutputIntents[0]), {}),
        ("10", "no registry", lambda p: drop(intent(p), "/RegistryName"), {}),
        ("10", "no name", lambda p: drop(intent(p), "/OutputConditionIdentifier"), {}),
        ("11", "an odd profile", lambda p: intent(p).__setitem__("/DestOutputProfile", p.make_stream(b"\0" * 200)), {}),
        ("12", "RGB", lambda p: append(p, b"1 0 0 rg"), {}),
        ("12", "Lab", lab, {}),
        ("13", "a font that is not embedded", unembed, {}),
        ("14", "opacity", lambda p: state(p, ca=0.5), {}),
        ("14", "blend mode", lambda p: state(p, BM=Name.Multiply), {}),
        ("14", "transparency group", lambda p: first(p).__setitem__("/Group", Dictionary(S=Name.Transparency)), {}),
        ("15", "LZW", lzw, {"stream_decode_level": pikepdf.StreamDecodeLevel.none, "compress_streams": False}),
        ("16", "a script", lambda p: p.Root.__setitem__("/OpenAction", Dictionary(S=Name.JavaScript, JS=String("1"))), {}),
        ("17", "a link on the page", note, {}),
        ("18", "a transfer curve", lambda p: state(p, TR=Name.Identity), {}),
        ("19", "an alternate picture", lambda p: picture(p, Alternates=Array([])), {}),
        ("19", "a separated page", lambda p: first(p).__setitem__("/SeparationInfo", Dictionary()), {}),
        ("20", "an unknown operator", lambda p: append(p, b"BX 1 odd EX"), {}),
        ("21", "an odd print area", lambda p: p.Root.__setitem__("/ViewerPreferences", Dictionary(PrintArea=Name.ArtBox)), {}),
    ]
    for number, words, change, options in plants if standard == "x1a" else x4:
        yield number, words, with_pdf(change, **options)
    yield from raw


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--x1a", nargs="*", default=[])
    parser.add_argument("--x4", nargs="*", default=[])
    parser.add_argument("--plant", action="store_true")
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
                    if number not in found:
                        print(f"  planted, not found: {number} {words}; found {sorted(found)}")
                        bad += 1
                print(f"  {count} planted faults were looked for")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
