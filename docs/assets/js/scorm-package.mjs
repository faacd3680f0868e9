// @ts-check
/**
 * Makes a course package (SCORM 1.2) of an assignment, with the whole handbook inside.
 *
 * A course system keeps the package and opens `course.html` in it. Nothing is fetched from
 * anywhere else, so the package works where the handbook's site is not reached. Written from memory
 * of the published standard.
 */

/** @typedef {{file: string, done: number, total: number}} Progress */

const BASE = new URL("../../", import.meta.url);
const LIST = "assets/files.json";
export const LAUNCH = "course.html";
const ASSIGNMENT = "course/assignment.json";
const LONGEST_TEXT = 400_000;
/** What only a site of its own needs: its service worker, its installation, its wrong addresses. */
const LEFT_OUT = /^(?:sw\.js|404\.html|manifest\.webmanifest|assets\/icons\/handbook-\d+\.png)$/;
const TEXTS = /\.(?:html|js|json|css|svg|xml|txt)$/;
/** The same bytes from the same book, whenever it is made. */
const WHEN = new Date(2026, 0, 1);

/** A failure with a sentence that can be shown to the reader as it stands. */
export class PackageError extends Error {}

/** @param {string} text */
function escaped(text) {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    // Letters that XML does not know at all.
    .replace(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, " ");
}

/**
 * Change a page so that it stands in a course.
 *
 * @param {string} html
 */
export function coursePage(html) {
  const changed = html
    // The site's installation is not offered in a course.
    .replace(/<link rel="?(?:manifest|apple-touch-icon|apple-touch-startup-image)"?[^>]*>/g, "")
    // Nor is a copy on the device: the course system keeps it.
    .replace(/<aside class="?hb-offline"?[^>]*>.*?<\/aside>/gs, "")
    .replace(/<offline-state\b.*?<\/offline-state>/gs, "")
    // A course system serves no folders, so each link names the file in it.
    .replace(/(<a\b[^>]*?\shref=")([^"]*)(")/g, (whole, before, target, after) => {
      if (/^(?:[a-z][a-z0-9+.-]*:|#|\/)/i.test(target)) return whole;
      const [, path, rest] = /** @type {RegExpExecArray} */ (/^([^?#]*)(.*)$/s.exec(target));
      const folder = path === "." || path === ".." || path.endsWith("/..") ? `${path}/` : path;
      return folder.endsWith("/") ? `${before}${folder}index.html${rest}${after}` : whole;
    })
    .replace(/<html\b/, "<html data-course");
  const entry = /(<script\b[^>]*\bsrc="([^"]*)assets\/js\/)handbook(\.m?js)"/;
  if (!entry.test(changed)) throw new PackageError("A page has no entry of the handbook in it.");
  return changed.replace(entry, (whole, before, base, ending) => {
    return `<script type="module" src="${base}assets/js/scorm-page${ending}"></script>${whole}`;
  });
}

const LAUNCH_STYLE = `
html, body { margin: 0; height: 100%; }
body { display: flex; flex-direction: column; font: 1rem/1.5 sans-serif; }
p { margin: 0; padding: 0.5rem 1rem; color: #1d1d1f; background: #ffe9a8; }
p[hidden] { display: none; }
iframe { flex: 1; width: 100%; border: 0; }
`;
/** The page holds the sitting and a frame: its own script, this style, nothing else. */
const LAUNCH_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'sha256-/1ZGl/wjBD8LHMTyTb2F3gKQ0sWcCgkHgTFlXGqj5zc='",
  "img-src 'self'",
  "frame-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");

/** @param {string} title */
function launchPage(title) {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${LAUNCH_POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title>
<style>${LAUNCH_STYLE}</style>
</head>
<body>
<p id="course-say" role="alert" hidden></p>
<noscript><p>This course needs JavaScript. Switch it on for this site, and open the course again.</p></noscript>
<iframe title="${escaped(title)}"></iframe>
<script type="module" src="assets/js/scorm-launch.js"></script>
</body>
</html>
`;
}

/**
 * Return the manifest: one organization with one item, and one resource that lists every file.
 *
 * @param {{id: string, title: string, pass: number, files: string[]}} course
 */
export function manifestOf({ id, title, pass, files }) {
  const listed = files.map(
    (file) => `      <file href="${escaped(file.split("/").map(encodeURIComponent).join("/"))}"/>`,
  );
  return `<?xml version="1.0" encoding="UTF-8"?>
<manifest identifier="cold-fill-${id}" version="1.0"
  xmlns="http://www.imsproject.org/xsd/imscp_rootv1p1p2"
  xmlns:adlcp="http://www.adlnet.org/xsd/adlcp_rootv1p2">
  <metadata>
    <schema>ADL SCORM</schema>
    <schemaversion>1.2</schemaversion>
  </metadata>
  <organizations default="course">
    <organization identifier="course">
      <title>${escaped(title)}</title>
      <item identifier="work" identifierref="handbook" isvisible="true">
        <title>${escaped(title)}</title>
        <adlcp:masteryscore>${pass}</adlcp:masteryscore>
      </item>
    </organization>
  </organizations>
  <resources>
    <resource identifier="handbook" type="webcontent" adlcp:scormtype="sco" href="${LAUNCH}">
${listed.join("\n")}
    </resource>
  </resources>
</manifest>
`;
}

/** @param {string} text @returns {Promise<string>} */
async function digestOf(text) {
  const bytes = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  const letters = [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, "0"));
  return letters.join("").slice(0, 16);
}

/** @param {string} path @returns {Promise<Response>} */
const fromSite = (path) => fetch(new URL(path, BASE));

/**
 * @param {(path: string) => Promise<Response>} fetchFile
 * @param {string} path
 */
async function bytesOf(fetchFile, path) {
  let response;
  try {
    response = await fetchFile(path);
  } catch {
    response = null;
  }
  if (!response?.ok) {
    throw new PackageError(
      `A part of the handbook (${path}) could not be fetched. Wait until the line at the foot of ` +
        "the page says “Ready offline”, or use a better connection. Then try again.",
    );
  }
  return new Uint8Array(await response.arrayBuffer());
}

/**
 * Make the package.
 *
 * @param {object} course
 * @param {string} course.text of the assignment's file
 * @param {string} course.title
 * @param {number} course.pass percent that has to be reached
 * @param {(path: string) => Promise<Response>} [course.fetchFile] gives a file of the site
 * @param {(progress: Progress) => void} [course.onProgress]
 * @param {() => Promise<any>} [course.zipper] the library that writes archives
 * @returns {Promise<Blob>}
 */
export async function packageOf({
  text,
  title,
  pass,
  fetchFile = fromSite,
  onProgress = () => {},
  zipper = () => import(/** @type {any} */ ("../vendor/fflate.mjs")),
}) {
  if (!Number.isFinite(pass) || pass < 0 || pass > 100) {
    throw new PackageError("The share to pass has to be between 0 and 100 percent.");
  }
  if (text.length > LONGEST_TEXT) throw new PackageError("This assignment is too long to pack.");
  const { Zip, ZipDeflate, ZipPassThrough } = await zipper();
  const list = JSON.parse(new TextDecoder().decode(await bytesOf(fetchFile, LIST)));
  const names = /** @type {string[]} */ (list.files).filter((name) => !LEFT_OUT.test(name));
  const files = [LAUNCH, ASSIGNMENT, ...names]; // the manifest names all but itself
  if (new Set(files).size !== files.length) {
    throw new PackageError("Two files of the handbook would get the same name in the package.");
  }
  /** @type {Uint8Array[]} */
  const parts = [];
  /** @type {Error | null} */
  let failed = null;
  const archive = new Zip((/** @type {Error | null} */ error, /** @type {Uint8Array} */ part) => {
    if (error) failed = error;
    else parts.push(part);
  });
  const add = (/** @type {string} */ name, /** @type {Uint8Array} */ bytes) => {
    const entry = TEXTS.test(name) ? new ZipDeflate(name, { level: 6 }) : new ZipPassThrough(name);
    entry.mtime = WHEN;
    archive.add(entry);
    entry.push(bytes, true);
    if (failed) throw failed;
  };
  const encoder = new TextEncoder();
  const id = await digestOf(text);
  add("imsmanifest.xml", encoder.encode(manifestOf({ id, title, pass, files })));
  add(LAUNCH, encoder.encode(launchPage(title)));
  add(ASSIGNMENT, encoder.encode(text));
  for (const [index, name] of names.entries()) {
    onProgress({ file: name, done: index, total: names.length });
    let bytes = await bytesOf(fetchFile, name);
    if (TEXTS.test(name)) {
      const page = new TextDecoder().decode(bytes);
      bytes = encoder.encode(name.endsWith(".html") ? coursePage(page) : page);
    }
    add(name, bytes);
  }
  archive.end();
  onProgress({ file: "", done: names.length, total: names.length });
  return new Blob(/** @type {BlobPart[]} */ (parts), { type: "application/zip" });
}
