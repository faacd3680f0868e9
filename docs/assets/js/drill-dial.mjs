// @ts-check
/**
 * Draws the instruments of the simulated room: a dial, a thermometer, and the paper strip of a
 * recorder. They draw what they are given; where a mark lies and what it means is decided elsewhere.
 */

/** @typedef {[number, number]} Sample second and value, in the unit of the instrument */
/**
 * @typedef {object} Scale
 * @property {string} title
 * @property {string} unit
 * @property {number} value
 * @property {string} reads the value as a person would say it
 * @property {number} least
 * @property {number} most
 * @property {[number, string][]} major
 * @property {number[]} [minor]
 * @property {[number, number] | null} [normal]
 * @property {number | null} [relief]
 */

const SVG = "http://www.w3.org/2000/svg";
const SIDE = 240;
const MIDDLE = SIDE / 2;
const HALF_SWEEP = 135;
const STOP = 4;

/**
 * @param {string} name
 * @param {Record<string, string | number>} [attributes]
 * @param {...(Node | string)} children
 * @returns {SVGElement}
 */
export function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  for (const [attribute, value] of Object.entries(attributes)) {
    element.setAttribute(attribute, String(value));
  }
  element.append(...children);
  return /** @type {SVGElement} */ (element);
}

/**
 * Return where the needle points, in degrees from upright. Beyond the scale it lies at its stop, as
 * a needle does.
 *
 * @param {Scale} scale
 * @param {number} value
 */
export function turn({ least, most }, value) {
  const angle = ((value - least) / (most - least)) * 2 * HALF_SWEEP - HALF_SWEEP;
  return Math.min(Math.max(angle, -HALF_SWEEP - STOP), HALF_SWEEP + STOP);
}

/** @param {number} angle @param {number} radius @returns {string} a point, for a path */
function at(angle, radius) {
  const turned = (angle * Math.PI) / 180;
  const x = MIDDLE + radius * Math.sin(turned);
  const y = MIDDLE - radius * Math.cos(turned);
  return `${x.toFixed(2)} ${y.toFixed(2)}`;
}

/** @param {number} from @param {number} to @param {number} radius */
function arc(from, to, radius) {
  return `M${at(from, radius)}A${radius} ${radius} 0 ${to - from > 180 ? 1 : 0} 1 ${at(to, radius)}`;
}

/** What of a scale asks for a new face. @param {Scale} scale */
function face({ title, unit, least, most, major, minor, normal, relief }) {
  return JSON.stringify([title, unit, least, most, major, minor, normal, relief]);
}

/** How many digits stand after the point of a reading. @param {string} reads */
export function digits(reads) {
  return /[.,](\d+)/.exec(reads)?.[1].length ?? 0;
}

/**
 * Say a scale and its marks, for whoever does not see them.
 *
 * @param {Scale} scale
 * @param {string} reads
 */
export function said(scale, reads) {
  const { title, unit, normal, relief } = scale;
  const parts = [`${title}: ${reads}.`];
  if (normal) parts.push(`Usual here: ${normal[0]} to ${normal[1]} ${unit}.`);
  if (typeof relief === "number") parts.push(`The relief valve is set to ${relief} ${unit}.`);
  return parts.join(" ");
}

/** A round gauge with one needle. */
export class Dial {
  #face = "";
  /** @type {SVGElement | null} */ #needle = null;
  /** @type {Scale | null} */ #scale = null;

  constructor() {
    this.element = svg("svg", {
      class: "fd-dial",
      role: "img",
      viewBox: `0 0 ${SIDE} ${SIDE}`,
      "aria-label": "Gauge",
    });
  }

  /** @param {Scale} scale */
  show(scale) {
    const wanted = face(scale);
    this.#scale = scale;
    if (wanted !== this.#face) {
      this.#face = wanted;
      this.#draw(scale);
    }
    this.point(scale.value);
    this.element.setAttribute("aria-label", said(scale, scale.reads));
  }

  /** Move the needle alone. @param {number} value */
  point(value) {
    if (!this.#scale) return;
    const angle = turn(this.#scale, value).toFixed(2);
    this.#needle?.setAttribute("transform", `rotate(${angle} ${MIDDLE} ${MIDDLE})`);
  }

  /** @param {Scale} scale */
  #draw(scale) {
    const angle = (/** @type {number} */ value) => turn(scale, value);
    const middle = { cx: MIDDLE, cy: MIDDLE };
    const marks = [
      svg("circle", { class: "fd-rim", ...middle, r: 117 }),
      svg("circle", { class: "fd-ring", ...middle, r: 109 }),
      svg("circle", { class: "fd-face", ...middle, r: 106 }),
    ];
    if (scale.normal) {
      const [from, to] = scale.normal.map(angle);
      marks.push(svg("path", { class: "fd-normal", d: arc(from, to, 98) }));
    }
    for (const value of scale.minor ?? []) {
      marks.push(
        svg("path", { class: "fd-minor", d: `M${at(angle(value), 92)}L${at(angle(value), 101)}` }),
      );
    }
    for (const [value, text] of scale.major) {
      const [x, y] = at(angle(value), 73).split(" ");
      marks.push(
        svg("path", { class: "fd-major", d: `M${at(angle(value), 86)}L${at(angle(value), 101)}` }),
        svg("text", { class: "fd-figure", x, y, dy: "0.35em", "text-anchor": "middle" }, text),
      );
    }
    if (typeof scale.relief === "number") {
      const there = angle(scale.relief);
      marks.push(
        svg("path", {
          class: "fd-relief",
          d: `M${at(there, 89)}L${at(there - 4.5, 105)}L${at(there + 4.5, 105)}Z`,
        }),
      );
    }
    marks.push(
      svg(
        "text",
        { class: "fd-unit", x: MIDDLE, y: 186, "text-anchor": "middle" },
        scale.unit,
      ),
    );
    this.#needle = svg(
      "g",
      {},
      svg("path", {
        class: "fd-needle",
        d: `M${MIDDLE - 4.5} ${MIDDLE}L${MIDDLE - 1.2} 24H${MIDDLE + 1.2}L${MIDDLE + 4.5} ${MIDDLE}`
          + `L${MIDDLE + 6} 146H${MIDDLE - 6}Z`,
      }),
      svg("circle", { class: "fd-hub", ...middle, r: 9 }),
    );
    marks.push(this.#needle);
    this.element.replaceChildren(...marks);
  }
}

const MOST_FIGURES = 8;
const TUBE = { top: 16, bottom: 182, x: 30 };

/** A tube with a column in it. */
export class Thermometer {
  #face = "";
  /** @type {SVGElement | null} */ #column = null;
  /** @type {Scale | null} */ #scale = null;

  constructor() {
    this.element = svg("svg", {
      class: "fd-thermometer",
      role: "img",
      viewBox: `0 0 92 ${SIDE}`,
      "aria-label": "Thermometer",
    });
  }

  /** @param {Scale} scale */
  show(scale) {
    const wanted = face(scale);
    this.#scale = scale;
    if (wanted !== this.#face) {
      this.#face = wanted;
      this.#draw(scale);
    }
    this.point(scale.value);
    this.element.setAttribute("aria-label", said(scale, scale.reads));
  }

  /** @param {number} value */
  point(value) {
    if (!this.#scale) return;
    const top = this.#height(value);
    this.#column?.setAttribute("d", `M${TUBE.x} 208V${top.toFixed(2)}`);
  }

  /** @param {number} value */
  #height(value) {
    const { least, most } = /** @type {Scale} */ (this.#scale);
    const share = Math.min(Math.max((value - least) / (most - least), -0.03), 1.03);
    return TUBE.bottom - share * (TUBE.bottom - TUBE.top);
  }

  /** @param {Scale} scale */
  #draw(scale) {
    const { x, top } = TUBE;
    const marks = [
      svg("path", { class: "fd-tube", d: `M${x} 208V${top - 4}` }),
      svg("path", { class: "fd-bore", d: `M${x} 208V${top - 4}` }),
    ];
    // Too many figures would stand on each other's feet.
    const every = Math.ceil(scale.major.length / MOST_FIGURES);
    for (const [index, [value, text]] of scale.major.entries()) {
      const y = this.#height(value).toFixed(2);
      marks.push(svg("path", { class: "fd-minor", d: `M${x + 11} ${y}H${x + 19}` }));
      if (index % every > 0) continue;
      marks.push(svg("text", { class: "fd-figure", x: x + 23, y, dy: "0.35em" }, text));
    }
    this.#column = svg("path", { class: "fd-column" });
    marks.push(
      svg("circle", { class: "fd-tubebulb", cx: x, cy: 212, r: 17 }),
      svg("circle", { class: "fd-bulb", cx: x, cy: 212, r: 12 }),
      this.#column,
      svg("text", { class: "fd-unit", x: x + 23, y: 218 }, scale.unit),
    );
    this.element.replaceChildren(...marks);
  }
}

const STRIP = { width: 320, height: 132, left: 46, right: 8, top: 10, bottom: 26 };
const LEAST_DIVISIONS = 4;

/**
 * Return the part of a scale that the strip shows: whole divisions around the samples.
 *
 * @param {Sample[]} samples
 * @param {Scale} scale
 * @returns {[number, number]}
 */
export function windowOf(samples, scale) {
  const marks = scale.minor && scale.minor.length > 1 ? scale.minor : scale.major.map(([v]) => v);
  const division = marks.length > 1 ? Math.abs(marks[1] - marks[0]) : (scale.most - scale.least) / 10;
  const values = samples.map(([, value]) => value);
  let low = Math.floor(Math.min(...values) / division);
  let high = Math.ceil(Math.max(...values) / division);
  while (high - low < LEAST_DIVISIONS) {
    high += 1;
    if (high - low < LEAST_DIVISIONS) low -= 1;
  }
  return [low * division, high * division];
}

/** The paper of a recorder: the needle's way during the last act. */
export class Strip {
  /** @type {Sample[]} */ #samples = [];
  /** @type {SVGElement | null} */ #line = null;
  /** @type {SVGElement | null} */ #pen = null;
  /** @type {[number, number]} */ #window = [0, 1];

  constructor() {
    // The log says the same in words.
    this.element = svg("svg", {
      class: "fd-strip-chart",
      "aria-hidden": "true",
      viewBox: `0 0 ${STRIP.width} ${STRIP.height}`,
    });
  }

  /**
   * @param {Sample[]} samples
   * @param {Scale} scale
   * @param {[string, string]} ends what the clock says at both ends
   */
  show(samples, scale, ends) {
    this.#samples = samples;
    if (samples.length < 2) {
      this.element.replaceChildren();
      return;
    }
    this.#window = windowOf(samples, scale);
    const [low, high] = this.#window;
    const { left, top, bottom, right, width, height } = STRIP;
    const inside = (/** @type {number} */ value) => Math.min(Math.max(value, low), high);
    /** @type {SVGElement[]} */
    const marks = [
      svg("path", {
        class: "fd-paper",
        d: `M${left} ${top}H${width - right}V${height - bottom}H${left}Z`,
      }),
    ];
    if (scale.normal && scale.normal[1] > low && scale.normal[0] < high) {
      const [from, to] = scale.normal.map((value) => this.#y(inside(value)));
      marks.push(
        svg("path", { class: "fd-band", d: `M${left} ${from}H${width - right}V${to}H${left}Z` }),
      );
    }
    // Divisions are round numbers, but their multiples in the machine are not.
    const after = Math.max(digits(scale.reads), digits(String(Number(low.toFixed(6)))));
    for (const value of [low, (low + high) / 2, high]) {
      const y = this.#y(value);
      marks.push(svg("path", { class: "fd-rule", d: `M${left} ${y}H${width - right}` }));
      if (value === low || value === high) {
        marks.push(
          svg(
            "text",
            { class: "fd-small", x: left - 6, y, dy: "0.35em", "text-anchor": "end" },
            value.toFixed(after),
          ),
        );
      }
    }
    if (typeof scale.relief === "number" && scale.relief > low && scale.relief <= high) {
      const y = this.#y(scale.relief);
      marks.push(
        svg("path", { class: "fd-reliefline", d: `M${left} ${y}H${width - right}` }),
        svg("text", { class: "fd-small fd-reliefword", x: left + 4, y: y - 4 }, "relief"),
      );
    }
    this.#line = svg("path", { class: "fd-line" });
    this.#pen = svg("circle", { class: "fd-pen", r: 4.5 });
    const foot = height - 8;
    marks.push(
      this.#line,
      this.#pen,
      svg("text", { class: "fd-small", x: left, y: foot }, ends[0]),
      svg("text", { class: "fd-small", x: width - right, y: foot, "text-anchor": "end" }, ends[1]),
    );
    this.element.replaceChildren(...marks);
    this.upTo(samples[samples.length - 1][0]);
  }

  /** Draw the line as far as a second. @param {number} second */
  upTo(second) {
    if (this.#samples.length < 2) return;
    const drawn = this.#samples.filter(([time]) => time <= second);
    const value = valueAt(this.#samples, second);
    const points = [...drawn, /** @type {Sample} */ ([second, value])];
    const path = points.map(([s, v]) => `${this.#x(s).toFixed(1)} ${this.#y(v).toFixed(1)}`);
    this.#line?.setAttribute("d", `M${path.join("L")}`);
    this.#pen?.setAttribute("cx", this.#x(second).toFixed(1));
    this.#pen?.setAttribute("cy", this.#y(value).toFixed(1));
  }

  /** @param {number} second */
  #x(second) {
    const first = this.#samples[0][0];
    const last = this.#samples[this.#samples.length - 1][0];
    const share = last > first ? (second - first) / (last - first) : 0;
    return STRIP.left + share * (STRIP.width - STRIP.left - STRIP.right);
  }

  /** @param {number} value */
  #y(value) {
    const [low, high] = this.#window;
    const room = STRIP.height - STRIP.top - STRIP.bottom;
    return STRIP.top + (1 - (value - low) / (high - low)) * room;
  }
}

/**
 * Return what an instrument shows at a second, straight between its samples.
 *
 * @param {Sample[]} samples
 * @param {number} second
 */
export function valueAt(samples, second) {
  const next = samples.findIndex(([time]) => time >= second);
  if (next < 0) return samples[samples.length - 1][1];
  if (next === 0) return samples[0][1];
  const [[from, one], [to, other]] = [samples[next - 1], samples[next]];
  return one + ((second - from) / (to - from)) * (other - one);
}
