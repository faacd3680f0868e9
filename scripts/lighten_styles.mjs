/**
 * Takes out of the theme's style sheets what no page and no script of the site names.
 *
 *     node scripts/lighten_styles.mjs SITE_FOLDER
 *
 * A rule stays when every word of its selector stands somewhere in a page or in a script, so what a
 * script makes while the page is open keeps its looks. The book's own sheets are read for what they
 * take from the theme, and stay as they are.
 */
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

import { PurgeCSS } from "purgecss";

const site = process.argv[2];
const assets = join(site, "assets");
// Parts of the theme's script that this book has not turned on. A page that names one keeps it.
const OFF =
  /^(?:md-(?:annotation|author|banner|clipboard|code|consent|feedback|post|social|source|status|tag|version)|mermaid|tabbed)/;

const words = (text) => text.match(/[\w-]+/g) ?? [];
const named = (folder, ending) =>
  readdirSync(join(assets, folder))
    .filter((name) => name.endsWith(ending))
    .map((name) => join(assets, folder, name));

const read = (path) => readFileSync(path, "utf8");
const asked = (text) => Array.from(text.matchAll(/var\(\s*(--[\w-]+)/g), ([, name]) => name);

// The sheet of the colours comes after the one that it colours, and asks it for some of its values.
const theme = named("stylesheets", ".css").sort();
const [, ...after] = theme;
const script = named("javascripts", ".js").flatMap((path) => words(read(path)));
const before = theme.map(read).join("\n");
const made = await new PurgeCSS().purge({
  content: [
    join(site, "**/*.html"),
    join(assets, "js", "*.js"),
    { raw: script.filter((word) => !OFF.test(word)).join(" "), extension: "js" },
  ],
  css: theme,
  safelist: { variables: [...after, ...named("css", ".css")].flatMap((path) => asked(read(path))) },
  defaultExtractor: words,
  keyframes: true,
  variables: true,
});
for (const { file, css } of made) writeFileSync(file, css);

// What is asked for and was defined before is defined still.
const now = [...theme, ...named("css", ".css")].map(read).join("\n");
const defined = (text) => new Set(Array.from(text.matchAll(/(--[\w-]+)\s*:/g), ([, name]) => name));
const [then, still] = [defined(before), defined(now)];
const lost = new Set(asked(now).filter((name) => then.has(name) && !still.has(name)));
if (lost.size > 0) {
  console.error(`Taken out, but asked for: ${[...lost].join(", ")}`);
  process.exit(1);
}
