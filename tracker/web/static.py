"""The style sheet, the scripts and the icon: few and small, read once, kept by browsers until they change."""

from __future__ import annotations

import gzip
import re
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from flask import Blueprint, Response, request

from tracker import assets
from tracker.web.faults import PageFault
from tracker.web.pages import YEAR, parts

KINDS = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webmanifest": "application/manifest+json",
}

pages = Blueprint("static", __name__)


@dataclass(frozen=True)
class File:
    """A static file: its bytes, plain and packed as small as can be, its kind, and a mark that changes with them."""

    body: bytes
    packed: bytes
    kind: str
    mark: str


FOR_US = {".js": re.compile(rb"^[ \t]*(//.*)?", re.MULTILINE), ".css": re.compile(rb"/\*.*?\*/|^[ \t]+", re.MULTILINE)}
"""Comments and indents: nothing for browsers. Every line stays in its place, so that faults name that of the file."""
PART = re.compile(rb'^@import "(\w+\.css)";\n', re.MULTILINE)
"""Where a style sheet has another, which is sent in its place: one request for both."""


def _sent(path: Path) -> bytes:
    """A file as it is sent; what comes from elsewhere as it came."""
    ours = None if path.name.endswith(".min.js") else FOR_US.get(path.suffix)
    body = ours.sub(b"", path.read_bytes()) if ours else path.read_bytes()
    return PART.sub(lambda part: _sent(path.with_name(part[1].decode())), body) if path.suffix == ".css" else body


def load() -> dict[str, File]:
    """Every static file by its name. README's pictures, in a folder of their own, are nothing for pages."""
    files = {}
    for path in sorted(path for path in assets.folder("static").iterdir() if path.is_file()):
        body = _sent(path)
        kind = KINDS.get(path.suffix, "text/plain")
        files[path.name] = File(body, gzip.compress(body, 9, mtime=0), kind, sha256(body).hexdigest()[:10])
    return files


@pages.get("/static/<name>")
def file(name: str) -> Response:
    """A style sheet, script or picture of the pages."""
    found = parts().files.get(name)
    if found is None:
        raise PageFault(404, "There is no such file here.")
    response = Response(found.body, mimetype=found.kind)
    if request.accept_encodings["gzip"] > 0:
        response.set_data(found.packed)
        response.headers["Content-Encoding"] = "gzip"
    current = request.args.get("v") == found.mark
    response.headers["Cache-Control"] = f"public, max-age={YEAR}, immutable" if current else "no-cache"
    return response
