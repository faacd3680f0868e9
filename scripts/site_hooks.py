"""What the site generator does for this book: fences, cautions, deferral, and build errors.

Kept thin on purpose. The fences turn into HTML made by `view`, the same code that runs in the
browser; everything that computes lives in `calc`.
"""

import json
import re
import sys
import tomllib
import xml.etree.ElementTree as ET
from functools import partial
from html import escape
from pathlib import Path

from handbook_tools import licences, observed, policy, searching
from handbook_tools.procedures import StepProblem, marks, with_steps
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File
from pymdownx.superfences import SuperFencesException

SVG = "{http://www.w3.org/2000/svg}"


def _accept(language, inputs, options, attrs, md):
    """Take a fence that has no options of its own; refuse one that has."""
    options.update(inputs)
    return True


def _fence(make, source, language, css_class, options, md, **kwargs):
    """Run one fence's maker. A failure must stop the build, never fall back to plain code."""
    # Otherwise Markdown would wrap our elements in a paragraph, and a paragraph may hold no block:
    # the browser would end it, and the element with it, at the first block inside.
    for element in ("live-calculator", "evidence-table", "readings-log"):
        if element not in md.block_level_elements:
            md.block_level_elements.append(element)
    try:
        if options:
            raise ValueError(f"this fence takes no options, but got {', '.join(options)}")
        return make(source.strip())
    except Exception as failure:
        raise SuperFencesException(
            f"the {language} fence with {source.strip()!r}: {type(failure).__name__}: {failure}"
        ) from failure


def _empty(make, source):
    if source:
        raise ValueError("this fence stays empty")
    return make()


def _view():
    import view

    return view


def calculator(source):
    """Return a calculator with its default example computed, as HTML."""
    return _view().calculator(source)


def evidence(source):
    """Return the check values of a group of subjects, or the list of all where none is named."""
    return _view().evidence_table(source) if source else _view().evidence_index()


def reference(source):
    """Return the reference table that the fence names, computed now."""
    from view import reference as tables

    return tables.table(source)


def mutants():
    """Return how many changes of the working the tests see."""
    from handbook_tools.mutating import page

    return page.table()


def measured(docs_dir):
    """Return the kept figures of the benchmark."""
    from handbook_tools.bench import page

    return page.tables(Path(docs_dir) / "measured.json")


def readings():
    """Return the log of readings, empty, with its form."""
    from view.readings import form

    return form()


def symbols():
    """Return every letter that a calculator shows."""
    from view import reference as tables

    return tables.symbols()


def with_runs(markdown, where, meta):
    """Put the results of the page's runs where its text names them; see `view.runs`."""
    specs = meta.get("runs") or []
    if not specs and "{{" not in markdown:
        return markdown
    from view.runs import Runs

    try:
        return Runs(specs).filled(markdown)
    except Exception as failure:
        raise PluginError(f"{where}: {failure}") from failure


def figure(source, folder):
    """Return a figure: the first line names docs/figures/NAME.svg, the rest is the caption."""
    name, _, caption = source.partition("\n")
    name, caption = name.strip(), " ".join(caption.split())
    path = Path(folder) / f"{name}.svg"
    if not path.is_file():
        raise ValueError(f"there is no figure docs/figures/{name}.svg")
    if not caption:
        raise ValueError("a figure needs a caption on its second line")
    text = path.read_text(encoding="utf-8")
    root = ET.fromstring(text)
    for wanted, there in {
        "an <svg> root": root.tag == f"{SVG}svg",
        'role="img"': root.get("role") == "img",
        "a viewBox": root.get("viewBox"),
        "a <title>": root.find(f"{SVG}title") is not None,
        "a <desc>": root.find(f"{SVG}desc") is not None,
    }.items():
        if not there:
            raise ValueError(f"docs/figures/{name}.svg lacks {wanted}")
    drawing = re.sub(r"<\?xml.*?\?>|<!--.*?-->|<!DOCTYPE.*?>", "", text, flags=re.S).strip()
    return (
        f'<figure class="hb-figure" data-figure="{escape(name)}">{drawing}'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


def _fences(docs_dir):
    makers = {
        "calculator": calculator,
        "figure": partial(figure, folder=Path(docs_dir) / "figures"),
        "sources": partial(_empty, lambda: _view().sources()),
        "evidence": evidence,
        "calculator-index": partial(_empty, lambda: _view().calculator_index()),
        "reference": reference,
        "symbols": partial(_empty, symbols),
        "readings": partial(_empty, readings),
        "policy": partial(_empty, policy.page),
        "policy-headers": partial(_empty, policy.headers),
        "mutants": partial(_empty, mutants),
        "measured": partial(_empty, partial(measured, docs_dir)),
        "licences": partial(_empty, partial(licences.page, Path(docs_dir).parent)),
    }
    return [
        {"name": name, "class": name, "validator": _accept, "format": partial(_fence, maker)}
        for name, maker in makers.items()
    ]


def read_hazards(path):
    """Return (hazards by id, deferral) from hazards.toml; a gap in it is an error."""
    data = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    deferral = data.get("deferral", {})
    for key in ("text", "short"):
        if not deferral.get(key):
            raise PluginError(f'docs/hazards.toml: [deferral] needs {key} = "...".')
    hazards = data.get("hazard", {})
    for name, hazard in hazards.items():
        for key in ("title", "text"):
            if not hazard.get(key):
                raise PluginError(f'docs/hazards.toml: [hazard.{name}] needs {key} = "...".')
    return hazards, deferral


def cautions(names, hazards):
    """Return the Markdown of the block that stands at the head of a procedure page."""
    lines = [
        '<section class="hb-cautions" markdown>',
        "",
        "## Before you start { #before-you-start }",
        "",
    ]
    for name in names:
        hazard = hazards[name]
        text = " ".join(hazard["text"].split())
        stop = " ".join(hazard.get("stop", "").split())
        lines += [f"- **{hazard['title']}.** {text}{f' **Stop:** {stop}' if stop else ''}"]
    return "\n".join([*lines, "", "</section>", ""])


def deferral_block(text, *, full):
    """Return the Markdown of the block that stands at the foot of every page."""
    kind = "hb-deferral" if full else "hb-deferral hb-deferral-short"
    heading = ["## Who decides { #deferral }", ""] if full else []
    return "\n".join(
        [
            "",
            "",
            f'<aside class="{kind}" markdown>',
            "",
            *heading,
            " ".join(text.split()),
            "",
            "</aside>",
            "",
        ]
    )


def with_cautions(markdown, block):
    """Put a block after the page's first heading, or at the head where there is none."""
    match = re.search(r"^# .+\n", markdown, flags=re.M)
    fence = re.search(r"^(```|~~~)", markdown, flags=re.M)
    if not match or (fence and fence.start() < match.start()):
        return f"{block}\n{markdown}"
    return f"{markdown[: match.end()]}\n{block}\n{markdown[match.end() :]}"


def check_procedure(where, meta, hazards):
    """Return the hazard ids of a procedure page; raise with the mend if they are not in order."""
    names = meta.get("hazards")
    if not isinstance(names, list) or not names:
        raise PluginError(
            f"{where} is a procedure page without hazards. Add to its front matter, for example: "
            "hazards: [scald, stored-pressure]"
        )
    unknown = [name for name in names if name not in hazards]
    if unknown:
        raise PluginError(
            f"{where} names hazards that docs/hazards.toml does not have: {', '.join(unknown)}. "
            f"Known ones: {', '.join(sorted(hazards))}."
        )
    doubled = {name for name in names if names.count(name) > 1}
    if doubled:
        raise PluginError(f"{where} names a hazard twice: {', '.join(sorted(doubled))}.")
    return names


def on_config(config):
    root = str(Path(config.config_file_path).parent)
    if root not in sys.path:
        sys.path.insert(0, root)
    settings = config.mdx_configs.setdefault("pymdownx.superfences", {})
    settings["custom_fences"] = _fences(config.docs_dir)
    return config


EVIDENCE_PAGE = """\
---
title: 'Checked: {title}'
description: 'Check values as printed elsewhere and as found here: {title}.'
search:
  exclude: true
---
# Checked: {title}

The list of all subjects is on [How this handbook is checked](../how-checked.md).

```evidence
{group}
```
"""


def on_files(files, config):
    """Add the pages of check values; one page of them all would be too heavy."""
    for group, _ in _view().evidence_groups():
        text = EVIDENCE_PAGE.format(title=_view().evidence_title(group), group=group)
        files.append(File.generated(config, f"how-checked/{group}.md", content=text))
    return files


def on_page_markdown(markdown, page, config, files):
    hazards, deferral = read_hazards(Path(config.docs_dir) / "hazards.toml")
    where = f"docs/{page.file.src_uri}"
    markdown = with_runs(markdown, where, page.meta)
    procedure = page.meta.get("procedure", False)
    if procedure not in (True, False):
        raise PluginError(f"{where}: procedure is either true or false.")
    if procedure:
        names = check_procedure(where, page.meta, hazards)
        markdown = with_cautions(markdown, cautions(names, hazards))
    elif page.meta.get("hazards"):
        raise PluginError(f"{where} names hazards but is no procedure page. Add procedure: true.")
    text = deferral["text"] if procedure else deferral["short"]
    return markdown.rstrip() + deferral_block(text, full=procedure)


def with_links(html, page, files):
    """Turn links to pages that the fences made, such as survey.md#find, into addresses."""

    def resolved(match):
        name, anchor = match[1], match[2] or ""
        there = files.get_file_from_path(name)
        if there is None:
            raise PluginError(
                f"docs/{page.file.src_uri}: a fence links to {name}, which is no page. "
                "Mend the page's name where the calculator or the source is declared."
            )
        return f'href="{there.url_relative_to(page.file)}{anchor}"'

    return re.sub(r'href="([\w/-]+\.md)(#[^"]*)?"', resolved, html)


def with_ticks(html, page):
    """Mark the steps and stops of a procedure page, so that a job can keep their ticks."""
    source = page.file.src_uri
    try:
        return with_steps(html, page=source.removesuffix(".md"), title=page.title)
    except StepProblem as problem:
        raise PluginError(f"docs/{source}: {problem}") from problem


def on_page_content(html, page, config, files):
    procedure = page.meta.get("procedure")
    if procedure and "<live-calculator" not in html:
        raise PluginError(
            f"docs/{page.file.src_uri} is a procedure page without a live calculator. "
            "Put a fence into it: ```calculator, the calculator's id on the next line, then ```."
        )
    if procedure and 'class="hb-figure"' not in html:
        raise PluginError(
            f"docs/{page.file.src_uri} is a procedure page without a figure. Draw what its steps "
            "speak of as docs/figures/NAME.svg and put a fence into the page: ```figure, NAME on "
            "the next line, the caption on the line after, then ```."
        )
    if procedure:
        html = with_ticks(html, page)
    return with_links(html, page, files)


SHEETS = "<!-- observed sheets -->"


def _observed(config, files):
    """Put the assessor's sheets into the page that has room for them; all steps are known now."""
    told = Path(config.docs_dir) / "observed.toml"
    if not told.is_file():
        return
    room = next((f.page for f in files if f.page and SHEETS in (f.page.content or "")), None)
    procedures = [
        f.page for f in files.documentation_pages() if f.page and f.page.meta.get("procedure")
    ]
    try:
        sheets, without = observed.read(told)
        found = {
            page.file.src_uri.removesuffix(".md"): (page, marks(page.content)[0])
            for page in procedures
        }
        observed.check_pages(sheets, without, found)
        order = [name for name in sheets if name in found]
        if room:
            html = observed.page_html(
                [
                    (n, found[n][0].title, found[n][0].file.url_relative_to(room.file), found[n][1])
                    for n in order
                ],
                sheets,
            )
            room.content = room.content.replace(SHEETS, html)
    except observed.ObservedProblem as problem:
        raise PluginError(str(problem)) from problem


def on_env(env, config, files):
    """Write the titles that the browser names things by; the pages have their addresses now."""
    _observed(config, files)
    book = _view().book()
    for found in book["calculators"].values():
        found["page"] = files.get_file_from_path(found["page"]).url
    target = Path(config.site_dir) / "assets" / "book.json"
    target.parent.mkdir(parents=True, exist_ok=True)
    text = json.dumps(book, ensure_ascii=False, separators=(",", ":"))
    target.write_text(text, encoding="utf-8")
    return env


_KEPT = re.compile(r"(<(pre|textarea|script|style)\b.*?</\2>)", flags=re.S)


def without_indents(html):
    """Drop the theme's indents and empty lines: they are a tenth of all pages kept offline."""
    pieces = _KEPT.split(html)
    for index in range(0, len(pieces), 3):
        pieces[index] = re.sub(r"\s*\n\s*", "\n", pieces[index])
    return "".join(piece for index, piece in enumerate(pieces) if index % 3 != 2)


def _searched_later(html, where):
    """Return a page whose search begins when it is turned to."""
    try:
        return searching.with_worker(html, where)
    except searching.SearchProblem as problem:
        raise PluginError(str(problem)) from problem


def on_post_page(output, page, config):
    return _searched_later(without_indents(output), f"docs/{page.file.src_uri}")


def on_post_template(output, template_name, config):
    return _searched_later(output, template_name) if template_name.endswith(".html") else output


def on_post_build(config):
    """Close every page to what does not belong to the book."""
    try:
        searching.split(config.site_dir)
        policy.protect(Path(config.site_dir))
    except (policy.PolicyProblem, searching.SearchProblem) as problem:
        raise PluginError(str(problem)) from problem
