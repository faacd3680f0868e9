import assert from "node:assert/strict";
import { test } from "node:test";

import {
  compared,
  FileRefusal,
  fileText,
  LARGEST_FILE,
  readText,
  share,
  textOf,
} from "../../docs/assets/js/job-files.mjs";

const whole = (records = {}, photos = {}) => ({
  ...{ id: "a", name: "Library", created: "2026-05-14T08:00:00+02:00", records, photos },
});

test("a refusal of the engine comes through with its sentence", async () => {
  const errors = [{ field: "", message: "Changed or cut after it was written." }];
  const asked = [];
  const ask = async (request) => {
    asked.push(request);
    return request.force ? { job: whole(), notes: ["A note."] } : { errors, mendable: true };
  };
  await assert.rejects(readText(ask, "{}"), (error) => {
    assert.ok(error instanceof FileRefusal && error.mendable);
    assert.equal(error.message, errors[0].message);
    return true;
  });
  const { notes } = await readText(ask, "{}", { force: true });
  assert.deepEqual(notes, ["A note."]);
  assert.deepEqual(asked, [
    { op: "job-read", text: "{}" },
    { op: "job-read", text: "{}", force: true },
  ]);
  await assert.rejects(fileText(async () => ({ errors }), whole()), /Changed or cut/);
  await assert.rejects(readText(async () => null, "{}"), FileRefusal);
});

test("a file that is none is refused before the engine sees it", async () => {
  await assert.rejects(textOf(new Blob([])), /empty/);
  await assert.rejects(textOf(new Blob([new Uint8Array([0xff, 0xd8, 0xff, 0xe0])])), /no job file/);
  await assert.rejects(textOf({ size: LARGEST_FILE + 1 }), /A job file has at most 40 MB/);
  await assert.rejects(
    textOf({ size: 5, arrayBuffer: async () => Promise.reject(new DOMException("gone", "NotFoundError")) }),
    /could not be opened/,
  );
  // Some programs put a mark at the head of every text.
  assert.equal(await textOf(new Blob(["\uFEFF{}"])), "{}");
});

test("an offered job is new, the same, or another state of one that is here", () => {
  const reading = (note, at) => ({ "reading/1": { note, at } });
  const offered = whole(reading("cold", "2026-05-14T09:00:00+02:00"));
  assert.equal(compared(offered, null).state, "new");
  // The order of keys is no difference.
  const here = whole({ "reading/1": { at: "2026-05-14T09:00:00+02:00", note: "cold" } });
  assert.equal(compared(offered, here).state, "same");
  assert.equal(compared(offered, { ...here, name: "Other" }).state, "other");
  assert.equal(compared(offered, { ...here, photos: { p: "AA" } }).state, "other");
  const { state, lines } = compared(offered, whole(reading("hot", "2026-05-14T10:30:00+02:00")));
  assert.equal(state, "other");
  assert.deepEqual(lines, [
    "Offered: 1 reading, last change 14 May 2026, 09:00.",
    "On this device: 1 reading, last change 14 May 2026, 10:30.",
  ]);
});

test("a device that will not pass a file on says which kind of no it is", async () => {
  const file = new File(["{}"], "x.job.json");
  const answer = async (name, isActive) => {
    Object.defineProperty(globalThis, "navigator", {
      configurable: true,
      value: {
        userActivation: { isActive },
        share: async () => {
          if (name) throw new DOMException("no", name);
        },
      },
    });
    return share(file);
  };
  assert.equal(await answer("", true), "shared");
  assert.equal(await answer("AbortError", true), "stopped");
  assert.equal(await answer("NotAllowedError", false), "again");
  assert.equal(await answer("NotAllowedError", true), "refused");
  assert.equal(await answer("DataError", false), "refused");
});
