"""Photos as devices send them: made here, with a place and other things in them that must not be kept."""

from __future__ import annotations

import io
import struct
import zlib
from functools import cache

from PIL import Image, ImageCms

SECRET = b"52N-somewhere"
"""Stands in every part of a photo that is no picture."""


def _place(turned: int = 1) -> Image.Exif:
    """What a phone writes down: how it was held, what it is, where it was."""
    found = Image.Exif()
    found[0x0112], found[0x010F] = turned, SECRET.decode()
    found.get_ifd(0x8825).update({1: "N", 2: (52, 30, 10), 3: "E", 4: (13, 20, 5), 29: SECRET.decode()})
    return found


def picture(size: tuple[int, int]) -> Image.Image:
    """Red above, blue below."""
    image = Image.new("RGB", size, "#c02020")
    image.paste("#2020c0", (0, size[1] // 2, *size))
    return image


def sent(kind: str, size: tuple[int, int] = (900, 600), turned: int = 1, mode: str = "RGB") -> bytes:
    """A photo in one of the kinds, with all that may stand in it besides."""
    out = io.BytesIO()
    more: dict[str, object] = {"exif": _place(turned)}
    if kind == "JPEG":
        more |= {"comment": SECRET, "icc_profile": ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()}
    picture(size).convert(mode).save(out, kind, **more)
    data = out.getvalue()
    if kind == "JPEG":
        xmp = b"http://ns.adobe.com/xap/1.0/\0" + SECRET
        for mark, part in ((0xE1, xmp), (0xED, b"Photoshop 3.0\0" + SECRET)):
            data = data[:2] + struct.pack(">BBH", 0xFF, mark, len(part) + 2) + part + data[2:]
    if kind == "PNG":
        text = b"tEXtComment\0" + SECRET
        chunk = struct.pack(">I", len(text) - 4) + text + struct.pack(">I", zlib.crc32(text))
        data = data[:33] + chunk + data[33:]
    return data


@cache
def of_12_megabytes() -> bytes:
    """A photo as large as a good phone's: 12 megapixels, padded to 12 MB by what an app wrote into it."""
    out = io.BytesIO()
    picture((4000, 3000)).save(out, "JPEG", quality=90, exif=_place(6))
    data = out.getvalue()
    part = struct.pack(">BBH", 0xFF, 0xEA, 65_535) + SECRET.ljust(65_533, b"x")
    return data[:2] + part * (-(-(12_000_000 - len(data)) // len(part))) + data[2:]


def of_many_pixels(across: int, down: int) -> bytes:
    """A PNG whose head says that it is so large; nothing is in it."""
    head = b"IHDR" + struct.pack(">IIBBBBB", across, down, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + head + struct.pack(">I", zlib.crc32(head)) + b"\0\0\0\1IDATx"
