"""Tells which plates of a separation carry ink: only black, and a promised spot ink, may.

Usage: plates.py FOLDER [SPOT [RESOLUTION]], FOLDER holding what Ghostscript's tiffsep device wrote as sepN.tif. A plate is a grey
TIFF whose paper is 255; its packing is read here (TIFF 6.0, sections 9 and 13) so that no library is needed. With a resolution in
dots an inch the files promise printer's marks: both plates must have ink within 6.5 mm of each edge of the medium, where marks
stand and no page reaches, and it must be the same on both but at the foot, where the slug is black alone.
"""

import pathlib
import re
import struct
import sys
import zlib

class Plate:
    """One plate: its width and height in dots, and its levels row by row."""

    def __init__(self, path):
        data = path.read_bytes()
        order = "<" if data[:2] == b"II" else ">"
        at = struct.unpack(order + "I", data[4:8])[0]
        tags = {}
        for entry in range(struct.unpack(order + "H", data[at:at + 2])[0]):
            tag, kind, count, value = struct.unpack(order + "HHII", data[at + 2 + 12 * entry:at + 14 + 12 * entry])
            size = {1: 1, 3: 2, 4: 4, 5: 8}.get(kind, 1)
            if size * count > 4:
                form = {2: "H", 4: "I"}.get(size)
                tags[tag] = list(struct.unpack(order + str(count) + form, data[value:value + size * count])) if form else value
            else:
                tags[tag] = [value & 0xFFFF if kind == 3 else value]
        packing = tags.get(259, [1])[0]
        out = b""
        for offset, length in zip(tags[273], tags[279]):
            strip = data[offset:offset + length]
            if packing == 1:
                out += strip
            elif packing == 5:
                out += lzw(strip)
            elif packing in (8, 32946):
                out += zlib.decompress(strip)
            elif packing == 32773:
                out += packbits(strip)
            else:
                raise SystemExit(f"plate {path.name} is packed in an unknown way ({packing})")
        self.width, self.height, self.levels = tags[256][0], tags[257][0], out

    def inked(self):
        return min(self.levels, default=255) < 255

    def level(self, x, y):
        return self.levels[int(y) * self.width + int(x)]

    def edges(self, band):
        """Where the ink lies in a band along each edge: left, right, head, foot."""
        rows = range(self.height)
        sides = {
            "left": lambda x, y: x < band, "right": lambda x, y: x >= self.width - band,
            "head": lambda x, y: y < band, "foot": lambda x, y: y >= self.height - band,
        }
        ink = [(x, y) for y in rows for x in range(self.width) if self.levels[y * self.width + x] < 255
               and (x < band or y < band or x >= self.width - band or y >= self.height - band)]
        return {side: {place for place in ink if inside(*place)} for side, inside in sides.items()}

def packbits(data):
    out, at = bytearray(), 0
    while at < len(data):
        n = data[at]
        if n < 128:
            out += data[at + 1:at + 2 + n]; at += 2 + n
        elif n > 128:
            out += data[at + 1:at + 2] * (257 - n); at += 2
        else:
            at += 1
    return bytes(out)

def lzw(data):
    out, table, width, code, bits = bytearray(), None, 9, 0, 0
    previous = None
    for byte in data:
        code = code << 8 | byte; bits += 8
        while bits >= width:
            value = code >> (bits - width) & ((1 << width) - 1)
            bits -= width
            if value == 256:
                table, width, previous = [bytes([i]) for i in range(256)] + [b"", b""], 9, None
                continue
            if value == 257:
                return bytes(out)
            entry = table[value] if value < len(table) else previous + previous[:1]
            out += entry
            if previous is not None:
                table.append(previous + entry[:1])
            previous = entry
            if len(table) >= (1 << width) - 1 and width < 12:
                width += 1
    return bytes(out)

def main():
    folder, spot = pathlib.Path(sys.argv[1]), sys.argv[2]
    resolution = float(sys.argv[3]) if len(sys.argv) > 3 else None
    plates, faults, black, second = 0, [], False, False
    margins = {}
    for path in sorted(folder.glob("sep*(*).tif*")):
        ink = re.search(r"\((.*)\)", path.name).group(1)
        plates += 1
        plate = Plate(path)
        inked = plate.inked()
        black |= inked and ink == "Black"
        second |= inked and ink == spot
        if inked and ink not in ("Black", spot):
            faults.append(f"ink on the plate {ink} ({path.name})")
        if resolution and ink in ("Black", spot):
            margins.setdefault(path.name.split("(")[0], {})[ink] = plate.edges(int(6.5 / 25.4 * resolution))
    if plates == 0:
        faults.append("no plates were made")
    elif not black:
        faults.append("the black plate is empty")
    elif spot and not second:
        faults.append(f"the plate {spot} is empty")
    for page, inks in margins.items():
        for ink, sides in inks.items():
            faults.extend(f"no mark at the {side} of the plate {ink} ({page})" for side, ink_there in sides.items() if not ink_there)
        for side in ("left", "right", "head"):
            if len({frozenset(sides[side]) for sides in inks.values()}) > 1:
                faults.append(f"the marks at the {side} differ from plate to plate ({page})")
    print("; ".join(faults[:5]))
    sys.exit(bool(faults))


if __name__ == "__main__":
    main()
