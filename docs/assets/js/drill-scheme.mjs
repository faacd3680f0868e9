// @ts-check
/**
 * Draws the boiler room as a scheme. Its parts are buttons over the drawing; each leads to what can
 * be done there. Positions are shares of the drawing, so that the buttons fit it at any width.
 */
import { el } from "./job-dom.mjs";
import { svg } from "./drill-dial.mjs";

const WIDTH = 360;
const HEIGHT = 372;

/** @typedef {{id: string, title: string, box: [number, number, number, number], name?: number}} Spot */

/** @type {Spot[]} where a part can be touched: left, top, width, height of the drawing, and how far down its name stands, at its foot if left out */
export const SPOTS = [
  { id: "loop", title: "Room, radiators", box: [150, 4, 204, 94] },
  { id: "relief", title: "Relief valve", box: [2, 108, 90, 86] },
  { id: "gauge", title: "Gauge", box: [95, 108, 57, 86] },
  { id: "boiler", title: "Boiler", box: [36, 198, 104, 112], name: 30 },
  { id: "cylinder", title: "Cylinder", box: [252, 108, 104, 152] },
  { id: "vessel", title: "Vessel", box: [162, 166, 86, 126], name: 42 },
  { id: "pump", title: "Pump", box: [144, 304, 66, 66] },
  { id: "fill", title: "Make-up", box: [254, 272, 102, 98] },
];

/** @type {[string, Record<string, string | number>][]} */
const DRAWING = [
  // The floor between the rooms and the boiler room.
  ["path", { class: "fg-ground", d: "M0 102H360" }],
  // Flow up to the radiators and the cylinder, return along the foot.
  ["path", { class: "fg-pipe", d: "M88 214V126H140V62H338V330H88V300" }],
  ["path", { class: "fg-bore", d: "M88 214V126H140V62H338V330H88V300" }],
  ["path", { class: "fg-pipe", d: "M232 330V300" }],
  ["path", { class: "fg-bore", d: "M232 330V300" }],
  // Radiators and the vent above them.
  ["path", { class: "fg-rad", d: "M172 34H232V78H172ZM256 34H316V78H256Z" }],
  ["path", { class: "fg-thin", d: "M187 34V78M202 34V78M217 34V78M271 34V78M286 34V78M301 34V78" }],
  ["path", { class: "fg-line", d: "M338 62V30" }],
  ["circle", { class: "fg-joint", cx: 338, cy: 26, r: 7 }],
  // Boiler, with its burner.
  ["path", { class: "fg-part", d: "M52 214H124V306H52Z" }],
  ["path", { class: "fg-line", d: "M64 268H112V294H64Z" }],
  ["path", { class: "fg-heat", d: "M76 290C68 280 78 278 77 270C88 276 86 284 82 290M96 290C88 280 98 278 97 270C108 276 106 284 102 290" }],
  // Relief valve and its pipe.
  ["path", { class: "fg-line", d: "M88 150H48" }],
  ["path", { class: "fg-joint", d: "M48 150L34 140V160ZM48 150L58 136H38Z" }],
  ["path", { class: "fg-line", d: "M34 150H18V300M48 136V124M42 128L54 124M42 122L54 118" }],
  ["path", { class: "fg-line", d: "M8 306H30V318H8Z" }],
  // Gauge.
  ["path", { class: "fg-line", d: "M140 126V142" }],
  ["circle", { class: "fg-part", cx: 118, cy: 154, r: 17 }],
  ["path", { class: "fg-line", d: "M101 126V138M118 154L128 144" }],
  // Vessel with its valve: the skin between gas and water.
  ["path", { class: "fg-line", d: "M232 300V286" }],
  ["path", { class: "fg-joint", d: "M232 300L224 308H240ZM232 300L224 292H240Z" }],
  ["path", { class: "fg-gas", d: "M180 208A32 22 0 0 1 244 208V256A32 22 0 0 1 180 256Z" }],
  ["path", { class: "fg-water", d: "M180 238C196 246 228 246 244 238V256A32 22 0 0 1 180 256Z" }],
  ["path", { class: "fg-line", d: "M180 208A32 22 0 0 1 244 208V256A32 22 0 0 1 180 256Z" }],
  ["path", { class: "fg-skin", d: "M180 238C196 246 228 246 244 238" }],
  ["path", { class: "fg-line", d: "M212 186V178M207 178H217" }],
  // Cylinder with its coil; cold in below, hot out above.
  ["path", { class: "fg-part", d: "M268 156A28 16 0 0 1 324 156V220A28 12 0 0 1 268 220Z" }],
  ["path", { class: "fg-line", d: "M338 168H282L316 178L282 188L316 198L282 208H338" }],
  ["path", { class: "fg-run", d: "M296 140V122H262M268 218H254" }],
  ["path", { class: "fg-joint", d: "M254 218L246 210V226ZM254 218L262 210V226Z" }],
  // Make-up from the mains, with its regulator.
  ["path", { class: "fg-run", d: "M272 330V292H356" }],
  ["path", { class: "fg-joint", d: "M296 292L286 282V302ZM296 292L306 282V302Z" }],
  ["path", { class: "fg-part", d: "M318 282H340V302H318Z" }],
  ["path", { class: "fg-line", d: "M322 282Q329 270 336 282" }],
  // Pump.
  ["circle", { class: "fg-part", cx: 176, cy: 330, r: 17 }],
  ["path", { class: "fg-ink", d: "M164 330L184 318V342Z" }],
];

export class Scheme {
  /** @type {Map<string, HTMLButtonElement>} */ #spots = new Map();

  /** @param {(part: string) => void} chosen */
  constructor(chosen) {
    const drawing = svg("svg", {
      class: "fg fd-drawing",
      viewBox: `0 0 ${WIDTH} ${HEIGHT}`,
      "aria-hidden": "true",
    });
    drawing.append(...DRAWING.map(([name, attributes]) => svg(name, attributes)));
    this.element = el("div", { class: "fd-scheme", role: "group", "aria-label": "Parts of the room" });
    this.element.append(drawing);
    for (const { id, title, box, name } of SPOTS) {
      const words = el("span", { class: "fd-spotname" }, title);
      // The policy of the pages allows no style attribute, but styles that a script sets.
      if (name !== undefined) Object.assign(words.style, { top: `${name}%`, bottom: "auto" });
      const spot = /** @type {HTMLButtonElement} */ (
        el("button", { type: "button", class: "fd-spot", "data-spot": id }, words)
      );
      const [left, top, width, height] = box;
      Object.assign(spot.style, {
        left: share(left, WIDTH),
        top: share(top, HEIGHT),
        width: share(width, WIDTH),
        height: share(height, HEIGHT),
      });
      spot.addEventListener("click", () => chosen(id));
      this.#spots.set(id, spot);
      this.element.append(spot);
    }
  }

  /**
   * Say at each part what can be seen of it, and which one is open.
   *
   * @param {{id: string, title: string, state: string}[]} parts
   * @param {string} chosen
   */
  show(parts, chosen) {
    for (const [id, spot] of this.#spots) {
      const part = parts.find((one) => one.id === id);
      const name = SPOTS.find((one) => one.id === id)?.title ?? id;
      spot.setAttribute("aria-label", part?.state ? `${name}: ${part.state}` : name);
      spot.toggleAttribute("data-chosen", id === chosen);
      spot.hidden = parts.length > 0 && !part;
    }
  }
}

/** @param {number} length @param {number} whole */
function share(length, whole) {
  return `${((100 * length) / whole).toFixed(2)}%`;
}
