/**
 * Takes comments and white space out of the site's own modules. Names stay as they are.
 *
 *     node scripts/lighten.mjs FOLDER...
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

import { minify } from "terser";

const CLASSIC = new Set(["engine-early.js", "offline-guard.js", "search-later.js"]);

for (const folder of process.argv.slice(2)) {
  for (const name of readdirSync(folder).filter((each) => each.endsWith(".js"))) {
    const path = join(folder, name);
    const { code } = await minify(readFileSync(path, "utf8"), {
      module: !CLASSIC.has(name),
      compress: false,
      mangle: false,
      format: { comments: false, ascii_only: false },
    });
    writeFileSync(path, `${code}\n`);
  }
}
