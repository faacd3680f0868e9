"""Draw the handbook's icon: a gauge dial, its needle at the cold fill, a wave of water below.

Writes the SVG and the PNGs in docs/assets/icons from one set of shapes, and the pictures that a
tablet shows while the installed book opens, with the links that name them.
After a change run `.handbook/venv/bin/python scripts/draw_icons.py`.
"""

import math
from pathlib import Path

from PIL import Image, ImageDraw

ROOT = Path(__file__).resolve().parents[1]
ICONS = ROOT / "docs" / "assets" / "icons"
LINKS = ROOT / "overrides" / "start-up.html"
# A tablet takes a picture of exactly its own size or none: CSS pixels upright, and how fine.
SCREENS = (
    (744, 1133, 2),
    (768, 1024, 2),
    (810, 1080, 2),
    (820, 1180, 2),
    (834, 1194, 2),
    (834, 1210, 2),
    (1024, 1366, 2),
    (1032, 1376, 2),
)
GROUNDS = {"light": "#f4f0e6", "dark": "#12202a"}
SLATE, FACE, WATER, BRASS = "#1f3340", "#f4f0e6", "#5b93a3", "#b9822b"
SIZE = 512
CENTRE = SIZE / 2
# The dial runs from seven to five o'clock. A cold fill stands about a third of the way up.
START, SWEEP, COLD = 225.0, 270.0, 0.34


def on_dial(share, radius, scale=1.0):
    """Return the point at a share of the dial's sweep."""
    angle = math.radians(START - SWEEP * share)
    return CENTRE + scale * radius * math.cos(angle), CENTRE - scale * radius * math.sin(angle)


def wave(radius, level, height):
    """Return the outline of the water: a wave on top, the dial's rim below."""
    half = math.sqrt(radius**2 - level**2)
    top = [
        (CENTRE + x, CENTRE + level + height * math.sin(2 * math.pi * x / radius))
        for x in (half * (2 * i / 48 - 1) for i in range(49))
    ]
    begin, end = math.atan2(level, half), math.atan2(level, -half)
    rim = [
        (CENTRE + radius * math.cos(a), CENTRE + radius * math.sin(a))
        for a in (begin + (end - begin) * i / 48 for i in range(49))
    ]
    return top + rim


def shapes(scale):
    """Return what is drawn, back to front, as (kind, colour, geometry)."""
    face = 176 * scale
    parts = [
        ("disc", BRASS, (face + 22 * scale,)),
        ("disc", FACE, (face,)),
        ("area", WATER, wave(face, 78 * scale, 12 * scale)),
    ]
    parts += [
        ("line", SLATE, (on_dial(i / 8, 132, scale), on_dial(i / 8, 158, scale), 12 * scale))
        for i in range(9)
    ]
    parts += [
        ("line", SLATE, ((CENTRE, CENTRE), on_dial(COLD, 118, scale), 22 * scale)),
        ("disc", SLATE, (30 * scale,)),
    ]
    return parts


def svg(scale=1.16):
    """Return the icon as SVG text."""
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {SIZE}" role="img">',
        "<title>The Cold Fill Handbook</title>",
        f'<rect width="{SIZE}" height="{SIZE}" rx="96" fill="{SLATE}"/>',
    ]
    for kind, colour, data in shapes(scale):
        if kind == "disc":
            x = f"{CENTRE:g}"
            lines.append(f'<circle cx="{x}" cy="{x}" r="{data[0]:g}" fill="{colour}"/>')
        elif kind == "area":
            points = " ".join(f"{x:.1f},{y:.1f}" for x, y in data)
            lines.append(f'<polygon points="{points}" fill="{colour}"/>')
        else:
            (x1, y1), (x2, y2), width = data
            lines.append(
                f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="{colour}" '
                f'stroke-width="{width:.1f}" stroke-linecap="round"/>'
            )
    return "\n".join([*lines, "</svg>", ""])


def png(size, scale, rounded):
    """Return the icon as a picture; drawn large and made small, so its edges are smooth."""
    fine = 4
    image = Image.new("RGBA", (SIZE * fine, SIZE * fine), SLATE if not rounded else (0, 0, 0, 0))
    draw = ImageDraw.Draw(image)
    if rounded:
        draw.rounded_rectangle((0, 0, SIZE * fine, SIZE * fine), 96 * fine, fill=SLATE)

    def disc(x, y, radius, colour):
        box = [(x - radius) * fine, (y - radius) * fine, (x + radius) * fine, (y + radius) * fine]
        draw.ellipse(box, fill=colour)

    for kind, colour, data in shapes(scale):
        if kind == "disc":
            disc(CENTRE, CENTRE, data[0], colour)
        elif kind == "area":
            draw.polygon([(x * fine, y * fine) for x, y in data], fill=colour)
        else:
            start, end, width = data
            draw.line(
                [tuple(v * fine for v in start), tuple(v * fine for v in end)],
                fill=colour,
                width=round(width * fine),
            )
            disc(*start, width / 2, colour)
            disc(*end, width / 2, colour)
    return image.resize((size, size), Image.Resampling.LANCZOS).quantize(64)


def start_up(width, height, ground, few=8):
    """Return the picture of an opening book: the icon in the middle of an empty page."""
    image = Image.new("RGB", (width, height), ground)
    icon = png(min(width, height) // 5, 1.16, True).convert("RGBA")
    image.paste(icon, ((width - icon.width) // 2, (height - icon.height) // 2), icon)
    return image.quantize(few)


def start_ups():
    """Draw every start-up picture. Yield the link of each."""
    for css_width, css_height, fine in SCREENS:
        for scheme, ground in GROUNDS.items():
            for turned in ("portrait", "landscape"):
                size = (css_width * fine, css_height * fine)
                width, height = size if turned == "portrait" else size[::-1]
                name = f"start-{width}x{height}-{scheme}.png"
                start_up(width, height, ground).save(ICONS / name, optimize=True)
                asked = (
                    f"(prefers-color-scheme: {scheme}) and (device-width: {css_width}px) and "
                    f"(device-height: {css_height}px) and "
                    f"(-webkit-device-pixel-ratio: {fine}) and (orientation: {turned})"
                )
                place = f"{{{{ 'assets/icons/{name}' | url }}}}"
                yield f'<link rel="apple-touch-startup-image" media="{asked}" href="{place}">\n'


def main():
    ICONS.mkdir(parents=True, exist_ok=True)
    (ICONS / "handbook.svg").write_text(svg(), encoding="utf-8")
    for name, size, scale, rounded in (
        ("handbook-192.png", 192, 1.16, True),
        ("handbook-512.png", 512, 1.16, True),
        ("handbook-180.png", 180, 1.1, False),
        # A maskable icon may be cut to a circle: everything stays in its inner four fifths.
        ("handbook-maskable-512.png", 512, 0.98, False),
    ):
        png(size, scale, rounded).save(ICONS / name, optimize=True)
    LINKS.write_text("".join(start_ups()), encoding="utf-8")


if __name__ == "__main__":
    main()
