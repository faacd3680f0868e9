/**
 * Runs Lighthouse on pages of the served site in the Chromium that is here.
 *
 *     node scripts/bench/lighthouse.mjs CHROMIUM PAGE_ADDRESS...
 *
 * Prints one line of JSON: {"version", "pages": [{"address", "scores": {category: 0..100}, "lcp_ms",
 * "cls", "tbt_ms", "kept_from_full": {category: ["audit: what it is about"]}}]}.
 * The scores are of Lighthouse's own default: a phone, its processor slowed four times.
 */
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";

const [chromePath, ...addresses] = process.argv.slice(2);
const CATEGORIES = ["performance", "accessibility", "best-practices", "seo"];
const FLAGS = [
  "--headless=new",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** @param {string} address */
async function measured(address) {
  // A browser of its own for each page: nothing is left over from the one before.
  const chrome = await launch({ chromePath, chromeFlags: FLAGS, logLevel: "silent" });
  try {
    const result = await lighthouse(address, {
      port: chrome.port,
      onlyCategories: CATEGORIES,
      logLevel: "silent",
    });
    return pageOf(address, result.lhr);
  } finally {
    await chrome.kill();
  }
}

function pageOf(address, { runtimeError, categories, audits }) {
  if (runtimeError) throw new Error(`${address}: ${runtimeError.message}`);
  const kept = Object.entries(categories).map(([name, { auditRefs }]) => [
    name,
    auditRefs
      .filter(({ id, weight }) => weight > 0 && audits[id].score !== null && audits[id].score < 1)
      .map(({ id }) => `${id}: ${audits[id].displayValue || audits[id].title}`),
  ]);
  return {
    address,
    scores: Object.fromEntries(
      Object.entries(categories).map(([name, { score }]) => [name, Math.round(score * 100)]),
    ),
    lcp_ms: audits["largest-contentful-paint"].numericValue,
    cls: audits["cumulative-layout-shift"].numericValue,
    tbt_ms: audits["total-blocking-time"].numericValue,
    kept_from_full: Object.fromEntries(kept.filter(([, list]) => list.length > 0)),
  };
}

const pages = [];
for (const address of addresses) pages.push(await measured(address));
const { default: own } = await import("lighthouse/package.json", { with: { type: "json" } });
console.log(JSON.stringify({ version: own.version, pages }));
