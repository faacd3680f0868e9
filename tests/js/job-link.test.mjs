import assert from "node:assert/strict";
import { test } from "node:test";
import { deflateRawSync } from "node:zlib";
import jsQR from "jsqr";
import * as dom from "linkedom";
import { encode } from "uqr";

const { document } = dom.parseHTML("<!doctype html><html><body></body></html>");
globalThis.document = document;
const { LinkError, LONGEST_LINK, codeOf, linkTo, packed, siteOnly, takeOf, unpacked } =
  await import("../../docs/assets/js/job-link.mjs");

const PAGE = "https://handbook.example/job/";

/** What a finder of a pencil and squared paper would do: colour each square, with nothing of uqr. */
function raster(svg, pixels) {
  const [, , size] = svg.getAttribute("viewBox").split(" ").map(Number);
  const side = size * pixels;
  const image = new Uint8ClampedArray(side * side * 4).fill(255);
  const path = svg.querySelector("path").getAttribute("d");
  for (const [, x, y, width, back] of path.matchAll(/M(\d+) (\d+)h(\d+)v1H(\d+)z/g)) {
    assert.equal(x, back);
    for (let row = y * pixels; row < (Number(y) + 1) * pixels; row += 1) {
      for (let column = x * pixels; column < (Number(x) + Number(width)) * pixels; column += 1) {
        image.fill(0, (row * side + column) * 4, (row * side + column) * 4 + 3);
      }
    }
  }
  return { image, side };
}

function read(svg, pixels) {
  const { image, side } = raster(svg, pixels);
  return jsQR(image, side, side)?.data;
}

const JOB = {
  id: "00112233445566ff",
  name: "Plant room, Larch Street Library, 14 May 2026",
  created: "2026-05-14T08:05:12+02:00",
  records: {
    "about/where": { text: "Larch Street Library, plant room – unter der Straße 💧", at: "2026-05-14T08:05:12+02:00" },
    "todo/00000000000000aa": { text: 'Ask for "the key" \\ cabinet', for: "owner", done: false, at: "2026-05-14T09:00:00+02:00" },
    "fact/system_height": {
      entry: { value: "11.4", unit: "m", pm: "0.2" },
      origin: { calculator: "pre-charge", field: "height", how: "typed" },
      at: "2026-05-14T08:15:00+02:00",
      before: [
        {
          entry: { value: "11", unit: "m", pm: "" },
          origin: { calculator: "pre-charge", field: "height", how: "typed" },
          at: "2026-05-14T08:10:00+02:00",
        },
      ],
    },
  },
  photos: {},
};

test("a job goes out as a code and comes in the same", async () => {
  const text = JSON.stringify(JOB);
  const link = await linkTo(text, `${PAGE}#elsewhere`);
  assert.ok(link.startsWith(`${PAGE}#take=`));
  assert.ok(link.length <= LONGEST_LINK, String(link.length));
  const seen = read(codeOf(link, encode), 3);
  assert.equal(seen, link);
  const taken = await unpacked(takeOf(new URL(seen).hash));
  assert.deepEqual(JSON.parse(taken), JOB);
});

test("the longest link still makes a code of 117 squares, and it is read", () => {
  const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  let link = `${PAGE}#take=`;
  for (let at = 0; link.length < LONGEST_LINK; at += 1) link += letters[(at * at + 7 * at) % 64];
  const svg = codeOf(link, encode);
  // With the quiet zone of four squares on each side that the standard asks for.
  assert.equal(svg.getAttribute("viewBox"), "0 0 125 125");
  assert.equal(read(svg, 3), link);
});

test("a code of which a square is wrong here and there is still read, and a torn one is not", () => {
  const svg = codeOf(`${PAGE}#take=${"A".repeat(600)}`, encode);
  const { image, side } = raster(svg, 4);
  for (let spot = 0; spot < 6; spot += 1) {
    for (let row = 200; row < 204; row += 1) {
      const at = (row * side + 160 + spot * 40) * 4;
      for (let pixel = at; pixel < at + 16; pixel += 4) {
        image.fill(255 - image[pixel], pixel, pixel + 3);
      }
    }
  }
  assert.equal(jsQR(image, side, side)?.data, `${PAGE}#take=${"A".repeat(600)}`);
  image.fill(255, Math.floor(image.length / 2));
  assert.equal(jsQR(image, side, side), null);
});

test("a link unfolds no further than allowed", async () => {
  const bomb = deflateRawSync(Buffer.alloc(30_000_000, " ")).toString("base64url");
  await assert.rejects(unpacked(bomb.slice(0, 20_001)), /longer than any/);
  const smaller = deflateRawSync(Buffer.alloc(5_000_000, " ")).toString("base64url");
  assert.ok(smaller.length < 20_000);
  await assert.rejects(unpacked(smaller), /more in this link than a job may hold/);
  assert.equal((await unpacked(await packed("x".repeat(1000)), 1000)).length, 1000);
  await assert.rejects(unpacked(await packed("x".repeat(1001)), 1000), LinkError);
});

test("damage is told in a plain sentence", async () => {
  const good = await packed(JSON.stringify(JOB));
  for (const bad of [
    "",
    "A",
    "%20",
    "not base64!",
    good.slice(0, -20),
    good.slice(20),
    deflateRawSync(Buffer.from([0xff, 0xfe, 0x80])).toString("base64url"),
  ]) {
    await assert.rejects(unpacked(bad), (error) => {
      assert.ok(error instanceof LinkError, `${bad}: ${error}`);
      assert.match(error.message, /damaged or was cut short/);
      return true;
    });
  }
});

test("only a link that offers a job is taken for one", () => {
  assert.equal(takeOf("#take=abc"), "abc");
  assert.equal(takeOf("#take="), "");
  assert.equal(takeOf("#pre-charge?height=31 ft"), null);
  assert.equal(takeOf(""), null);
});

test("a job too big for a code leaves all but the site behind, under an id of its own", () => {
  const whole = {
    ...JOB,
    records: { ...JOB.records, "reading/01": { note: "x" }, "entries/pre-charge": { values: {} } },
    photos: { 1: "AAAA" },
  };
  const part = siteOnly(whole, "ffffffffffffffff");
  assert.deepEqual(Object.keys(part.records).sort(), Object.keys(JOB.records).sort());
  assert.equal(part.id, "ffffffffffffffff");
  assert.deepEqual(part.photos, {});
  assert.deepEqual(part.records["fact/system_height"].before, []);
  assert.equal(part.records["fact/system_height"].entry.value, "11.4");
  assert.equal(whole.records["fact/system_height"].before.length, 1);
});
