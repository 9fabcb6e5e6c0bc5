"""Photos made small and bare: by their bytes, whatever their names say, with nothing in them but the picture."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from sent_photos import SECRET, of_12_megabytes, of_many_pixels, picture, sent

from tracker.safekeeping.small_photos import LONGEST, PhotoFault, is_small_photo, small_photo, thumbnail


def opened(data: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def colour(image: Image.Image, across: float, down: float) -> str:
    """What colour is at a place of a picture, sides from 0 to 1."""
    found = image.getpixel((int(across * image.width), int(down * image.height)))
    assert isinstance(found, tuple)
    return "red" if found[0] > 150 > found[2] else "blue" if found[2] > 150 > found[0] else str(found)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("turned", [1, 3, 6, 8])
def test_nothing_is_kept_but_the_picture_the_right_way_up(kind: str, turned: int) -> None:
    data = sent(kind, (900, 600), turned)
    assert SECRET in data
    kept = small_photo(data)
    assert SECRET not in kept
    image = opened(kept)
    assert image.format == "JPEG"
    assert not image.getexif()
    assert not {"exif", "comment", "icc_profile"} & image.info.keys()
    assert image.size == ((900, 600) if turned in (1, 3) else (600, 900))
    # By the standard (Exif 2.3, Orientation): 3 lies upside down, 6 is to be turned right, 8 left.
    first, last = {1: ((0.5, 0.2), (0.5, 0.8)), 3: ((0.5, 0.8), (0.5, 0.2))}.get(turned, ((0.8, 0.5), (0.2, 0.5)))
    if turned == 8:
        first, last = last, first
    assert (colour(image, *first), colour(image, *last)) == ("red", "blue")
    assert is_small_photo(kept)
    assert not is_small_photo(data)
    cut = kept[: len(kept) // 2]
    assert not is_small_photo(cut)
    with pytest.raises(PhotoFault):
        thumbnail(cut)


def test_a_photo_of_12_megabytes_becomes_small_without_its_place() -> None:
    data = of_12_megabytes()
    assert len(data) >= 12_000_000
    assert SECRET in data
    kept = small_photo(data)
    assert SECRET not in kept
    assert opened(kept).size == (1200, LONGEST)
    assert len(kept) < 400_000
    assert len(thumbnail(kept)) < 40_000


@pytest.mark.parametrize("mode", ["L", "P", "RGBA", "LA", "1", "CMYK", "I;16"])
def test_pictures_of_other_colours_are_taken_too(mode: str) -> None:
    out = io.BytesIO()
    image = picture((40, 30)).convert("I").convert("I;16") if mode == "I;16" else picture((40, 30)).convert(mode)
    image.save(out, "JPEG" if mode == "CMYK" else "PNG")
    assert opened(small_photo(out.getvalue())).size == (40, 30)


def test_what_is_clear_is_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (30, 30), (0, 0, 0, 0)).save(out, "WEBP", lossless=True)
    assert opened(small_photo(out.getvalue())).getpixel((9, 9)) == (255, 255, 255)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"title = 'a plan'\n",
        b"<html><script>alert(1)</script></html>",
        b"GIF89a\x01\0\x01\0\0\0\0,\0\0\0\0\x01\0\x01\0\0\x02\x02D\x01\0;",
        b"\0\0\0 ftypheic" + b"\0" * 500,
        b"\xff\xd8\xff\xe0" + b"a" * 99,
        sent("JPEG")[:4000],
        sent("PNG")[:-300],
        sent("WEBP")[:500],
        sent("PNG").replace(b"IDAT", b"IDOT", 1),
    ],
)
def test_what_is_no_whole_picture_is_refused_in_one_sentence(data: bytes) -> None:
    with pytest.raises(PhotoFault) as caught:
        small_photo(data, "“quilt.jpg”")
    assert str(caught.value) == (
        "“quilt.jpg” is no whole JPEG, PNG or WebP picture: choose a photo of one of these kinds."
    )


@pytest.mark.parametrize(("across", "down", "many"), [(8700, 5800, 50), (30_000, 30_000, 900)])
def test_a_picture_of_too_many_pixels_is_refused_by_its_head(across: int, down: int, many: int) -> None:
    with pytest.raises(PhotoFault) as caught:
        small_photo(of_many_pixels(across, down), "“quilt.png”")
    assert str(caught.value) == f"“quilt.png” has {many} megapixels, more than 40: choose a photo with fewer."
