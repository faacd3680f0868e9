/* What the tests ask of a page for readers of every kind. Put into the page once; see access.py. */
window.access = (() => {
  const CONTROLS =
    "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]";

  const named = (e) => {
    const words = (e.getAttribute("aria-label") || e.textContent || e.value || "").trim();
    const marks = [e.id && `#${e.id}`, e.getAttribute("class"), e.name].filter(Boolean).join(" ");
    return `${e.localName} ${marks}: ${words.replace(/\s+/g, " ").slice(0, 50)}`;
  };
  const seen = (e) => e.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
  const once = (list) => [...new Set(list)];

  const unfold = () => {
    for (const folded of document.querySelectorAll("article details")) folded.open = true;
  };

  /* ---- the keyboard ---- */

  // One stop for each group of radio buttons, as the Tab key has it.
  const stops = () => {
    const groups = new Map();
    return [...document.querySelectorAll(CONTROLS)].filter((e) => {
      if (e.disabled || e.tabIndex < 0 || e.closest("[inert]") || !seen(e)) return false;
      if (e.type !== "radio" || !e.name) return true;
      const key = `${e.form?.id ?? ""}/${e.closest("form, section") ? [...document.querySelectorAll("form, section")].indexOf(e.closest("form, section")) : ""}/${e.name}`;
      const group = groups.get(key) ?? [];
      groups.set(key, [...group, e]);
      return group.length === 0;
    });
  };

  const parsed = (text) => {
    const made = new OffscreenCanvas(1, 1).getContext("2d", { willReadFrequently: true });
    made.fillStyle = text;
    made.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = made.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const light = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((c) => {
      const s = c / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const contrast = (one, other) => {
    const [a, b] = [light(one), light(other)].sort((x, y) => y - x);
    return (a + 0.05) / (b + 0.05);
  };
  const ground = (e) => {
    for (let at = e; at; at = at.parentElement) {
      const colour = parsed(getComputedStyle(at).backgroundColor);
      if (colour[3] > 0.95) return colour;
    }
    return [255, 255, 255, 1];
  };

  const ringOf = (e) => {
    for (const at of [e, face(e), e.parentElement, e.parentElement?.parentElement]) {
      if (!at) continue;
      const style = getComputedStyle(at);
      if (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) {
        return contrast(parsed(style.outlineColor), ground(at.parentElement ?? at));
      }
    }
    return 0;
  };

  // What a reader sees of a control that is drawn by its label.
  const face = (e) => {
    if (!e.matches("input")) return e;
    const { width } = e.getBoundingClientRect();
    if (width > 4 && getComputedStyle(e).opacity !== "0") return e;
    return e.closest("label") ?? [...(e.labels ?? [])].find(seen) ??
      (e.nextElementSibling?.matches("label") ? e.nextElementSibling : e);
  };

  const uncovered = (control) => {
    const e = face(control);
    const rects = [...e.getClientRects()].filter((r) => r.width && r.height);
    let [all, free] = [0, 0];
    const by = new Map();
    for (const rect of rects) {
      for (const x of [0.1, 0.5, 0.9]) {
        for (const y of [0.15, 0.5, 0.85]) {
          all += 1;
          const top = document.elementFromPoint(rect.x + rect.width * x, rect.y + rect.height * y);
          if (top && (e.contains(top) || top.contains(e) && !top.matches("body, html"))) free += 1;
          else by.set(top && named(top), true);
        }
      }
    }
    const box = e.getBoundingClientRect();
    return { seen: box.top < innerHeight && box.bottom > 0, part: all ? free / all : 0, by: [...by.keys()].slice(0, 2).join(' + ') };
  };

  let walked = [];
  let expected = [];
  const note = (event) => {
    if (event.key !== "Tab") return;
    const e = document.activeElement;
    if (!e || e === document.body) return void walked.push(null);
    walked.push({ e, ring: ringOf(e), free: uncovered(e) });
  };
  const begin = () => {
    walked = [];
    // Where Tab goes on from is not only where the focus is.
    const start = document.createElement("i");
    start.tabIndex = -1;
    document.body.prepend(start);
    start.focus();
    start.remove();
    scrollTo(0, 0);
    expected = stops();
    removeEventListener("keyup", note, true);
    addEventListener("keyup", note, true);
    return expected.length;
  };
  const end = () => {
    removeEventListener("keyup", note, true);
    const first = walked.findIndex(Boolean);
    const stop = walked.indexOf(null, first);
    const tour = walked.slice(first, stop < 0 ? undefined : stop);
    const been = tour.map(({ e }) => e);
    const radio = (e) => e.type === "radio";
    const met = (e) => been.includes(e) || (radio(e) && been.some((b) => radio(b) && b.name === e.name));
    const order = been.filter((e) => expected.includes(e)).map((e) => expected.indexOf(e));
    const rest = walked.slice(Math.max(stop, 0)).some(Boolean);
    return {
      stops: tour.length,
      // The keyboard's place went away under it, and Tab went on from somewhere else.
      lost: stop > 0 && rest && been.length < expected.length ? [`after ${named(been.at(-1))}`] : [],
      trap: stop < 0 && new Set(been).size < been.length,
      missed: expected.filter((e) => e.isConnected && !met(e)).map(named),
      // Day, month and year of a date are stops of their own.
      twice: once(been.filter((e, n) => been.indexOf(e) !== n && !/^date/.test(e.type)).map(named)),
      backwards: order.filter((at, n) => n && at < order[n - 1]).map((at) => named(expected[at])),
      // The browser rings the parts of a date itself.
      dim: once(tour.filter(({ e, ring }) => ring < 3 && !/^date/.test(e.type)).map(({ e, ring }) => `${ring.toFixed(1)} ${named(e)}`)),
      hidden: once(tour.filter(({ e, free }) =>
        // What is higher than the screen cannot all be on it, and has to be on it in part.
        e.getBoundingClientRect().height > innerHeight / 2 ? !free.seen : free.part < 0.5).map(({ e, free }) => `${free.part.toFixed(1)} ${named(e)} under ${free.by}`)),
    };
  };

  /* ---- room ---- */

  // Kept for ears alone, or held over the page by a bar on purpose.
  const apart = (e) => {
    for (let at = e; at && at !== document.body; at = at.parentElement) {
      const style = getComputedStyle(at);
      if (/fixed|sticky/.test(style.position) || style.clipPath !== "none" || style.clip !== "auto") return true;
    }
    return false;
  };

  const texts = (root) => {
    const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    const found = [];
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (!node.data.trim() || !seen(node.parentElement)) continue;
      if (node.parentElement.closest("math, script, style, option, textarea")) continue;
      if (apart(node.parentElement)) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rect of range.getClientRects()) {
        if (rect.width > 1 && rect.height > 1) found.push({ node, rect });
      }
    }
    return found;
  };

  const scroller = (e) => {
    for (let at = e; at && at !== document.body; at = at.parentElement) {
      const style = getComputedStyle(at);
      if (/auto|scroll/.test(style.overflowX) && at.scrollWidth > at.clientWidth + 1) return at;
    }
    return null;
  };

  // What slides over to a new size is not yet where it will be.
  const still = () => Promise.all(document.getAnimations()
    .filter((each) => each instanceof CSSTransition).map((each) => each.finished.catch(() => {})));

  // Nothing has come in or gone for a while: engines start and lists are filled in after the page.
  const settled = (quiet = 400, limit = 20000) => new Promise((done) => {
    let timer = setTimeout(end, quiet);
    const late = setTimeout(end, limit);
    const seen = new MutationObserver(() => {
      clearTimeout(timer);
      timer = setTimeout(end, quiet);
    });
    seen.observe(document.body, { childList: true, subtree: true, attributes: true });
    function end() {
      seen.disconnect();
      clearTimeout(timer);
      clearTimeout(late);
      done();
    }
  });

  // Words past the edge, cut by a box, or lying on other words.
  const crowded = (root = document.querySelector("article"), edge = innerWidth) => {
    // The glance lies over the form on purpose: what is tabbed to comes up clear of it.
    const all = texts(root).filter(({ node }) => !node.parentElement.closest(".lc-glance"))
      .filter(({ node }) => !spacedOut() || !node.parentElement.closest("svg"));
    // Blanks at the end of a preformatted line hang over and cut nothing; the page is measured too.
    const past = all.filter(({ node, rect }) => !node.parentElement.closest("pre") &&
      (rect.right > edge + 1 || rect.left < -1) && !scroller(node.parentElement));
    const cut = [...root.querySelectorAll("*")].filter((e) => {
      if (!seen(e) || e.closest("svg, math, option, select") || e.matches("input, textarea")) return false;
      const style = getComputedStyle(e);
      if (style.clipPath !== "none" || e.clientWidth < 3) return false;
      const clips = /hidden|clip/.test(`${style.overflowX} ${style.overflowY}`);
      if (!clips || (e.scrollWidth <= e.clientWidth + 1 && e.scrollHeight <= e.clientHeight + 2)) return false;
      // An ornament may stand over; words may not.
      const box = e.getBoundingClientRect();
      return texts(e).some(({ node, rect }) => !node.parentElement.closest("svg") &&
        (rect.right > box.right + 1 || rect.bottom > box.bottom + 4));
    });
    const boxes = all.filter(({ rect }) => rect.height < 80).sort((a, b) => a.rect.top - b.rect.top);
    const lying = [];
    for (let i = 0; i < boxes.length; i += 1) {
      const one = boxes[i];
      for (let j = i + 1; j < boxes.length && boxes[j].rect.top < one.rect.bottom; j += 1) {
        const other = boxes[j];
        if (one.node === other.node) continue;
        const wide = Math.min(one.rect.right, other.rect.right) - Math.max(one.rect.left, other.rect.left);
        const high = Math.min(one.rect.bottom, other.rect.bottom) - Math.max(one.rect.top, other.rect.top);
        // Boxes of lines are taller than their letters, and wider where the line stands upright.
        const upright = [one.rect, other.rect].filter((r) => r.height > r.width);
        const room = Math.max(2, ...upright.map((r) => 0.45 * r.width));
        if (wide > room && high > 0.45 * Math.min(one.rect.height, other.rect.height)) {
          lying.push(`${one.node.data.trim().slice(0, 30)} / ${other.node.data.trim().slice(0, 30)}`);
        }
      }
    }
    const wide = document.documentElement.scrollWidth > edge + 1
      ? [`the page is ${document.documentElement.scrollWidth} wide in ${edge}`] : [];
    return {
      past: once([...wide, ...past.map(({ node }) => `${named(node.parentElement)} [${node.data.trim().slice(0, 30)}]`)]),
      cut: once(cut.map(named)),
      lying: once(lying),
    };
  };

  // What paper would lose: what scrolls on a screen is cut there.
  const unprintable = (edge) => {
    const root = document.querySelector("article");
    const found = [];
    for (const e of root.querySelectorAll("*")) {
      if (!seen(e) || e.parentElement.closest("svg, math")) continue;
      const box = e.getBoundingClientRect();
      if (box.width && box.right > edge + 1) found.push(`past the edge by ${Math.round(box.right - edge)}: ${named(e)}`);
      const style = getComputedStyle(e);
      if (e.matches("input, select, textarea, svg, math")) continue;
      if (style.clipPath !== "none" || e.clientWidth < 3) continue;
      if (style.overflowX !== "visible" && e.scrollWidth > e.clientWidth + 1) found.push(`cut at the side by ${e.scrollWidth - e.clientWidth}: ${named(e)}`);
      if (style.overflowY !== "visible" && e.scrollHeight > e.clientHeight + 2) found.push(`cut below by ${e.scrollHeight - e.clientHeight}: ${named(e)}`);
    }
    // A number that goes on in the next line is read as two.
    const texts = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    for (let text = texts.nextNode(); text; text = texts.nextNode()) {
      const e = text.parentElement;
      // What is there for a screen reader alone stands in a box of one pixel.
      const alone = getComputedStyle(e).clipPath !== "none" || (e.clientWidth > 0 && e.clientWidth < 3);
      if (!seen(e) || alone || e.closest("svg, math, pre, code, select")) continue;
      for (const { 0: word, index } of text.data.matchAll(/[\p{L}\p{N}]{2,}/gu)) {
        const range = document.createRange();
        range.setStart(text, index);
        range.setEnd(text, index + word.length);
        const lines = [...range.getClientRects()].filter(({ width }) => width > 0.5);
        if (lines.length > 1 && lines.at(-1).top > lines[0].top + 3) found.push(`word in two lines: ${word}: ${named(e)}`);
      }
    }
    const torn = [...root.querySelectorAll("figure, svg, tr, math[display=block], pre, h2, h3")]
      .filter((e) => seen(e) && !e.parentElement.closest("svg"))
      .filter((e) => {
        const style = getComputedStyle(e);
        if (/^h[23]$/.test(e.localName)) return style.breakAfter !== "avoid";
        for (let at = e; at !== root; at = at.parentElement) {
          if (getComputedStyle(at).breakInside.startsWith("avoid")) return false;
        }
        return true;
      }).map((e) => `may be torn: ${e.localName} ${e.getAttribute("class") ?? ""}`);
    return once([...found, ...torn]);
  };

  const spaced = new CSSStyleSheet();
  spaced.replaceSync(`* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
    word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }`);
  const doubled = new CSSStyleSheet();
  doubled.replaceSync("html { font-size: 250% !important; }");
  // Spacing is a reader's wish for running text; a drawing keeps its own.
  const spacedOut = () => document.adoptedStyleSheets.includes(spaced);
  const wear = (name) => {
    document.adoptedStyleSheets = { spaced: [spaced], doubled: [doubled], both: [spaced, doubled] }[name] ?? [];
  };

  return { begin, end, crowded, settled, still, unprintable, unfold, wear };
})();
