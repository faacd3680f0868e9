"""The built site: whole, self-contained, honest without JavaScript, the same twice."""

import base64
import gzip
import hashlib
import json
import re
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest

if sys.platform == "emscripten":
    pytest.skip("the built site is read natively only", allow_module_level=True)

from handbook_tools import addresses, building, environment

ROOT = Path(__file__).resolve().parents[1]
SITE = ROOT / "site"
ENGINE = SITE / "assets" / "engine"
BASE = "http://127.0.0.1:8321/"

pytestmark = [pytest.mark.site, pytest.mark.native]


class Page(HTMLParser):
    """One page, as far as the tests look at it."""

    def __init__(self, path):
        super().__init__(convert_charrefs=True)
        self.path = path
        self.html = path.read_text(encoding="utf-8")
        self.links, self.ids, self.tags, self.outputs, self.calculators = [], [], [], [], []
        self._output = None
        self.feed(self.html)

    @property
    def address(self):
        return urljoin(BASE, self.path.relative_to(SITE).as_posix().removesuffix("index.html"))

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.tags.append((tag, found))
        if "id" in found:
            self.ids.append(found["id"])
        for name in ("href", "src", "data", "poster", "action"):
            if found.get(name):
                self.links.append((tag, found[name], found.get("rel", "")))
        for part in (found.get("srcset") or "").split(","):
            if part.strip():
                self.links.append((tag, part.split()[0], ""))
        if tag == "live-calculator":
            self.calculators.append(found["data-calculator"])
        if tag == "output":
            self._output = [found, ""]

    def handle_data(self, data):
        if self._output:
            self._output[1] += data

    def handle_endtag(self, tag):
        if tag == "output" and self._output:
            calculator = self.calculators[-1] if self.calculators else ""
            self.outputs.append((calculator, self._output[0], " ".join(self._output[1].split())))
            self._output = None


@cache
def pages():
    assert SITE.is_dir(), "there is no site/: run `python3 scripts/handbook.py build` first"
    return [Page(path) for path in sorted(SITE.rglob("*.html"))]


def sources():
    """Yield (page, front matter and text) of each page's Markdown; what the hooks make has none."""
    for page in pages():
        name = page.path.parent.relative_to(SITE).as_posix()
        path = ROOT / "docs" / ("index.md" if name == "." else f"{name}.md")
        if page.path.name == "index.html" and not name.startswith("how-checked/"):
            yield page, path.read_text(encoding="utf-8")


def test_every_subject_with_evidence_has_its_check_values_on_a_page():
    import view

    made = {page.path.parent.name: page for page in pages() if "how-checked/" in str(page.path)}
    for group, subjects in view.evidence_groups():
        assert set(subjects) <= set(made[group].ids)


def meta_has(text, line):
    return re.search(rf"^{line}$", text.split("\n---", 1)[0], flags=re.M) is not None


def test_every_page_of_the_navigation_is_there():
    wanted = re.findall(r": ([\w-]+)\.md$", (ROOT / "mkdocs.yml").read_text("utf-8"), flags=re.M)
    assert len(wanted) >= 10
    for name in wanted:
        assert (SITE / ("" if name == "index" else name) / "index.html").is_file(), name


def test_nothing_points_to_another_host():
    assert addresses.faults(SITE) == []


def test_pages_and_styles_load_nothing_from_another_host():
    # Stricter than the words in the files: what a page or a style refers to is ours, always.
    for page in pages():
        for tag, link, rel in page.links:
            whole = urljoin(page.address, link)
            if urlsplit(whole).scheme in ("http", "https"):
                assert whole.startswith(BASE), f"{page.path}: {tag} {rel} {link}"
            else:
                assert urlsplit(whole).scheme in ("data", "mailto"), f"{page.path}: {link}"
    for path in SITE.rglob("*.css"):
        for found in re.findall(r"url\(([^)]*)\)", path.read_text(encoding="utf-8")):
            assert not re.match(r"[\"']?(https?:)?//", found), f"{path}: {found}"


def test_no_style_asks_the_whole_page_what_is_in_it():
    # With `:root:has(...)` the browser goes through every element whenever one comes in anywhere:
    # on the longest page that was four fifths of all its work on styles. On paper it does no harm.
    for path in SITE.rglob("assets/css/*.css"):
        screen = re.sub(r"@media print \{.*?\n\}", "", path.read_text(encoding="utf-8"), flags=re.S)
        assert not re.search(r"(:root|html|body)\S*:has\(", screen), path


def test_every_page_has_the_one_sheet_first_and_nothing_twice():
    for page in pages():
        sheets = [link for tag, link, rel in page.links if tag == "link" and rel == "stylesheet"]
        assert sheets[0].endswith("assets/css/handbook.css"), page.path
        assert len(set(sheets)) == len(sheets) <= 3, page.path
    assert not list((SITE / "assets" / "stylesheets").glob("*"))


def test_the_theme_keeps_the_styles_of_all_that_a_page_or_its_script_makes():
    """Read off the theme's own sheets, independently of what takes rules out of them."""
    theme = environment.site_packages() / "material" / "templates" / "assets"
    styled = "\n".join(path.read_text("utf-8") for path in (theme / "stylesheets").glob("*.css"))
    (script,) = (theme / "javascripts").glob("bundle.*.js")
    made = set(re.findall(r"md-[\w-]+", script.read_text(encoding="utf-8")))
    named = {
        name
        for page in pages()
        for _, found in page.tags
        for name in found.get("class", "").split()
    }
    kept = (SITE / "assets" / "css" / "handbook.css").read_text(encoding="utf-8")

    def classes(text):
        return set(re.findall(r"\.([a-z][\w-]*)", text))

    before, after = classes(styled), classes(kept)
    assert len(before & named) > 80
    assert before & named <= after
    # What the search, the tooltips, the notice and the way up put into a page.
    parts = ("md-search-result", "md-tooltip", "md-dialog", "md-top", "md-nav__link", "md-ellipsis")
    put_in = {name for name in before & made if name.startswith(parts)}
    assert len(put_in) > 10
    assert put_in <= after
    assert len(before - after) > 100


def test_every_link_and_anchor_leads_somewhere():
    known = {page.address: page for page in pages()}
    broken = []
    for page in pages():
        for tag, link, _ in page.links:
            whole, _, fragment = urljoin(page.address, link).partition("#")
            if not whole.startswith(BASE):
                continue
            inner = unquote(urlsplit(whole).path).lstrip("/")
            target = SITE / inner
            if target.is_dir():
                target = target / "index.html"
            if not target.is_file():
                broken.append(f"{page.path.relative_to(SITE)}: <{tag}> {link}")
                continue
            # A calculator's link carries its numbers after the name: #pre-charge?height=31 ft
            anchor = unquote(fragment.partition("?")[0])
            there = known.get(urljoin(BASE, inner))
            if anchor and there and anchor not in there.ids and anchor not in there.calculators:
                broken.append(f"{page.path.relative_to(SITE)}: no #{anchor} at {inner or 'home'}")
    assert not broken, "\n".join(broken)


def test_addresses_in_styles_lead_somewhere():
    for path in SITE.rglob("*.css"):
        for found in re.findall(r"url\([\"']?([^)\"']+)", path.read_text(encoding="utf-8")):
            if not found.startswith(("data:", "#")):
                assert (path.parent / found.partition("?")[0]).resolve().is_file(), found


def test_modules_import_only_files_that_are_there():
    seen, waiting = set(), [SITE / "assets" / "js" / "handbook.js"]
    while waiting:
        path = waiting.pop()
        if path in seen:
            continue
        assert path.is_file(), path
        seen.add(path)
        text = path.read_text(encoding="utf-8")
        for found in re.findall(r"""(?:from|import|URL\()\s*\(?["'](\.[^"']+\.js)["']""", text):
            waiting.append((path.parent / found).resolve())
    assert SITE / "assets" / "js" / "engine-boot.js" in seen
    # Many hosts send .mjs with a type that no browser runs.
    assert not list(SITE.rglob("*.mjs"))
    for path in [*SITE.rglob("*.html"), *(SITE / "assets" / "js").glob("*.js")]:
        assert not re.search(r"[\w-]\.mjs\b", path.read_text(encoding="utf-8")), path


def test_the_site_can_stand_in_a_folder_of_its_host():
    # The page for "not found" is served at any depth, so it alone has absolute addresses.
    for page in pages():
        if page.path.name != "404.html":
            absolute = [link for _, link, _ in page.links if link.startswith("/")]
            assert not absolute, f"{page.path}: {absolute}"
    assert not [url for url in precached() if url.startswith(("/", "http"))]
    assert not re.findall(
        r"""["'`]/assets/""",
        "".join(path.read_text(encoding="utf-8") for path in (SITE / "assets" / "js").glob("*.js")),
    )


BLOCKS = {
    *("address", "article", "aside", "blockquote", "details", "div", "dl", "fieldset", "figure"),
    *("footer", "form", "h1", "h2", "h3", "h4", "header", "hr", "main", "nav", "ol", "p", "pre"),
    *("section", "table", "ul", "live-calculator", "evidence-table"),
}


class Paragraphs(HTMLParser):
    """Finds blocks inside a paragraph: a browser would end the paragraph there."""

    def __init__(self, html):
        super().__init__()
        self.open, self.wrong = False, []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        if self.open and tag in BLOCKS:
            self.wrong.append((tag, self.getpos()))
        if tag == "p":
            self.open = True

    def handle_endtag(self, tag):
        if tag == "p":
            self.open = False


def test_no_block_stands_inside_a_paragraph():
    for page in pages():
        assert not Paragraphs(page.html).wrong, page.path


def test_ids_are_used_once():
    for page in pages():
        doubled = {name for name in page.ids if page.ids.count(name) > 1}
        assert not doubled, f"{page.path.relative_to(SITE)}: {sorted(doubled)}"


def test_every_page_has_the_deferral_and_procedures_their_cautions():
    procedures = 0
    for page, text in sources():
        where = page.path.relative_to(SITE)
        asides = [a for t, a in page.tags if t == "aside" and "hb-deferral" in a.get("class", "")]
        assert len(asides) == 1, where
        cautions = page.html.count('class="hb-cautions"')
        if meta_has(text, "procedure: true"):
            procedures += 1
            assert cautions == 1, where
            assert "hb-deferral-short" not in asides[0]["class"], where
            assert page.html.index("</h1>") < page.html.index("hb-cautions"), where
        else:
            assert cautions == 0, where
    assert procedures >= 5


def test_procedure_pages_have_stop_points_and_a_calculator():
    for page, text in sources():
        if meta_has(text, "procedure: true"):
            assert page.calculators, page.path
            stops = [a for t, a in page.tags if t == "div" and "stop" in a.get("class", "").split()]
            assert stops, f"{page.path.relative_to(SITE)} has no stop point"


def test_every_calculator_stands_on_a_page():
    from calc import bridge

    shown = {name for page in pages() for name in page.calculators}
    assert {entry["id"] for entry in bridge.listing()} <= shown


def default_entries(calculator):
    from calc import bridge

    return {
        given["name"]: given["default"] for given in bridge.description(calculator, "si")["inputs"]
    }


def test_the_default_result_can_be_read_without_javascript():
    from calc import bridge

    checked = 0
    for page in pages():
        for calculator in page.calculators:
            answer = bridge.run(calculator, default_entries(calculator), "si")
            shown = {
                found["name"]: text for name, found, text in page.outputs if name == calculator
            }
            assert answer["results"]
            for result in answer["results"]:
                if result["text"]:
                    wanted = " ".join(result["text"].split())
                    assert wanted in shown[result["name"]], (page.path, result["name"])
                    checked += 1
    assert checked >= 10


def test_pages_have_a_language_a_title_and_a_description():
    titles = [re.search(r"<title>(.*?)</title>", page.html, re.S)[1] for page in pages()]
    assert len(set(titles)) >= len(titles) - 1  # the page for "not found" has the book's own
    for page in pages():
        assert dict(page.tags[0][1]).get("lang") == "en"
    described = [page for page, text in sources() if re.search(r"^description: ", text, re.M)]
    assert len(described) >= 5


def test_scripts_are_modules_or_the_themes_own():
    for page in pages():
        for tag, found in page.tags:
            handlers = [name for name in found if name.startswith("on")]
            assert not handlers, f"{page.path}: <{tag} {handlers}>"


def test_the_manifest_is_whole():
    manifest = json.loads((SITE / "manifest.webmanifest").read_text(encoding="utf-8"))
    # Relative addresses: the site may stand in a folder of its host.
    assert manifest["start_url"] == manifest["scope"] == "./"
    purposes = set()
    for icon in manifest["icons"]:
        path = SITE / icon["src"]
        purposes.add(icon.get("purpose", "any"))
        if path.suffix == ".png":
            width, height = struct.unpack(">II", path.read_bytes()[16:24])
            assert icon["sizes"] == f"{width}x{height}"
        else:
            assert ET.parse(path).getroot().tag.endswith("svg")
    assert purposes == {"any", "maskable"}
    for page in pages():
        rels = {found.get("rel") for tag, found in page.tags if tag == "link"}
        assert {"manifest", "apple-touch-icon"} <= rels


def test_the_installed_book_opens_with_a_picture_of_the_screens_size():
    home = next(page for page in pages() if page.path == SITE / "index.html")
    named = [
        (found["href"], found["media"])
        for tag, found in home.tags
        if tag == "link" and found.get("rel") == "apple-touch-startup-image"
    ]
    assert len(named) == len(list((SITE / "assets" / "icons").glob("start-*.png"))) > 0
    assert len(set(named)) == len(named)
    for href, media in named:
        width, height = struct.unpack(">II", (SITE / href).read_bytes()[16:24])
        across, up, fine = map(
            int, re.search(r"width: (\d+)px.*height: (\d+)px.*ratio: (\d)", media).groups()
        )
        upright = (across * fine, up * fine)
        assert (width, height) == (upright if "portrait" in media else upright[::-1])


def test_the_installed_book_offers_ways_into_it():
    told = json.loads((SITE / "manifest.webmanifest").read_text(encoding="utf-8"))
    # Said relative to the manifest, so that a book under a folder of its host is its own app.
    assert told["id"] == told["start_url"] == told["scope"] == "./"
    assert len(told["shortcuts"]) == 4
    for shortcut in told["shortcuts"]:
        assert (SITE / shortcut["url"] / "index.html").is_file()
        assert all((SITE / icon["src"]).is_file() for icon in shortcut["icons"])


def precached():
    text = (SITE / "sw.js").read_text(encoding="utf-8")
    listed = re.findall(
        r'\{url:"([^"]+)",revision:"([0-9a-f]{16})",integrity:"sha256-([^"]{44})"\}', text
    )
    assert listed
    return {url: (revision, base64.b64decode(hash)) for url, revision, hash in listed}


def test_no_page_carries_the_words_of_all_pages():
    index = json.loads((SITE / "search" / "search_index.json").read_text(encoding="utf-8"))
    assert index["docs"] == []
    assert index["config"]["lang"] == ["en"]
    workers = SITE / "assets" / "javascripts" / "workers"
    assert (workers / index["config"]["worker"]).is_file()
    assert len(json.loads((SITE / "search" / "words.json").read_text(encoding="utf-8"))) > 300
    for path in sorted(SITE.rglob("*.html")):
        told = re.search(r'"search": "[^"]*(assets/js/[\w-]+\.js)"', path.read_text("utf-8"))
        assert (SITE / told[1]).is_file(), path


def test_everything_is_in_the_offline_list():
    files = {p.relative_to(SITE).as_posix() for p in SITE.rglob("*") if p.is_file()}
    listed = precached()
    start_ups = {name for name in files if name.startswith("assets/icons/start-")}
    assert set(listed) == files - {"sw.js"} - start_ups
    named = json.loads((SITE / "assets" / "files.json").read_text(encoding="utf-8"))["files"]
    assert set(named) == set(listed) - {"assets/files.json", "assets/edition.json"}
    for name, (revision, integrity) in listed.items():
        found = hashlib.sha256((SITE / name).read_bytes())
        assert integrity == found.digest(), name
        # A page finds a file of the copy by this part of its hash.
        assert revision == found.hexdigest()[:16], name
    assert sum((SITE / name).stat().st_size for name in listed) <= 25_000_000
    for wanted in (
        "index.html",
        "sitemap.xml",
        "search/search_index.json",
        "search/words.json",
        "assets/engine/snapshot.pack",
        "assets/engine/pyodide.asm.pack",
    ):
        assert wanted in listed


def test_the_list_of_the_edition_says_what_every_file_is():
    told = json.loads((SITE / "assets" / "edition.json").read_text(encoding="utf-8"))
    assert set(told["files"]) == set(precached()) - {"assets/edition.json"}
    for name, (size, digest) in told["files"].items():
        content = (SITE / name).read_bytes()
        assert (size, digest) == (len(content), hashlib.sha256(content).hexdigest()), name
    assert told["bytes"] == sum(size for size, _ in told["files"].values())
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", told["date"])
    # The edition's name follows from the list, so that a damaged list is known for one.
    text = json.dumps(told["files"], separators=(",", ":"), ensure_ascii=False)
    assert hashlib.sha256(text.encode()).hexdigest().startswith(told["edition"])


def test_a_wrong_address_is_answered_from_the_copy_when_there_is_no_network():
    worker = (SITE / "sw.js").read_text(encoding="utf-8")
    assert "404.html" in precached()
    # The network is asked first: a newer edition may have the page. The copy answers if it fails.
    route = re.search(
        r'"navigate"===\w+\.mode.{0,90}?await fetch\(\w+\).{0,90}"404\.html"', worker, re.DOTALL
    )
    assert route, "nothing falls back on the page that tells of a wrong address"
    page = (SITE / "404.html").read_text(encoding="utf-8")
    assert "No page stands at this address" in page
    # It stands at any depth, so each of its own files is named from the root.
    names = re.findall(r'(?:href|src)="([^"]+)"', page)
    assert names
    assert not [name for name in names if not name.startswith(("/", "http", "#"))]


def test_the_service_worker_waits_for_the_readers_word():
    text = (SITE / "sw.js").read_text(encoding="utf-8")
    assert "importScripts" not in text
    # skipWaiting stands once, inside the listener for the page's message.
    assert text.count("skipWaiting") == 1
    assert re.search(r'addEventListener\("message".{0,80}SKIP_WAITING.{0,40}skipWaiting', text)
    for part in (r"/^h$/", r"/^q$/", r"/^engine$/", "index.html"):
        assert part in text


def test_the_site_carries_no_ballast():
    names = [p.relative_to(SITE).as_posix() for p in SITE.rglob("*") if p.is_file()]
    assert not [n for n in names if n.endswith((".map", ".pyc", ".test.mjs")) or "/lunr/" in n]


def test_the_engine_is_what_its_manifest_says():
    manifest = json.loads((ENGINE / "engine.json").read_text(encoding="utf-8"))
    assert set(manifest["files"]) >= {"snapshot.pack", "handbook.zip", "pyodide.asm.pack"}
    for name, facts in manifest["files"].items():
        content = (ENGINE / name).read_bytes()
        assert facts == {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}, name
    program = gzip.decompress((ENGINE / "pyodide.asm.pack").read_bytes())
    assert len(program) == manifest["program_bytes"]
    assert program == (ROOT / "node_modules/pyodide/pyodide.asm.wasm").read_bytes()
    image = gzip.decompress((ENGINE / "snapshot.pack").read_bytes())
    assert len(image) == manifest["snapshot_bytes"]
    assert len((ENGINE / "snapshot.pack").read_bytes()) < 10_000_000


def ask(way, requests, folder=ENGINE):
    done = subprocess.run(
        [environment.node(), ROOT / "scripts" / "ask_engine.mjs", folder, way],
        input=json.dumps(requests),
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return json.loads(done.stdout)


def requests_of_all():
    from calc import bridge

    return [
        {
            "op": "run",
            "calculator": entry["id"],
            "system": "si",
            "inputs": default_entries(entry["id"]),
        }
        for entry in bridge.listing()
    ]


def requests_of_every_kind():
    """Return all examples, all evidence, conversions, and slips of every kind."""
    from calc import evidence

    requests = requests_of_all()
    for request in requests_of_all():
        requests.append({**request, "op": "convert", "system": "us"})
        requests.append({**request, "system": "us", "inputs": {}})
        for slip in ("", "abc", "-3", "nan", "1e99", "5 furlong", {"value": "7", "unit": "kg"}):
            inputs = dict.fromkeys(request["inputs"], slip)
            requests.append({**request, "inputs": inputs})
    requests.append({"op": "version"})
    requests += [{"op": "evidence", "index": i} for i in range(len(evidence.rows()))]
    return requests


@cache
def told(way):
    return ask(way, requests_of_every_kind())


def test_a_restored_engine_needs_no_file():
    # The image has no files. None of these may ask for one, or for a module not yet imported.
    requests = requests_of_every_kind()
    quick, plain = told("snapshot"), told("plain")
    assert (quick["how"], plain["how"]) == ("snapshot", "plain")
    for request, one, two in zip(requests, quick["answers"], plain["answers"], strict=True):
        assert one == two, request
    assert sum("errors" in answer for answer in quick["answers"]) > 20


def test_the_engine_gives_the_native_answers():
    import view

    requests = requests_of_all()
    for request, found in zip(requests, told("snapshot")["answers"], strict=False):
        native = json.loads(view.respond(json.dumps(request)))
        texts = [[r["text"] for r in a["answer"]["results"]] for a in (found, native)]
        assert texts[0], request
        assert texts[0] == texts[1], request


def test_each_restored_engine_draws_its_own_random_numbers(tmp_path):
    script = tmp_path / "random.mjs"
    boot = (ROOT / "docs" / "assets" / "js" / "engine-boot.mjs").as_uri()
    script.write_text(
        f'import {{ bootEngine }} from "{boot}";\n'
        f'const engine = await bootEngine({{ base: "{ENGINE.as_uri()}/" }});\n'
        'console.log(engine.how, engine.pyodide.runPython("import random; random.random()"));\n',
        encoding="utf-8",
    )
    drawn = {
        subprocess.run([environment.node(), script], capture_output=True, text=True).stdout
        for _ in range(2)
    }
    assert len(drawn) == 2
    assert all(line.startswith("snapshot 0.") for line in drawn)


def test_a_restored_engine_calls_functions_its_own_way(tmp_path):
    script = tmp_path / "shortcut.mjs"
    boot = (ROOT / "docs" / "assets" / "js" / "engine-boot.mjs").as_uri()
    script.write_text(
        f'import {{ bootEngine, shortcutPlace }} from "{boot}";\n'
        "for (const snapshot of [true, false]) {\n"
        f'  const engine = await bootEngine({{ base: "{ENGINE.as_uri()}/", snapshot }});\n'
        "  const module = engine.pyodide._module;\n"
        "  console.log(engine.how, module.HEAP32[shortcutPlace(module)]);\n"
        "}\n",
        encoding="utf-8",
    )
    done = subprocess.run([environment.node(), script], capture_output=True, text=True)
    (way, own), (other, plain) = (line.split() for line in done.stdout.splitlines())
    assert (way, other) == ("snapshot", "plain")
    assert own == plain != "0"


@pytest.mark.parametrize("damage", ["cut", "missing", "other build"])
def test_a_damaged_image_falls_back_to_the_plain_start(tmp_path, damage):
    folder = tmp_path / "engine"
    folder.mkdir()
    for path in ENGINE.iterdir():
        if path.name != "snapshot.pack":
            (folder / path.name).symlink_to(path)
    image = (ENGINE / "snapshot.pack").read_bytes()
    if damage == "cut":
        (folder / "snapshot.pack").write_bytes(image[: len(image) // 2])
    elif damage == "other build":
        raw = bytearray(gzip.decompress(image))
        raw[:4096] = bytes(4096)
        (folder / "snapshot.pack").write_bytes(gzip.compress(bytes(raw), 1))
    found = ask("snapshot", requests_of_all()[:1], folder)
    assert found["how"] == "plain"
    assert "fallback" in [stage["stage"] for stage in found["stages"]]
    assert "answer" in found["answers"][0]


def test_the_image_is_the_same_twice(tmp_path):
    # The build made it once, from the same files; here it is made again.
    building.make_image(ENGINE, tmp_path / "again.gz")
    assert (tmp_path / "again.gz").read_bytes() == (ENGINE / "snapshot.pack").read_bytes()


def test_two_builds_give_the_same_bytes(tmp_path):
    again = tmp_path / "site"
    building.build(site=again)

    def sums(folder):
        return {
            path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in folder.rglob("*")
            if path.is_file()
        }

    first, second = sums(SITE), sums(again)
    assert first.keys() == second.keys()
    assert not [name for name in first if first[name] != second[name]]


def test_the_home_page_is_light():
    home = next(page for page in pages() if page.path == SITE / "index.html")
    total = building.weight(home.path, SITE)
    assert total["bytes"] <= 120_000, total
