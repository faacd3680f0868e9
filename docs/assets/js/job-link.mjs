// @ts-check
/**
 * A small job as a link, and the link as a square code that another device's camera reads.
 *
 * The whole job stands behind the `#` of the link, which a browser never sends to a server.
 */

/** A failure with a sentence that can be shown to the reader as it stands. */
export class LinkError extends Error {}

/**
 * The most characters of a link. At the lowest level of correction a code of 117 squares a side
 * holds as many. On a telephone 65 mm wide that makes squares of half a millimetre, which is about
 * the finest that the camera of another one still tells apart at arm's length.
 */
export const LONGEST_LINK = 1200;
const LONGEST_PACKED = 20_000;
const LONGEST_TEXT = 400_000;
const QUIET_ZONE = 4;
const TAKE = /^#take=(.*)$/s;

const DAMAGED =
  "This link is damaged or was cut short, so there is no job in it. Ask for it again, or for the file.";
const OLD_BROWSER =
  "This browser is too old to read or make such a link. Use the file instead.";

/** @param {Uint8Array} bytes */
function base64url(bytes) {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/** @param {string} text @returns {Uint8Array<ArrayBuffer>} */
function bytesOf(text) {
  if (!/^[A-Za-z0-9_-]+$/.test(text)) throw new LinkError(DAMAGED);
  try {
    const raw = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
    return Uint8Array.from(raw, (letter) => letter.charCodeAt(0));
  } catch {
    throw new LinkError(DAMAGED);
  }
}

/** @param {Uint8Array<ArrayBuffer>} bytes */
function streamOf(bytes) {
  return new ReadableStream({
    start(controller) {
      controller.enqueue(bytes);
      controller.close();
    },
  });
}

/** @param {string} text @returns {Promise<string>} */
export async function packed(text) {
  if (typeof CompressionStream === "undefined") throw new LinkError(OLD_BROWSER);
  const stream = streamOf(new TextEncoder().encode(text)).pipeThrough(
    new CompressionStream("deflate-raw"),
  );
  return base64url(new Uint8Array(await new Response(stream).arrayBuffer()));
}

/**
 * Return the text that was packed. Stops as soon as it grows too long: a short link may unfold into
 * more than the device has room for.
 *
 * @param {string} link the packed text
 * @param {number} [longest] in bytes
 * @returns {Promise<string>}
 */
export async function unpacked(link, longest = LONGEST_TEXT) {
  if (typeof DecompressionStream === "undefined") throw new LinkError(OLD_BROWSER);
  if (link.length > LONGEST_PACKED) {
    throw new LinkError("This link is longer than any that the handbook makes. Ask for the file.");
  }
  const reader = streamOf(bytesOf(link))
    .pipeThrough(new DecompressionStream("deflate-raw"))
    .getReader();
  const decoder = new TextDecoder("utf-8", { fatal: true });
  let text = "";
  let length = 0;
  for (;;) {
    let part;
    try {
      part = await reader.read();
      text += part.done ? decoder.decode() : decoder.decode(part.value, { stream: true });
    } catch {
      throw new LinkError(DAMAGED);
    }
    if (part.done) return text;
    length += part.value.byteLength;
    if (length > longest) {
      await reader.cancel().catch(() => undefined);
      throw new LinkError("There is more in this link than a job may hold. It was not taken in.");
    }
  }
}

/** @param {string} hash of an address @returns {string | null} the packed job in it */
export function takeOf(hash) {
  return TAKE.exec(hash)?.[1] ?? null;
}

/**
 * @param {string} text of a job file
 * @param {string} page address of the page that takes jobs in
 */
export async function linkTo(text, page) {
  return `${new URL(page).href.replace(/#.*$/, "")}#take=${await packed(text)}`;
}

/**
 * What of a job goes along when the whole does not fit: the site, and what is left to do.
 *
 * It gets an id of its own, so that it can never stand in for the whole job.
 *
 * @param {{name: string, created: string, records: Record<string, any>}} whole
 * @param {string} id
 */
export function siteOnly(whole, id) {
  /** @type {Record<string, any>} */
  const records = {};
  for (const [key, record] of Object.entries(whole.records)) {
    if (key.startsWith("fact/")) records[key] = { ...record, before: [] };
    else if (/^(about|todo)\//.test(key)) records[key] = record;
  }
  return { id, name: `${whole.name} (site)`, created: whole.created, records, photos: {} };
}

/**
 * Draw a link as a square code.
 *
 * @param {string} link
 * @param {(text: string, options: object) => {size: number, data: boolean[][]}} encode
 * @returns {SVGElement}
 */
export function codeOf(link, encode) {
  const { size, data } = encode(link, { ecc: "L", border: QUIET_ZONE });
  const svg = svgElement("svg", {
    viewBox: `0 0 ${size} ${size}`,
    class: "jb-code",
    role: "img",
    "aria-label": "Square code with the link to this job, to be read by another device's camera",
  });
  let path = "";
  for (const [y, row] of data.entries()) {
    for (let x = 0; x < size; x += 1) {
      if (!row[x]) continue;
      const from = x;
      while (row[x + 1]) x += 1;
      path += `M${from} ${y}h${x - from + 1}v1H${from}z`;
    }
  }
  // Dark on light in every scheme: not every camera reads it the other way round.
  svg.append(
    svgElement("rect", { width: String(size), height: String(size), fill: "#ffffff" }),
    svgElement("path", { d: path, fill: "#000000", "shape-rendering": "crispEdges" }),
  );
  return svg;
}

/** @param {string} name @param {Record<string, string>} attributes @returns {SVGElement} */
function svgElement(name, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [attribute, value] of Object.entries(attributes)) {
    element.setAttribute(attribute, value);
  }
  return /** @type {SVGElement} */ (element);
}
