import assert from "node:assert/strict";
import { test } from "node:test";

import { onDevice, withPuts } from "./job-tabs.mjs";
import {
  freshRow,
  JobStore,
  LIMITS,
  MemoryTables,
  plainCopy,
  same,
  SCRATCH,
  soundKey,
  soundName,
  soundRow,
  soundValue,
  Unkeepable,
} from "../../docs/assets/js/job-store.mjs";

const AT = "2026-05-14T08:05:12+02:00";
const JOB = "00000000000000aa";
const photo = (id, ...bytes) => ({
  id: id.padStart(16, "0"),
  bytes: new Uint8Array([0xff, 0xd8, 0xff, ...bytes]).buffer,
  type: "image/jpeg",
});
let serial = 0;
const write = (key, change, { job = SCRATCH, stamp = Date.now() } = {}) => {
  serial += 1;
  return { id: `w${serial}`, job, key, change, stamp };
};
const addOne = (old) => ({ n: String(Number(old?.n ?? "0") + 1) });

/** The same laws hold for the browser's database and for memory. */
function onBoth(name, body) {
  test(`${name} (database)`, onDevice((device) => body(device.store())));
  test(`${name} (memory)`, () => body(new JobStore(new MemoryTables())));
}

test("a value is copied, frozen to the bottom, and parted from its source", () => {
  const source = { entry: { value: "1" }, list: [{ a: true }], gone: undefined };
  const copy = plainCopy(source);
  assert.deepEqual(copy, { entry: { value: "1" }, list: [{ a: true }] });
  assert.ok(!("gone" in copy));
  for (const part of [copy, copy.entry, copy.list, copy.list[0]]) assert.ok(Object.isFrozen(part));
  source.entry.value = "2";
  assert.equal(copy.entry.value, "1");
});

const DEEP = "x".repeat(20).split("").reduce((inner) => [inner], "x");
const UNSOUND = {
  "a number": 7,
  "a number inside": { value: 7 },
  nothing: null,
  "nothing inside": { value: null },
  "a function": () => 1,
  "a date": new Date(0),
  "a map": new Map(),
  bytes: new Uint8Array(3),
  "a long text": "x".repeat(LIMITS.text + 1),
  "a deep nest": DEEP,
  "a big record": { list: Array.from({ length: 200 }, () => "x".repeat(LIMITS.text)) },
  "very many small parts": Array.from({ length: LIMITS.record }, () => true),
  "a prototype": JSON.parse('{"__proto__": {"polluted": "yes"}}'),
};
for (const [name, value] of Object.entries(UNSOUND)) {
  test(`a value is refused: ${name}`, () => {
    assert.throws(() => plainCopy(value), Unkeepable);
    assert.equal(soundValue(value), undefined);
  });
}

test("a text may be as long as the limit says, and no longer", () => {
  assert.equal(plainCopy("x".repeat(LIMITS.text)).length, LIMITS.text);
});

test("values are compared by what they hold", () => {
  assert.ok(same({ a: "1", b: ["x"] }, { b: ["x"], a: "1" }));
  for (const other of [{ a: "1" }, { a: "1", b: ["y"] }, { a: "1", b: { 0: "x" } }, undefined]) {
    assert.ok(!same({ a: "1", b: ["x"] }, other));
  }
  assert.ok(!same({ toString: "x" }, { a: "x" }));
});

test("keys are short and plain", () => {
  for (const key of ["fact/system_volume", "step/bleeding/open-it", "about/who"]) {
    assert.ok(soundKey(key), key);
  }
  for (const key of ["", "a b", "ä", "a\n", "x".repeat(LIMITS.key + 1), 7, null, undefined]) {
    assert.ok(!soundKey(key), String(key));
  }
});

test("a name is cut and trimmed", () => {
  assert.equal(soundName("  Larch Street Library \n"), "Larch Street Library");
  assert.equal(soundName("x".repeat(999)).length, LIMITS.name);
  assert.equal(soundName({}), "");
});

test("what is no job is not taken for one", () => {
  const row = freshRow(JOB, "Larch Street", AT);
  assert.deepEqual(soundRow({ ...row, more: "x" }), row);
  const spoilt = {
    id: ["scratch", "../x", 7],
    name: [7, "x".repeat(LIMITS.name + 1)],
    created: [null, "x".repeat(100)],
    archived: ["false", 0],
    discarded: [false],
    revision: ["1", NaN, 1.5],
    exportedRevision: [undefined],
  };
  for (const [field, values] of Object.entries(spoilt)) {
    for (const value of values) assert.equal(soundRow({ ...row, [field]: value }), null, field);
  }
});

onBoth("changes are applied to what is stored, one after the other", async (store) => {
  const { outcomes } = await store.apply([write("a", addOne), write("a", addOne)], AT);
  assert.deepEqual(outcomes.at(-1).value, { n: "2" });
  await store.apply([write("a", addOne)], AT);
  const { records } = await store.load(SCRATCH);
  assert.deepEqual(records.get("a").value, { n: "3" });
  store.close();
});

onBoth("a stamp never goes back, whatever the clock says", async (store) => {
  await store.apply([write("a", addOne, { stamp: 5000 })], AT);
  const { outcomes } = await store.apply([write("a", addOne, { stamp: 10 })], AT);
  assert.equal(outcomes[0].stamp, 5001);
  await store.apply([write("a", () => undefined, { stamp: 10 })], AT);
  const { outcomes: again } = await store.apply([write("a", addOne, { stamp: 10 })], AT);
  assert.equal(again[0].stamp, 5003);
  assert.deepEqual(again[0].value, { n: "1" });
  store.close();
});

onBoth("a change that throws or is unsound spoils no other", async (store) => {
  const { outcomes } = await store.apply(
    [
      write("a", addOne),
      write("b", () => {
        throw new Error("no");
      }),
      write("c", () => 7),
      write("d", addOne),
    ],
    AT,
  );
  assert.equal(outcomes[1].error.message, "no");
  assert.ok(outcomes[2].error instanceof Unkeepable);
  const { records } = await store.load(SCRATCH);
  assert.deepEqual([...records.keys()].sort(), ["a", "d"]);
  store.close();
});

onBoth("a write to a job that is gone is told, not made", async (store) => {
  const { outcomes } = await store.apply([write("a", addOne, { job: JOB })], AT);
  assert.ok(outcomes[0].missing);
  assert.equal((await store.load(JOB)).records.size, 0);
  store.close();
});

onBoth("a batch counts as one change of the job; no difference is no change", async (store) => {
  await store.begin(freshRow(JOB, "Larch Street", AT));
  const { rows } = await store.apply(
    [write("a", addOne, { job: JOB }), write("b", addOne, { job: JOB })],
    AT,
  );
  assert.equal(rows.get(JOB).revision, 1);
  await store.apply([write("a", (old) => old, { job: JOB })], AT);
  assert.equal((await store.load(JOB)).row.revision, 1);
  store.close();
});

onBoth("the scratch record moves into a job, photos too", async (store) => {
  await store.apply([write("a", addOne)], AT);
  await store.addPhoto(SCRATCH, photo("1"), AT);
  const row = await store.begin(freshRow(JOB, "Larch Street", AT), { takeScratch: true });
  assert.equal(row.revision, 1);
  const whole = await store.whole(JOB);
  assert.deepEqual([...whole.records], [["a", { n: "1" }]]);
  assert.equal(whole.photos.length, 1);
  const left = await store.whole(SCRATCH);
  assert.equal(left.records.size + left.photos.length, 0);
  store.close();
});

onBoth("a write left behind is finished only if nothing newer is stored", async (store) => {
  await store.apply([write("a", () => "stored", { stamp: 100 })], AT);
  await store.apply([write("b", () => "stored", { stamp: 100 })], AT);
  await store.apply([write("gone", () => "x", { stamp: 100 })], AT);
  await store.apply([write("gone", () => undefined, { stamp: 200 })], AT);
  const left = (key, stamp, value = "left") => ({ job: SCRATCH, key, value, stamp, writes: [] });
  const finished = await store.replay(
    [left("a", 100), left("b", 101), left("gone", 150), left("new", 1)],
    AT,
  );
  assert.equal(finished, 2);
  const { records } = await store.load(SCRATCH);
  const values = ["a", "b", "gone", "new"].map((key) => records.get(key)?.value);
  assert.deepEqual(values, ["stored", "left", undefined, "left"]);
  assert.equal(await store.replay([{ ...left("a", 999), job: JOB }], AT), 0);
  store.close();
});

onBoth("a write that was finished by another tab is not made twice", async (store) => {
  const mine = write("a", addOne, { stamp: 100 });
  const left = { job: SCRATCH, key: "a", value: { n: "1" }, stamp: 100, writes: [mine.id] };
  await store.replay([left], AT);
  const { outcomes } = await store.apply([mine], AT);
  assert.deepEqual(outcomes[0].value, { n: "1" });
  store.close();
});

onBoth("photos keep to their limits", async (store) => {
  for (let each = 0; each < LIMITS.photos; each += 1) {
    await store.addPhoto(SCRATCH, photo(each.toString(16)), AT);
  }
  await assert.rejects(store.addPhoto(SCRATCH, photo("ffff"), AT), /at most 200 photos/);
  store.close();
});

onBoth("the bin is emptied of what is in it, and of nothing else", async (store) => {
  const other = JOB.replace("aa", "bb");
  for (const id of [JOB, other]) {
    await store.begin(freshRow(id, id, AT));
    await store.apply([write("a", addOne, { job: id })], AT);
    await store.addPhoto(id, photo("1"), AT);
  }
  await store.amend(JOB, (row) => ({ ...row, discarded: AT }));
  assert.deepEqual(await store.purge(() => false, Date.now()), []);
  assert.deepEqual(await store.purge(() => true, Date.now()), [JOB]);
  const { rows, counts } = await store.shelf();
  assert.deepEqual(
    rows.map(({ id }) => id),
    [other],
  );
  assert.equal(counts.get(other).records, 1);
  assert.equal(counts.get(other).photos, 1);
  const { records, photos } = await store.whole(JOB);
  assert.equal(records.size + photos.length, 0);
  store.close();
});

onBoth("the survey knows what went on purpose, until it is taken in again", async (store) => {
  assert.deepEqual(await store.survey(), { rows: [], purged: new Set(), current: null });
  await store.begin({ ...freshRow(JOB, "Larch Street", AT), discarded: AT });
  await store.markCurrent(JOB);
  await store.purge(() => true, Date.now());
  const survey = await store.survey();
  assert.deepEqual(survey, { rows: [], purged: new Set([JOB]), current: JOB });
  await store.takeIn(freshRow(JOB, "Larch Street", AT), new Map(), [], spare);
  assert.equal((await store.survey()).purged.size, 0);
  store.close();
});

onBoth("the shelf counts what is in a job by kind", async (store) => {
  await store.begin(freshRow(JOB, "Larch Street", AT));
  const keys = ["fact/a", "fact/b", "reading/1", "step/p/s", "pin/1", "todo/1", "about/who", "new/x"];
  await store.apply(
    keys.map((key) => write(key, addOne, { job: JOB })),
    AT,
  );
  await store.addPhoto(JOB, photo("1"), AT);
  const { counts } = await store.shelf();
  assert.deepEqual(counts.get(JOB), {
    records: 8,
    photos: 1,
    facts: 2,
    readings: 1,
    steps: 1,
    pins: 1,
    todos: 1,
  });
  store.close();
});

const spare = { copyId: "00000000000000cc", copyName: (name) => `${name} (copy)`, at: AT };

onBoth("a job that holds all of the former takes its place without a copy", async (store) => {
  await store.begin(freshRow(JOB, "Larch Street", AT));
  await store.apply([write("a", () => "1", { job: JOB })], AT);
  await store.addPhoto(JOB, photo("1", 7), AT);
  const fresh = new Map([
    ["a", "1"],
    ["b", "2"],
  ]);
  const taken = await store.takeIn(freshRow(JOB, "Again", AT), fresh, [photo("1", 7)], spare);
  assert.equal(taken.copy, null);
  assert.deepEqual((await store.whole(JOB)).records, fresh);
  assert.equal(taken.row.revision, taken.row.exportedRevision);
  store.close();
});

for (const [name, records, photos] of [
  ["an entry that the new one lacks", [["b", "2"]], [photo("1", 7)]],
  ["an entry that is another", [["a", "9"]], [photo("1", 7)]],
  ["a photo that the new one lacks", [["a", "1"]], []],
  ["a photo that is another", [["a", "1"]], [photo("1", 8)]],
]) {
  onBoth(`a copy is kept of a job that has ${name}`, async (store) => {
    await store.begin(freshRow(JOB, "Larch Street", AT));
    await store.apply([write("a", () => "1", { job: JOB })], AT);
    await store.addPhoto(JOB, photo("1", 7), AT);
    const { copy } = await store.takeIn(freshRow(JOB, "Again", AT), new Map(records), photos, spare);
    assert.equal(copy.name, "Larch Street (copy)");
    const kept = await store.whole(copy.id);
    assert.deepEqual([...kept.records], [["a", "1"]]);
    assert.deepEqual([...new Uint8Array(kept.photos[0].bytes)], [0xff, 0xd8, 0xff, 7]);
    assert.deepEqual([...(await store.whole(JOB)).records], records);
    store.close();
  });
}

onBoth("a write of before does not come back into a job that was replaced", async (store) => {
  await store.begin(freshRow(JOB, "Larch Street", AT));
  await store.apply([write("a", () => "1", { job: JOB, stamp: 100 })], AT);
  await store.takeIn(freshRow(JOB, "Again", AT), new Map(), [], spare);
  await store.replay([{ job: JOB, key: "a", value: "late", stamp: 200, writes: [] }], AT);
  assert.equal((await store.load(JOB)).records.get("a").value, undefined);
  store.close();
});

/** Everything in the database, as it can be compared. */
async function everything(device) {
  const names = ["jobs", "records", "gone", "photos", "replayed", "marks"];
  const tables = await Promise.all(names.map((name) => device.table(name)));
  return JSON.stringify(tables, (_, value) =>
    value instanceof ArrayBuffer ? [...new Uint8Array(value)] : value,
  );
}

test(
  "taking in is all or nothing, wherever it breaks off",
  onDevice(async (device) => {
    const store = device.store();
    await store.begin(freshRow(JOB, "Larch Street", AT));
    await store.apply([write("a", () => "1", { job: JOB })], AT);
    await store.addPhoto(JOB, photo("1", 7), AT);
    const before = await everything(device);
    const records = new Map([
      ["b", "2"],
      ["c", "3"],
    ]);
    const take = () =>
      store.takeIn(freshRow(JOB, "Again", AT), records, [photo("2"), photo("3")], spare);
    let puts = 0;
    for (const how of ["throw", "abort"]) {
      for (let last = 0; ; last += 1) {
        puts = 0;
        const broke = await withPuts(
          (table) => {
            puts += 1;
            if (puts <= last) return;
            if (how === "throw") throw new Error("broken off");
            table.transaction.abort();
          },
          () =>
            take().then(
              () => false,
              () => true,
            ),
        );
        if (!broke) break;
        assert.equal(await everything(device), before, `${how} after ${last}`);
        // Of nine puts each is tried: copy, its entry, its photo, mark, two entries, two photos, job.
        if (last === 8) break;
      }
      assert.equal(puts, 9);
    }
    await take();
    assert.notEqual(await everything(device), before);
    store.close();
  }),
);

test(
  "a batch that breaks off leaves the old records",
  onDevice(async (device) => {
    const store = device.store();
    await store.apply([write("a", () => "old"), write("b", () => "old")], AT);
    const before = await everything(device);
    let puts = 0;
    await withPuts(
      () => {
        puts += 1;
        if (puts === 2) throw new Error("broken off");
      },
      () => assert.rejects(store.apply([write("a", () => "new"), write("b", () => "new")], AT)),
    );
    assert.equal(await everything(device), before);
    await store.apply([write("a", () => "new")], AT);
    assert.equal(await device.value(SCRATCH, "a"), "new");
    store.close();
  }),
);

test(
  "the reason for breaking off is told: no room",
  onDevice(async (device) => {
    const store = device.store();
    await store.open();
    await withPuts(
      () => {
        throw new DOMException("no room", "QuotaExceededError");
      },
      () =>
        assert.rejects(store.apply([write("a", () => "1")], AT), { name: "QuotaExceededError" }),
    );
    store.close();
  }),
);

test(
  "hostile contents are left out and counted",
  onDevice(async (device) => {
    const store = device.store();
    await store.begin(freshRow(JOB, "Larch Street", AT));
    await store.apply([write("good", () => "1", { job: JOB })], AT);
    const database = await device.openDB(device.name);
    const put = (key, value, stamp = 1) => database.put("records", { job: JOB, key, value, stamp });
    await put("number", { entry: 7 });
    await put("null", null);
    await put("date", new Date(0));
    await put("map", new Map([["a", "b"]]));
    await put("bytes", new Uint8Array(9));
    await put("long", "x".repeat(9999));
    await put("stamp", "x", "soon");
    await put("a b", "x");
    await database.put("photos", { job: JOB, id: "1", bytes: "x", type: "image/jpeg" });
    await database.put("photos", { ...photo("2"), job: JOB, type: "text/html" });
    await database.put("jobs", { id: "<b>", name: 7 });
    const cyclic = { a: "x" };
    cyclic.self = cyclic;
    await put("cyclic", cyclic);
    database.close();
    const { records, unsound } = await store.load(JOB);
    assert.deepEqual([...records.keys()], ["good"]);
    assert.equal(unsound, 9);
    assert.equal((await store.whole(JOB)).photos.length, 0);
    const shelf = await store.shelf();
    assert.equal(shelf.rows.length, 1);
    assert.equal(shelf.unsound, 1);
    // A change finds no old value there, and mends the record.
    await store.apply([write("number", (old) => String(old), { job: JOB })], AT);
    assert.equal(await device.value(JOB, "number"), "undefined");
    store.close();
  }),
);

test("in memory, one thing is done after the other", async () => {
  const store = new JobStore(new MemoryTables());
  await Promise.all(Array.from({ length: 20 }, () => store.apply([write("a", addOne)], AT)));
  assert.deepEqual((await store.load(SCRATCH)).records.get("a").value, { n: "20" });
});

test(
  "a page that goes away breaks off what is running and lets the next one in",
  onDevice(async (device) => {
    const store = device.store();
    await store.apply([write("about/who", () => ({ text: "kept" }))], AT);
    const leaving = device.store();
    await leaving.open();
    const broken = assert.rejects(
      leaving.tables.transact("readwrite", ["records"], async (tables) => {
        await tables.records.clearUnder(SCRATCH);
        leaving.leave();
        await tables.records.all();
      }),
    );
    await broken;
    const { records } = await store.load(SCRATCH);
    assert.deepEqual(records.get("about/who").value, { text: "kept" });
  }),
);
