"""Press files with one fault each, and lawful ones that look as if they had: what pdfx_check.py has to find, and to leave alone.

Takes a sound press file; gives changed ones, each with the number of the statement that it breaks, or none. Statements: see
pdfx_check.py.
"""

import io
import re

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, String


def saved(pdf: Pdf, **options) -> bytes:
    out = io.BytesIO()
    pdf.save(out, **{"fix_metadata_version": False, "object_stream_mode": pikepdf.ObjectStreamMode.disable, **options})
    return out.getvalue()


def planted(data: bytes, standard: str):
    """Each way of breaking a statement of a standard: its number, what was done, the broken file. No number: it is lawful."""

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
        usual = dict(Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1, ColorSpace=Name.DeviceGray, BitsPerComponent=8)
        stream = pdf.make_stream(b"" if entries.get("Subtype") == Name.Form else b"\x80\x80", **{**usual, **entries})
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

    def colour(pdf, space, operators=b"/Odd cs 1 scn"):
        resources = pdf.pages[0].obj.Resources
        resources.ColorSpace = Dictionary(resources.get("/ColorSpace", Dictionary()))
        resources.ColorSpace.Odd = space
        append(pdf, operators)

    def separation(alternate):
        tint = Dictionary(FunctionType=2, Domain=Array([0, 1]), N=1)
        return Array([Name.Separation, Name.Odd, alternate, tint])

    def stands_for(pdf, key):
        profile = pdf.make_stream(b"\0" * 200, N=4)
        pdf.pages[0].obj.Resources.ColorSpace = Dictionary({key: Array([Name.ICCBased, profile])})

    def profile(pdf, space):
        head = bytearray(200)
        head[12:16], head[16:20], head[36:40] = b"prtr", space, b"acsp"
        intent(pdf).DestOutputProfile = pdf.make_stream(bytes(head))

    def same_name(pdf):
        fonts = pdf.pages[0].obj.Resources.Font
        called = next(iter(fonts.values())).BaseFont
        fonts["/Other"] = pdf.make_indirect(Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=called))
        append(pdf, b"BT /Other 9 Tf (x) Tj ET")

    def above(pdf, keys):
        for key in keys:
            value = pdf.pages[0].obj[key]
            for page in pdf.pages:
                del page.obj[key]
            pdf.Root.Pages[key] = value

    def behind(pdf):
        owners = {
            ("/Title", "/CreationDate", "/ModDate", "/GTS_PDFXVersion", "/Trapped"): pdf.trailer.Info,
            ("/S", "/OutputConditionIdentifier", "/RegistryName", "/Info"): intent(pdf),
        }
        for keys, owner in owners.items():
            for key in keys:
                if key in owner:
                    owner[key] = pdf.make_indirect(owner[key])

    def older(pdf):
        pdf.trailer.Info.GTS_PDFXVersion = String("PDF/X-1:2001")
        pdf.trailer.Info.GTS_PDFXConformance = String("PDF/X-1a:2001")

    def embedded(pdf):
        files = Array([String("a"), Dictionary(Type=Name.Filespec, F=String("a"), EF=Dictionary(F=pdf.make_stream(b"x")))])
        pdf.Root.Names = Dictionary(EmbeddedFiles=Dictionary(Names=files))

    def other_page(pdf):
        resources = pdf.pages[0].obj.Resources
        resources.XObject = Dictionary(resources.get("/XObject", Dictionary()))
        resources.XObject.Odd = pdf.make_stream(b"", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]),
                                                Ref=Dictionary(F=String("a.pdf"), Page=0))
        append(pdf, b"/Odd Do")

    def packed(pdf):
        picture(pdf)
        image = pdf.pages[0].obj.Resources.XObject.Odd
        image.write(bytes([0x80, 0x0B, 0x60, 0x50, 0x22, 0x0C, 0x0C, 0x85, 0x01]), filter=Name.LZWDecode)
        image.Filter = pdf.make_indirect(Name.LZWDecode)

    def other_prefix(pdf):
        text = bytes(pdf.Root.Metadata.read_bytes())
        pdf.Root.Metadata.write(text.replace(b"pdfxid:", b"px:").replace(b"xmlns:pdfxid=", b"xmlns:px="))

    def no_title(pdf):
        text = bytes(pdf.Root.Metadata.read_bytes())
        empty = re.sub(rb"(<rdf:li xml:lang=\"x-default\">)[^<]*", rb"\1 ", text, count=1)
        assert empty != text
        pdf.Root.Metadata.write(empty)

    def no_fonts(pdf):
        for entry in pdf.objects:
            if isinstance(entry, Dictionary) and "/FontFile3" in entry:
                entry.FontFile3.write(b"this is no font at all")

    def other_printed(pdf, printed=True):
        other = pdf.make_stream(b"\x80", Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1,
                                ColorSpace=Name.DeviceGray, BitsPerComponent=8)
        picture(pdf, Alternates=Array([Dictionary(Image=other, DefaultForPrinting=printed)]))

    def five(**parts):
        return Dictionary(Type=Name.Halftone, HalftoneType=5, Default=plain(), **parts)

    def plain(**entries):
        return Dictionary(Type=Name.Halftone, HalftoneType=1, Frequency=60, Angle=45, SpotFunction=Name.Round, **entries)

    def masked(operators):
        def change(pdf):
            face = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
            group = pdf.make_stream(operators, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 50, 50]),
                                    Group=Dictionary(S=Name.Transparency, CS=Name.DeviceGray),
                                    Resources=Dictionary(Font=Dictionary(Odd=face)))
            state(pdf, SMask=Dictionary(Type=Name.Mask, S=Name.Luminosity, G=group))
        return change

    curve = Dictionary(FunctionType=2, Domain=Array([0, 1]), N=2)
    deep = b"q BI /W 1 /H 1 /CS /G /BPC 16 ID ab EI Q"
    inline_indexed = b"q BI /W 1 /H 1 /BPC 8 /CS [/I /RGB 1 <ffffff000000>] ID \x00 EI Q"
    inline_lzw = b"q BI /W 1 /H 1 /BPC 8 /CS /G /F /LZW ID \x80\x0b\x60\x50\x22\x0c\x0c\x85\x01 EI Q"
    cmyk = b"0.5 0.5 0 0 k 0 0 50 50 re f"
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
        ("19", "an alternate picture that is the one to print", other_printed, {}),
        ("19", "a PostScript picture", lambda p: picture(p, Subtype2=Name.PS), {}),
        ("19", "a stream outside the file", outside, {}),
        ("19", "a separated page", lambda p: first(p).__setitem__("/SeparationInfo", Dictionary()), {}),
        ("20", "an unknown operator", lambda p: append(p, b"BX 1 odd EX"), {}),
        ("20", "a graphics state that is not there", lambda p: append(p, b"/Nowhere gs"), {}),
        ("03", "an empty title", no_title, {}),
        ("03", "Info says another trapping state", lambda p: p.trailer.Info.__setitem__("/Trapped", Name("/True")), {}),
        ("06", "CMYK under a profile for grey", lambda p: append(p, cmyk), {}),
        ("01", "version 2.0 in the catalog", lambda p: p.Root.__setitem__("/Version", Name("/2.0")), {}),
        ("03", "metadata that are no XML", packet(b"</rdf:RDF>", b"</rdf:RDX>"), {}),
        ("03", "a date that is none", packet(b"<xmp:CreateDate>", b"<xmp:CreateDate>about "), {}),
        ("03", "a proof", packet(b"<xmpMM:RenditionClass>default<", b"<xmpMM:RenditionClass>proof<"), {}),
        ("06", "RGB in a soft mask", masked(b"1 0 0 rg 0 0 10 10 re f"), {}),
        ("07", "a font that is not embedded in a soft mask", masked(b"BT /Odd 9 Tf (x) Tj ET"), {}),
        ("07", "fonts that are none", no_fonts, {}),
        ("07", "a transfer curve in a part of a halftone", lambda p: state(p, HT=five(Black=plain(TransferFunction=curve))), {}),
        ("20", "content that is no stream", lambda p: first(p).__setitem__("/Contents", Array([Name.Odd, 7])), {}),
        ("06", "a spot ink with CMYK under a profile for grey", lambda p: colour(p, separation(Name.DeviceCMYK)), {}),
        ("06", "a group mixed in CMYK", lambda p: first(p).__setitem__(
            "/Group", Dictionary(S=Name.Transparency, CS=Name.DeviceCMYK)), {}),
        ("06", "grey under a profile for RGB", lambda p: profile(p, b"RGB "), {}),
        ("07", "a font of the name of one that is embedded", same_name, {}),
        ("19", "a page of another file", other_page, {}),
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
        ("19", "an alternate picture that is the one to print", other_printed, {}),
        ("01", "version 1.7 in the catalog", lambda p: p.Root.__setitem__("/Version", Name("/1.7")), {}),
        ("01", "a picture of sixteen bits", lambda p: picture(p, BitsPerComponent=16), {}),
        ("01", "an inline picture of sixteen bits", lambda p: append(p, deep), {}),
        ("02", "both parts of the standard", lambda p: p.docinfo.__setitem__(
            "/GTS_PDFXConformance", String("PDF/X-1a:2001")), {}),
        ("03", "a date that is none", lambda p: p.docinfo.__setitem__("/ModDate", String("yesterday")), {}),
        ("13", "fonts that are none", no_fonts, {}),
        ("16", "an action to follow a thread", lambda p: p.Root.__setitem__(
            "/Odd", p.make_indirect(Dictionary(A=Dictionary(S=Name.Thread)))), {}),
        ("18", "a halftone of type 6 in one of type 5", lambda p: state(p, HT=five(Black=Dictionary(HalftoneType=6))), {}),
        ("18", "a transfer curve in a halftone", lambda p: state(p, HT=plain(TransferFunction=curve)), {}),
        ("19", "a form that is PostScript", lambda p: picture(p, Subtype=Name.Form, PS=Dictionary()), {}),
        ("20", "content that is no stream", lambda p: first(p).__setitem__("/Contents", Array([Name.Odd, 7])), {}),
        ("20", "content that is a dictionary", lambda p: first(p).__setitem__("/Contents", Dictionary()), {}),
        ("19", "a separated page", lambda p: first(p).__setitem__("/SeparationInfo", Dictionary()), {}),
        ("20", "an unknown operator", lambda p: append(p, b"BX 1 odd EX"), {}),
        ("01", "a unit of its own", lambda p: first(p).__setitem__("/UserUnit", 2), {}),
        ("02", "the older part of the standard in PDF 1.4", older, {}),
        ("07", "boxes in the page tree", lambda p: above(p, ("/TrimBox", "/BleedBox", "/CropBox", "/MediaBox")), {}),
        ("12", "RGB in an inline picture with a table", lambda p: append(p, inline_indexed), {}),
        ("13", "a font of the name of one that is embedded", same_name, {}),
        ("13", "a font that a graphics state chooses", lambda p: state(p, Font=Array([p.make_indirect(Dictionary(
            Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Unused)), 9])), {}),
        ("14", "a blend mode behind a reference", lambda p: state(p, BM=p.make_indirect(Name.Multiply)), {}),
        ("15", "LZW in an inline picture", lambda p: append(p, inline_lzw), {}),
        ("15", "LZW behind a reference", packed, {"stream_decode_level": pikepdf.StreamDecodeLevel.none, "compress_streams": False}),
        ("19", "an embedded file", embedded, {}),
        ("19", "a page of another file", other_page, {}),
        ("20", "a picture that is not there", lambda p: append(p, b"/Nowhere Do"), {}),
        ("20", "a font that is not there", lambda p: append(p, b"BT /Nowhere 9 Tf (x) Tj ET"), {}),
        ("20", "a colour space that is not there", lambda p: append(p, b"/Nowhere cs"), {}),
        ("21", "an odd print area", lambda p: p.Root.__setitem__("/ViewerPreferences", Dictionary(PrintArea=Name.ArtBox)), {}),
    ]
    lawful = [
        ("another picture that is not the one to print", lambda p: other_printed(p, False), {}),
        ("a transfer curve for a spot ink", lambda p: state(p, HT=five(Odd=plain(TransferFunction=curve))), {}),
        ("an earlier version in the catalog", lambda p: p.Root.__setitem__("/Version", Name("/1.3")), {}),
        ("entries behind references", behind, {}),
        ("a font that is not used", lambda p: first(p).Resources.Font.__setitem__("/Unused", Dictionary(
            Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Unused)), {}),
        ("a list of blend modes, all Normal", lambda p: state(p, BM=Array([Name.Normal]), SMask=Name("/None"), ca=1), {}),
        ("a picture whose soft mask is the name None", lambda p: picture(p, SMask=Name("/None")), {}),
        ("a text that speaks of cross-reference streams", lambda p: p.trailer.Info.__setitem__(
            "/Subject", String("of /Type /XRef and /ObjStm streams")), {}),
        ("a trim box by its other corners", lambda p: first(p).__setitem__(
            "/TrimBox", Array([first(p).TrimBox[n] for n in (2, 3, 0, 1)])), {}),
        ("a medium in the page tree", lambda p: above(p, ("/MediaBox",)), {}),
    ]
    lawful += [
        ("the older part of the standard", older, {"force_version": "1.3"}),
    ] if standard == "x1a" else [
        ("another prefix", other_prefix, {}),
        ("CMYK under a profile for CMYK", lambda p: (profile(p, b"CMYK"), append(p, cmyk)), {}),
        ("CMYK that another space stands for", lambda p: (stands_for(p, "/DefaultCMYK"), append(p, cmyk)), {}),
    ]
    for number, words, change, options in plants if standard == "x1a" else x4:
        yield number, words, with_pdf(change, **options)
    for words, change, options in lawful:
        yield None, words, with_pdf(change, **options)
    yield from raw
