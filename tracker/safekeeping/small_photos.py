"""Photos made small and bare: whatever a device sends becomes a JPEG of moderate size, the picture and no more.

Where it was taken, when, and with what is left behind, since the picture alone is painted on a fresh one. A photo is
read by its bytes, whatever its name says; one that would need much memory is refused by what its head says.
"""

from __future__ import annotations

import io
import threading

from PIL import Image, ImageCms, ImageOps

LONGEST = 1600
"""Pixels of a kept photo's longer side: a tablet's screen full."""
LONGEST_OF_SMALL = 480
MOST_PIXELS = 40_000_000
LARGEST_PHOTO = 32 * 1024 * 1024
KINDS = ("JPEG", "PNG", "WEBP")

Image.MAX_IMAGE_PIXELS = None  # its own limit warns first and refuses at twice as much; ours stands here

_turn = threading.Lock()
"""One photo at a time: a large one unpacked takes some 160 MB."""


class PhotoFault(Exception):
    """A photo that cannot be kept; the text is one sentence for a person."""


def small_photo(data: bytes, called: str = "The file") -> bytes:
    """A photo as it is kept, from what a device sent; `called` is how a person knows it. PhotoFault."""
    if len(data) > LARGEST_PHOTO:
        raise PhotoFault(
            f"{called} has {len(data) >> 20} MB, more than {LARGEST_PHOTO >> 20}: choose a photo that is smaller."
        )
    with _turn:
        try:
            with Image.open(io.BytesIO(data), formats=KINDS) as image:
                pixels = image.width * image.height
                if pixels <= MOST_PIXELS:
                    return _written(_bare(image, LONGEST), 82)
        except Exception as fault:  # decoders raise whatever they come upon in bytes that anybody wrote
            raise PhotoFault(
                f"{called} is no whole JPEG, PNG or WebP picture: choose a photo of one of these kinds."
            ) from fault
    raise PhotoFault(
        f"{called} has {round(pixels, -6) // 1_000_000} megapixels, more than {MOST_PIXELS // 1_000_000}: choose a"
        " photo with fewer."
    )


def thumbnail(photo: bytes) -> bytes:
    """A kept photo as it is shown among others. PhotoFault where it is none."""
    try:
        with Image.open(io.BytesIO(photo), formats=("JPEG",)) as image:
            return _written(_bare(image, LONGEST_OF_SMALL), 75)
    except Exception as fault:  # as above
        raise PhotoFault("This is no whole photo as it is kept.") from fault


def is_small_photo(data: bytes) -> bool:
    """Whether bytes are a whole photo as `small_photo` writes it."""
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG",)) as image:
            if max(image.size) > LONGEST or {"exif", "comment", "photoshop", "xmp"} & image.info.keys():
                return False
            image.draft("RGB", (1, 1))  # an eighth of its size is soon unpacked, and all of it is read
            image.load()
            return True
    except Exception:  # as above
        return False


def _bare(image: Image.Image, longest: int) -> Image.Image:
    """The picture alone, upright, in usual colours, no side longer than that."""
    if image.mode not in ("RGB", "RGBA", "L", "CMYK"):
        image = image.convert("RGBA")
    image.thumbnail((longest, longest))
    image = ImageOps.exif_transpose(image)
    profile = image.info.get("icc_profile")
    if image.mode == "RGBA":
        clear, image = image, Image.new("RGB", image.size, "white")
        image.paste(clear, mask=clear.getchannel("A"))
    if profile:
        try:
            usual = ImageCms.createProfile("sRGB")
            image = ImageCms.profileToProfile(image, io.BytesIO(profile), usual, outputMode="RGB") or image
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass  # a profile that cannot be used: colours as they stand
    bare = Image.new("RGB", image.size)
    bare.paste(image.convert("RGB"))
    return bare


def _written(image: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()
