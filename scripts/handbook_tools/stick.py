"""Pack the built site with a small server of its own: for a stick, or for a school's network."""

import hashlib
import zipfile

from . import building, licences
from .base import HOME, ROOT, SITE, step

FOLDER = "cold-fill-handbook"
TARGET = HOME / f"{FOLDER}.zip"
BESIDE = ("serve.py", "README.txt")
# What is packed already; to pack it again would take time and bring nothing.
PACKED = {".pack", ".zip", ".woff2", ".png"}


def content(site):
    """Yield (name, bytes) of everything in the archive, in order, the list of sums last."""
    sums = []
    files = [(name, (ROOT / "scripts" / "stick" / name).read_bytes()) for name in BESIDE]
    files.append(("LICENSE", (ROOT / "LICENSE").read_bytes()))
    files.append(("THIRD-PARTY-NOTICES.txt", licences.notices(ROOT).encode()))
    files += [
        (f"site/{path.relative_to(site).as_posix()}", path.read_bytes())
        for path in sorted(site.rglob("*"), key=lambda path: path.relative_to(site).as_posix())
        if path.is_file()
    ]
    for name, found in files:
        sums.append(f"{hashlib.sha256(found).hexdigest()}  {name}\n")
        yield name, found
    yield "SHA256SUMS", "".join(sums).encode()


def pack(site, target):
    """Write the archive, the same bytes from the same site."""
    with zipfile.ZipFile(target, "w") as archive:
        for name, found in content(site):
            entry = zipfile.ZipInfo(f"{FOLDER}/{name}", (1980, 1, 1, 0, 0, 0))
            entry.create_system = 3
            entry.external_attr = (0o755 if name.endswith(".py") else 0o644) << 16
            packed = any(name.endswith(ending) for ending in PACKED)
            entry.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
            archive.writestr(entry, found, compresslevel=9)


def make():
    """Build the site and pack it."""
    building.build()
    with step("Packing the site with its server"):
        pack(SITE, TARGET)
    print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size / 1e6:.1f} MB. Unpack it anywhere.")
