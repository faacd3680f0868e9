import assert from "node:assert/strict";
import { test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";

import { checked, watched } from "../../docs/assets/js/engine-boot.mjs";

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
