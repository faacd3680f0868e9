/**
 * Writes the course package of an assignment from the built site.
 *
 *     node tests/browser/make_course.mjs SITE_FOLDER OUTPUT.zip < {"text", "title", "pass"}
 */

import { readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";

import { packageOf } from "../../docs/assets/js/scorm-package.mjs";

const [site, output] = process.argv.slice(2).map((word) => resolve(word));
const blob = await packageOf({
  ...JSON.parse(readFileSync(0, "utf8")),
  fetchFile: async (path) => new Response(readFileSync(join(site, path))),
  zipper: () => import("fflate"),
});
writeFileSync(output, new Uint8Array(await blob.arrayBuffer()));
