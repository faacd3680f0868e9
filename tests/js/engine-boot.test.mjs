import assert from "node:assert/strict";
import { test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";

import { arriving, checked, filling, watched } from "../../docs/assets/js/engine-boot.mjs";

const bytes = (length) => new Uint8Array(length).fill(7);

function streamOf(parts, failure) {
  return new ReadableStream({
    pull(controller) {
      if (parts.length) controller.enqueue(parts.shift());
      else if (failure) controller.error(failure);
      else controller.close();
    },
  });
}

test("a whole program comes through unchanged, and nothing is told", async () => {
  const { body, broken } = watched(streamOf([bytes(3), bytes(4)]), 7);
  const came = new Uint8Array(await new Response(body).arrayBuffer());
  assert.deepEqual(came, bytes(7));
  assert.equal(await Promise.race([broken, pause(5, "quiet")]), "quiet");
});

test("a program that breaks off is told, whoever reads it", async () => {
  const { body, broken } = watched(streamOf([bytes(3)], new Error("the line went dead")), 7);
  await assert.rejects(new Response(body).arrayBuffer());
  await assert.rejects(broken, /the line went dead/);
});

test("a program of another length is told with both lengths", async () => {
  for (const length of [6, 8]) {
    const { body, broken } = watched(streamOf([bytes(length)]), 7);
    await assert.rejects(new Response(body).arrayBuffer());
    await assert.rejects(broken, new RegExp(`has ${length} bytes, not 7`));
  }
});

test("an answer that is not the file is told by the file's name", () => {
  const page = { headers: { "content-type": "text/html; charset=utf-8" } };
  const file = new Response("{}", { headers: { "content-type": "application/json" } });
  assert.equal(checked("engine.json", file), file);
  assert.throws(() => checked("engine.json", new Response("", { status: 404 })), /engine\.json.*404/);
  assert.throws(() => checked("snapshot.pack", new Response("<p>", page)), /page.*snapshot\.pack/);
});

test("an image goes to its places, however it is cut", async () => {
  const image = Uint8Array.from({ length: 9 }, (_, at) => at + 1);
  for (let first = 0; first <= 9; first += 1) {
    for (let second = first; second <= 9; second += 1) {
      const pieces = [image.slice(0, first), image.slice(first, second), image.slice(second)];
      const [head, body] = [new Uint8Array(4), new Uint8Array(5)];
      const place = filling([head, body]);
      pieces.forEach(place.take);
      place.end();
      assert.deepEqual([...head, ...body], [...image]);
    }
  }
});

test("an image of another length is told with both lengths", () => {
  for (const length of [8, 10]) {
    const place = filling([new Uint8Array(4), new Uint8Array(5)]);
    place.take(bytes(length));
    assert.throws(place.end, new RegExp(`has ${length} bytes, not 9`));
  }
});

test("what comes before there is a place for it waits, in its order", async () => {
  const came = [];
  let take, over;
  const image = arriving((taker) => {
    take = taker;
    return new Promise((resolve) => (over = resolve));
  });
  take("a");
  take("b");
  let ended = false;
  const placed = image.into({ take: (piece) => came.push(piece), end: () => (ended = true) });
  take("c");
  assert.deepEqual(came, ["a", "b", "c"]);
  await pause(1);
  assert.equal(ended, false);
  over();
  await placed;
  assert.equal(ended, true);
});

test("an image that breaks off is told to whoever waits for it, early or late", async () => {
  const image = arriving(() => Promise.reject(new Error("the line went dead")));
  await pause(1);
  await assert.rejects(image.into({ take: () => {}, end: () => {} }), /the line went dead/);
});
