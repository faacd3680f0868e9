/**
 * Drives Firefox for the browser tests: one JSON request a line in, one JSON answer a line out.
 */
import { createInterface } from "node:readline";

import puppeteer from "puppeteer-core";

const HOME = "127.0.0.1";
let browser;
let page;
let errors = [];
// A page that goes away while it reads from its worker is told as a fault of the worker.
let leaving = false;
const CUT_OFF = /A ServiceWorker intercepted the request and encountered an unexpected error/;

const actions = {
  async launch() {
    browser = await puppeteer.launch({
      browser: "firefox",
      executablePath: process.argv[2],
      headless: true,
      args: ["--width=820", "--height=1180"],
      // Firefox would fetch the next page ahead, and complain when a test leaves before it came.
      extraPrefsFirefox: { "network.prefetch-next": false, ...proxied(Number(process.argv[3])) },
      defaultViewport: { width: 820, height: 1180 },
    });
    page = await browser.newPage();
    page.setDefaultTimeout(60_000);
    page.on("console", (message) => {
      if (message.type() !== "error" || (leaving && CUT_OFF.test(message.text()))) return;
      errors.push(message.text());
    });
    page.on("pageerror", (error) => {
      if (!(leaving && CUT_OFF.test(String(error)))) errors.push(String(error));
    });
  },
  async open({ address }) {
    leaving = address === "about:blank";
    await page.goto(address, { waitUntil: "load" });
  },
  reload: () => page.reload({ waitUntil: "load" }).then(() => null),
  eval: ({ body }) => page.evaluate(`(async () => { ${body} })()`),
  async type({ selector, text }) {
    await centre(selector);
    await page.click(selector);
    await page.keyboard.down("Control");
    await page.keyboard.press("a");
    await page.keyboard.up("Control");
    await page.keyboard.press("Delete");
    if (text) await page.keyboard.type(text);
  },
  async click({ selector }) {
    await centre(selector);
    await page.click(selector);
  },
  screenshot: ({ path }) => page.screenshot({ path }).then(() => null),
  errors: () => errors.splice(0),
  close: () => browser?.close(),
};

/** Sends whatever leaves this machine to a proxy, which remembers and refuses it. */
function proxied(port) {
  return {
    "network.proxy.type": 1,
    "network.proxy.http": HOME,
    "network.proxy.http_port": port,
    "network.proxy.ssl": HOME,
    "network.proxy.ssl_port": port,
    "network.proxy.no_proxies_on": HOME,
    // Without these the browser would go past a proxy that refuses.
    "network.proxy.failover_direct": false,
    "network.proxy.allow_bypass": false,
  };
}

function centre(selector) {
  return page.$eval(selector, (element) => element.scrollIntoView({ block: "center" }));
}

for await (const line of createInterface({ input: process.stdin })) {
  const { action, ...details } = JSON.parse(line);
  let answer;
  try {
    answer = { value: (await actions[action](details)) ?? null };
  } catch (error) {
    answer = { error: String(error) };
  }
  process.stdout.write(`${JSON.stringify(answer)}\n`);
}
await browser?.close();
