import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";

import { bytesOf, Device, Locks, noRoom, onDevice, picture, Shelf, until, withPuts } from "./job-tabs.mjs";
import { fromBase64, Job, localTime, newId, toBase64, wipe } from "../../docs/assets/js/job.mjs";
import {
  DatabaseTables,
  JobStore,
  LIMITS,
  Unkeepable,
} from "../../docs/assets/js/job-store.mjs";

const addOne = (old) => ({ n: String(Number(old?.n ?? "0") + 1) });
const append = (word) => (old) => ({ words: [...(old?.words ?? []), word] });
const quietly = (promise) => promise.catch(() => undefined);

/** What the events of a job said. */
function heard(job) {
  const told = [];
  job.addEventListener("change", ({ detail }) => told.push(detail));
  job.addEventListener("switch", () => told.push("switch"));
  job.addEventListener("trouble", () => told.push("trouble"));
  return told;
}

/** A store that writes nothing for now, as a tab that is killed in the middle. */
function stuck(device) {
  const store = device.store();
  store.apply = () => new Promise(() => undefined);
  return store;
}

// Memory, and what is stored.

test(
  "a write shows at once, and then is stored",
  onDevice(async (device) => {
    const job = await device.tab();
    assert.equal(job.trouble, "");
    const told = heard(job);
    const stored = job.set("fact/height", { entry: { value: "9.2", unit: "m", pm: "" } });
    assert.equal(job.get("fact/height").entry.value, "9.2");
    assert.deepEqual(told, [{ keys: ["fact/height"], remote: false }]);
    assert.equal(await stored, true);
    assert.equal((await device.value("scratch", "fact/height")).entry.unit, "m");
    assert.equal(told.length, 1);
    assert.throws(() => {
      job.get("fact/height").entry.value = "10";
    }, TypeError);
  }),
);

test(
  "keys come sorted and by their beginning",
  onDevice(async (device) => {
    const job = await device.tab();
    for (const key of ["step/b", "fact/z", "step/a"]) void job.set(key, "x");
    assert.deepEqual(job.keys("step/"), ["step/a", "step/b"]);
    assert.deepEqual(job.keys(), ["fact/z", "step/a", "step/b"]);
    await job.remove("step/a");
    assert.deepEqual(job.keys("step/"), ["step/b"]);
    assert.equal(await device.value("scratch", "step/a"), undefined);
  }),
);

test(
  "the next visit finds what was written",
  onDevice(async (device) => {
    const before = await device.tab();
    const id = await before.begin({ name: "Larch Street" });
    await before.set("about/who", { text: "N. N.", at: before.now() });
    before.end();
    const job = device.opening({ session: before.session });
    assert.equal(job.id, id);
    const told = heard(job);
    await job.ready;
    assert.equal(job.meta.name, "Larch Street");
    assert.equal(job.get("about/who").text, "N. N.");
    assert.deepEqual(told, ["switch"]);
  }),
);

test(
  "what is written before the records are there joins them",
  onDevice(async (device) => {
    const before = await device.tab();
    await before.update("a", addOne);
    await before.set("b", "old");
    before.end();
    const job = device.opening();
    const stored = job.update("a", addOne);
    assert.deepEqual(job.get("a"), { n: "1" });
    await job.ready;
    assert.deepEqual(job.get("a"), { n: "2" });
    assert.equal(job.get("b"), "old");
    await stored;
    assert.deepEqual(await device.value("scratch", "a"), { n: "2" });
  }),
);

test(
  "what cannot be kept is refused with a sentence, and nothing changes",
  onDevice(async (device) => {
    const job = await device.tab();
    await job.set("a", "old");
    await assert.rejects(job.set("a", { value: 7 }), Unkeepable);
    await assert.rejects(job.set("a b", "x"), /cannot be called/);
    await assert.rejects(job.set("a", "x".repeat(LIMITS.text + 1)), /at most 4000 characters/);
    assert.match(job.trouble, /at most 4000 characters/);
    await assert.rejects(
      job.update("a", () => {
        throw new Error("no");
      }),
      /no/,
    );
    assert.equal(job.get("a"), "old");
    await job.set("a", "new");
    assert.equal(job.trouble, "");
    assert.equal(await device.value("scratch", "a"), "new");
  }),
);

test(
  "a job holds only so many entries",
  onDevice(async (device) => {
    const job = await device.tab();
    const all = [];
    for (let each = 0; each < LIMITS.records; each += 1) all.push(job.set(`x/${each}`, "x"));
    await assert.rejects(job.set("y", "x"), /at most 5000 entries/);
    assert.deepEqual(new Set(await Promise.all(all)), new Set([true]));
    assert.equal((await device.table("records")).length, LIMITS.records);
  }),
);

test(
  "a write that fails midway leaves the old record, and is made later",
  onDevice(async (device) => {
    const job = await device.tab();
    await job.set("a", "old");
    await withPuts(
      (table) => table.transaction.abort(),
      async () => {
        assert.equal(await job.set("a", "new"), false);
        assert.equal(await device.value("scratch", "a"), "old");
        assert.match(job.trouble, /could not be written just now/);
        assert.equal(job.get("a"), "new");
      },
    );
    await job.set("b", "x");
    assert.equal(await device.value("scratch", "a"), "new");
    assert.equal(job.trouble, "");
  }),
);

test(
  "the open job is found again when localStorage lost its last writes",
  onDevice(async (device) => {
    const before = await device.tab();
    const id = await before.begin({ name: "Larch Street" });
    await before.set("a", "1");
    before.end();
    device.local.items.clear();
    const job = device.opening();
    const told = heard(job);
    await job.ready;
    assert.deepEqual([job.id, job.get("a"), job.trouble], [id, "1", ""]);
    assert.deepEqual(told, ["switch"]);
    await job.close();
    job.end();
    device.local.items.clear();
    assert.equal((await device.tab()).id, "scratch");
  }),
);

test(
  "a job that went on purpose is not mourned, though localStorage has not heard of it",
  onDevice(async (device) => {
    const before = await device.tab();
    const id = await before.begin({ name: "Larch Street" });
    const remembered = new Map(device.local.items);
    await before.discard(id);
    await before.empty();
    before.end();
    device.local.items = remembered;
    const job = await device.tab();
    assert.deepEqual([job.id, job.trouble], ["scratch", ""]);
  }),
);

// The journal.

test(
  "a tab killed while it wrote loses nothing",
  onDevice(async (device) => {
    const first = await device.tab();
    const id = await first.begin({ name: "Larch Street" });
    await first.set("kept", "old");
    await first.set("gone", "old");
    first.end();
    const killed = await device.tab({ store: stuck(device) });
    assert.equal(killed.id, id);
    void killed.set("kept", "new");
    void killed.update("count", addOne);
    void killed.update("count", addOne);
    void killed.remove("gone");
    await pause(20);
    killed.end();
    assert.equal(await device.value(id, "kept"), "old");
    const job = await device.tab();
    assert.equal(job.get("kept"), "new");
    assert.deepEqual(job.get("count"), { n: "2" });
    assert.equal(job.get("gone"), undefined);
    assert.equal(await device.value(id, "kept"), "new");
    assert.ok(job.unsaved);
    assert.deepEqual(journal(device), []);
  }),
);

function journal(device) {
  return [...device.local.items.keys()].filter((key) => key.startsWith("handbook.journal."));
}

test(
  "the journal is empty once all is stored, and holds what is not",
  onDevice(async (device) => {
    const job = await device.tab();
    const stored = [job.set("a", "1"), job.set("a", "2"), job.set("b", "1")];
    assert.equal(journal(device).length, 2);
    await Promise.all(stored);
    assert.deepEqual(journal(device), []);
  }),
);

test(
  "the journal gives way to what was stored later",
  onDevice(async (device) => {
    const killed = await device.tab({ store: stuck(device) });
    void killed.set("a", "left behind");
    killed.end();
    await pause(3);
    const alive = device.tabs.length && (await device.tab({ local: () => new Shelf() }));
    await alive.set("a", "later");
    alive.end();
    const job = await device.tab();
    assert.equal(job.get("a"), "later");
    assert.deepEqual(journal(device), []);
  }),
);

test(
  "the journal of a tab that is still open is left to it",
  onDevice(
    async (device) => {
      const slow = await device.tab({ store: stuck(device) });
      void slow.update("a", addOne);
      const job = await device.tab();
      assert.equal(job.get("a"), undefined);
      assert.equal(journal(device).length, 1);
      slow.end();
      await pause(1);
      const later = await device.tab();
      assert.deepEqual(later.get("a"), { n: "1" });
    },
    () => ({ locks: new Locks() }),
  ),
);

test(
  "without locks, a write finished by another tab is still made once",
  onDevice(async (device) => {
    const store = device.store();
    const apply = store.apply.bind(store);
    let go;
    const gate = new Promise((resolve) => {
      go = resolve;
    });
    store.apply = async (...all) => {
      await gate;
      return apply(...all);
    };
    const slow = await device.tab({ store });
    const stored = [slow.update("a", addOne), slow.update("a", addOne)];
    const other = await device.tab();
    assert.deepEqual(other.get("a"), { n: "2" });
    await other.update("a", addOne);
    go();
    await Promise.all(stored);
    assert.deepEqual(await device.value("scratch", "a"), { n: "3" });
    await until(() => slow.get("a").n === "3");
  }),
);

test(
  "a tab killed before the records were there spoils none of them",
  onDevice(async (device) => {
    const before = await device.tab();
    await before.set("count", { n: "5" });
    before.end();
    // Only what is noted later could push out what is stored.
    await pause(5);
    const killed = device.opening({ store: stuck(device) });
    void killed.update("count", addOne);
    killed.end();
    assert.deepEqual((await device.tab()).get("count"), { n: "5" });
  }),
);

test(
  "the journal is bounded, and what does not fit is written all the same",
  onDevice(async (device) => {
    const killed = await device.tab({ store: stuck(device) });
    for (let each = 0; each < 2000; each += 1) void killed.set(`x/${each}`, "x".repeat(2000));
    const size = [...device.local.items].reduce((sum, [key, text]) => sum + key.length + text.length, 0);
    assert.ok(size < 1_100_000, `${size}`);
    assert.ok(journal(device).length <= 300);
    killed.end();
    const job = await device.tab();
    assert.equal(job.keys("x/").length, 300);
    await job.set("big", { list: Array.from({ length: 60 }, () => "x".repeat(3000)) });
    assert.equal((await device.value("scratch", "big")).list.length, 60);
  }),
);

test(
  "an outdated note does not stay when the newer one finds no room",
  onDevice(async (device) => {
    const killed = await device.tab({ store: stuck(device) });
    void killed.set("a", "first");
    device.local.setItem = noRoom;
    void killed.set("a", "second");
    assert.deepEqual(journal(device), []);
  }),
);

test(
  "foreign and spoilt notes are ignored and left alone",
  onDevice(async (device) => {
    const mine = "handbook.journal.1.00000000000000aa.scratch.";
    const notes = {
      [`${mine}json`]: "{",
      [`${mine}null`]: "null",
      [`${mine}stamp`]: '{"value":"x","stamp":"9","writes":[]}',
      [`${mine}huge`]: `{"value":"x","stamp":1e300,"writes":[]}`,
      [`${mine}number`]: '{"value":7,"stamp":9,"writes":[]}',
      [`${mine}long`]: `{"value":"${"x".repeat(200_000)}","stamp":9,"writes":[]}`,
      [`${mine}a b`]: '{"value":"x","stamp":9,"writes":[]}',
      "handbook.journal.1.zz.scratch.a": '{"value":"x","stamp":9,"writes":[]}',
      "handbook.journal.1.": "x",
      "handbook.typed.1.expansion": "x",
      "somebody.else": "x",
    };
    for (const [key, text] of Object.entries(notes)) device.local.setItem(key, text);
    device.local.setItem(`${mine}odd`, '{"value":{"__proto__":{"x":"y"}},"stamp":9}');
    device.local.setItem(`${mine}good`, '{"value":"x","stamp":9,"writes":[7,"w1"]}');
    const job = await device.tab();
    assert.deepEqual(job.keys(), ["good"]);
    assert.equal(job.trouble, "");
    for (const key of Object.keys(notes)) assert.equal(device.local.getItem(key), notes[key]);
    assert.equal({}.x, undefined);
  }),
);

// Two tabs.

test(
  "another tab's write shows here, and is told",
  onDevice(async (device) => {
    const [one, two] = [await device.tab(), await device.tab()];
    const told = heard(two);
    await one.set("a", "1");
    await until(() => two.get("a") === "1");
    assert.deepEqual(told, [{ keys: ["a"], remote: true }]);
    await one.remove("a");
    await until(() => two.get("a") === undefined);
  }),
);

test(
  "two tabs change one record, and both changes stand",
  onDevice(async (device) => {
    const [one, two] = [await device.tab(), await device.tab()];
    await Promise.all([one.update("a", append("one")), two.update("a", append("two"))]);
    const { words } = await device.value("scratch", "a");
    assert.deepEqual([...words].sort(), ["one", "two"]);
    await until(() => [one, two].every((tab) => tab.get("a").words.length === 2));
  }),
);

test(
  "a write that waits is put on top of what another tab stored meanwhile",
  onDevice(async (device) => {
    const store = device.store();
    const apply = store.apply.bind(store);
    let go;
    const gate = new Promise((resolve) => {
      go = resolve;
    });
    store.apply = (...all) => gate.then(() => apply(...all));
    const slow = await device.tab({ store });
    const fast = await device.tab();
    const stored = slow.update("a", append("slow"));
    await fast.update("a", append("fast"));
    await until(() => slow.get("a").words.length === 2);
    assert.deepEqual(slow.get("a").words, ["fast", "slow"]);
    go();
    await stored;
    await until(() => fast.get("a").words.length === 2);
    assert.deepEqual(fast.get("a"), await device.value("scratch", "a"));
  }),
);

test(
  "news from another tab that comes late does not push out what is newer",
  onDevice(async (device) => {
    const store = device.store();
    const read = store.read.bind(store);
    let go;
    const gate = new Promise((resolve) => {
      go = resolve;
    });
    let asked = false;
    store.read = async (...all) => {
      const found = await read(...all);
      asked = true;
      await gate;
      return found;
    };
    const slow = await device.tab({ store });
    const fast = await device.tab();
    await fast.update("a", append("fast"));
    await until(() => asked);
    await slow.update("a", append("slow"));
    assert.deepEqual(slow.get("a").words, ["fast", "slow"]);
    go();
    await pause(20);
    assert.deepEqual(slow.get("a").words, ["fast", "slow"]);
  }),
);

/** Random numbers that are the same every time. */
function seeded(seed) {
  let state = seed;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

test(
  "five hundred interleavings of two tabs lose no change",
  onDevice(async (device) => {
    const tabs = [await device.tab(), await device.tab()];
    const random = seeded(20260514);
    const keys = ["a", "b", "c"];
    for (let run = 0; run < 500; run += 1) {
      const made = Object.fromEntries(keys.map((key) => [key, []]));
      const waits = [];
      for (let step = 2 + random(6); step > 0; step -= 1) {
        const key = keys[random(keys.length)];
        const word = `${run}.${step}`;
        made[key].push(word);
        waits.push(tabs[random(2)].update(`run${run}/${key}`, append(word)));
        const rest = random(4);
        if (rest === 0) await waits[random(waits.length)];
        if (rest === 1) await null;
        if (rest === 2 && random(4) === 0) await pause(0);
      }
      await Promise.all(waits);
      for (const key of keys) {
        const place = `run${run}/${key}`;
        const want = made[key].sort();
        const words = (tab) => [...(tab.get(place)?.words ?? [])].sort();
        if (want.length === 0) continue;
        // Both tabs show all, and in the same order.
        await until(() => tabs.every((tab) => words(tab).length === want.length));
        for (const tab of tabs) assert.deepEqual(words(tab), want, place);
        assert.deepEqual(tabs[0].get(place), tabs[1].get(place));
      }
    }
    const stored = (await device.table("records")).filter(({ job }) => job === "scratch");
    assert.deepEqual(tabs[0].keys(), stored.map(({ key }) => key).sort());
    for (const { key, value } of stored) assert.deepEqual(tabs[1].get(key), value);
    assert.deepEqual(journal(device), []);
  }),
);

test(
  "two tabs may hold different jobs, and a new one follows the last",
  onDevice(async (device) => {
    const [one, two] = [await device.tab(), await device.tab()];
    const first = await one.begin({ name: "First" });
    const second = await two.begin({ name: "Second" });
    await one.set("a", "1");
    await two.set("a", "2");
    await pause(10);
    assert.deepEqual([one.id, one.get("a"), two.id, two.get("a")], [first, "1", second, "2"]);
    const three = await device.tab();
    assert.equal(three.id, second);
    const again = await device.tab({ session: one.session });
    assert.equal(again.id, first);
  }),
);

test(
  "a tab whose job is put into the bin by another goes back to scratch",
  onDevice(async (device) => {
    const one = await device.tab();
    const id = await one.begin({ name: "Larch Street" });
    const two = await device.tab();
    assert.equal(two.id, id);
    await one.discard(id);
    assert.equal(one.id, "scratch");
    await until(() => two.id === "scratch");
    assert.equal(two.trouble, "");
    await two.restore(id);
    assert.equal(await one.open(id), true);
    await one.discard(id);
    assert.equal(await one.open(id), false);
    assert.equal(await one.empty(), 1);
    assert.equal(await one.restore(id), false);
  }),
);

test(
  "a write to a job that another tab removed for good is told",
  onDevice(async (device) => {
    const one = await device.tab();
    const id = await one.begin({ name: "Larch Street" });
    const store = device.store();
    await store.amend(id, (row) => ({ ...row, discarded: one.now() }));
    await store.purge(() => true, Date.now());
    store.close();
    assert.equal(await one.set("a", "x"), false);
    await until(() => one.id === "scratch");
    assert.match(one.trouble, /removed for good/);
    one.dismissTrouble();
    assert.equal(one.trouble, "");
    assert.deepEqual(journal(device), []);
    assert.equal(await one.set("a", "x"), true);
  }),
);

test(
  "nonsense on the channel is nothing",
  onDevice(async (device) => {
    const job = await device.tab();
    await job.set("a", "1");
    const told = heard(job);
    const channel = new BroadcastChannel(device.name);
    const words = [null, 7, "wiped", { kind: "records", job: "scratch", keys: "a" }];
    for (const word of [...words, { kind: "records", job: "scratch", keys: [7, "a b"] }]) {
      channel.postMessage(word);
    }
    channel.close();
    await pause(30);
    assert.equal(job.get("a"), "1");
    assert.deepEqual(
      told.filter(({ keys }) => keys.length > 0),
      [],
    );
  }),
);

// The life of a job.

test(
  "a job takes what stands in scratch along, if wanted",
  onDevice(async (device) => {
    const [job, other] = [await device.tab(), await device.tab()];
    void job.set("fact/a", "1");
    const photo = await job.addPhoto(picture(1));
    const told = heard(job);
    const id = await job.begin({ name: "  Larch Street ", takeScratch: true });
    assert.match(id, /^[0-9a-f]{16}$/);
    assert.ok(told.includes("switch"));
    assert.deepEqual([job.id, job.isOpen, job.meta.name], [id, true, "Larch Street"]);
    assert.equal(job.get("fact/a"), "1");
    assert.deepEqual(await bytesOf(await job.photo(photo)), await bytesOf(picture(1)));
    assert.ok(job.unsaved);
    await until(() => other.get("fact/a") === undefined);
    await job.close();
    assert.deepEqual([job.isOpen, job.keys()], [false, []]);
    await job.set("fact/b", "2");
    await job.begin({ name: "Next" });
    assert.deepEqual(job.keys(), []);
    assert.ok(!job.unsaved);
    await job.close();
    assert.equal(job.get("fact/b"), "2");
  }),
);

test(
  "a job without a name gets one, and a name is never emptied",
  onDevice(async (device) => {
    const job = await device.tab();
    const id = await job.begin();
    assert.equal(job.meta.name, "Unnamed job");
    assert.equal(await job.rename(id, "   "), false);
    assert.equal(await job.rename(id, "Larch Street"), true);
    assert.equal(job.meta.name, "Larch Street");
  }),
);

test(
  "the shelf shows jobs by their state",
  onDevice(async (device) => {
    const job = await device.tab();
    const [used, away, binned] = [
      await job.begin({ name: "Used" }),
      await job.begin({ name: "Away" }),
      await job.begin({ name: "Binned" }),
    ];
    await job.open(used);
    await job.set("reading/1", { at: job.now() });
    await job.archive(away, true);
    await job.discard(binned);
    assert.equal(job.id, used);
    const ids = async (state) => (await job.shelf(state)).map(({ id }) => id);
    assert.deepEqual(await ids(), [used]);
    assert.deepEqual(await ids({ archived: true }), [away]);
    assert.deepEqual(await ids({ discarded: true }), [binned]);
    const [meta] = await job.shelf();
    assert.equal(meta.counts.readings, 1);
    assert.ok(meta.unsaved);
    await job.archive(away, false);
    assert.equal((await ids()).length, 2);
    assert.deepEqual(await job.records(used), { "reading/1": job.get("reading/1") });
    await job.close();
    assert.deepEqual(Object.keys(await job.records(used)), ["reading/1"]);
    assert.deepEqual(await job.records(newId()), {});
  }),
);

test(
  "what has lain in the bin for thirty days goes at the next start, no sooner",
  onDevice(async (device) => {
    const job = await device.tab();
    const [old, young] = [await job.begin({ name: "Old" }), await job.begin({ name: "Young" })];
    const store = device.store();
    const ago = (days) => localTime(new Date(Date.now() - days * 86_400_000));
    await store.amend(old, (row) => ({ ...row, discarded: ago(30.1) }));
    await store.amend(young, (row) => ({ ...row, discarded: ago(29.9) }));
    store.close();
    job.end();
    const next = await device.tab();
    assert.deepEqual(
      (await next.shelf({ discarded: true })).map(({ id }) => id),
      [young],
    );
    // It went on purpose, so there is nothing to mourn.
    assert.equal(next.trouble, "");
    next.end();
    assert.equal((await device.tab()).trouble, "");
  }),
);

test(
  "exporting is remembered for what the file holds",
  onDevice(async (device) => {
    const job = await device.tab();
    const id = await job.begin({ name: "Larch Street" });
    assert.equal(job.unsaved, false);
    void job.set("a", "1");
    assert.equal(job.unsaved, true);
    const { revision } = job.meta;
    await job.whole();
    await job.markExported(id);
    assert.equal(job.unsaved, false);
    assert.match(job.meta.exported, /^\d{4}-/);
    await job.set("a", "1");
    assert.equal(job.unsaved, false);
    await job.archive(id, true);
    assert.equal(job.unsaved, false);
    // Changed between the making of the file and its leaving the house.
    await job.whole();
    await job.set("a", "2");
    await job.markExported();
    assert.equal(job.unsaved, true);
    assert.notEqual(job.meta.revision, revision);
    await job.whole();
    await job.markExported();
    await job.rename(id, "Larch Street Library");
    assert.equal(job.unsaved, true);
    await job.whole();
    await job.markExported();
    await job.addPhoto(picture());
    assert.equal(job.unsaved, true);
    assert.equal((await job.shelf({ archived: true }))[0].unsaved, true);
  }),
);

// Photos, and the whole job.

test(
  "photos are kept byte by byte, and removed",
  onDevice(async (device) => {
    const job = await device.tab();
    await job.begin({ name: "Larch Street" });
    const blob = picture(...Array.from({ length: 5000 }, (_, place) => place % 256));
    const id = await job.addPhoto(blob);
    const found = await job.photo(id);
    assert.equal(found.type, "image/jpeg");
    assert.deepEqual(await bytesOf(found), await bytesOf(blob));
    await job.removePhoto(id);
    assert.equal(await job.photo(id), undefined);
    for (const none of ["nothing", newId(), undefined, "", []]) {
      assert.equal(await job.photo(none), undefined);
      await job.removePhoto(none);
    }
    assert.equal(job.trouble, "");
  }),
);

test(
  "what is no photo, or too big a one, is refused",
  onDevice(async (device) => {
    const job = await device.tab();
    const svg = new Blob(["<svg onload=alert(1)>"], { type: "image/jpeg" });
    await assert.rejects(job.addPhoto(svg), /no JPEG/);
    const big = new Blob([await picture().arrayBuffer(), new Uint8Array(LIMITS.photo)]);
    await assert.rejects(job.addPhoto(big), /at most 2 MB/);
  }),
);

test("bytes go into text and back", () => {
  for (const size of [0, 1, 2, 3, 0x8000, 0x8001, 100_000]) {
    const bytes = new Uint8Array(size).map((_, place) => (place * 7) % 256);
    const text = toBase64(bytes.buffer);
    assert.equal(text, Buffer.from(bytes).toString("base64"));
    assert.deepEqual(new Uint8Array(fromBase64(text)), bytes);
  }
  for (const text of ["%", "a", 7, null]) assert.equal(fromBase64(text), null);
});

test(
  "a job goes out whole, and comes in whole on another device",
  onDevice(async (device) => {
    const job = await device.tab();
    const id = await job.begin({ name: "Larch Street" });
    await job.set("fact/b", { entry: { value: "9.2", unit: "m", pm: "" } });
    await job.set("about/who", { text: "N. N.", at: job.now() });
    const photo = await job.addPhoto(picture(1, 2, 3));
    const whole = await job.whole();
    assert.deepEqual(Object.keys(whole).sort(), ["created", "id", "name", "photos", "records"]);
    assert.deepEqual(Object.keys(whole.records), ["about/who", "fact/b"]);
    const sent = JSON.parse(JSON.stringify(whole));
    assert.deepEqual(Buffer.from(sent.photos[photo], "base64").subarray(-3), Buffer.from([1, 2, 3]));
    await job.close();
    assert.deepEqual(await job.whole(id), whole);
    await assert.rejects(job.whole(newId()), /no longer on this device/);

    const far = new Device();
    try {
      const other = await far.tab();
      assert.equal(await other.takeIn(sent), id);
      assert.equal(other.isOpen, false);
      await other.open(id);
      assert.deepEqual(await other.whole(), whole);
      assert.equal(other.unsaved, false);
      assert.deepEqual(await bytesOf(await other.photo(photo)), await bytesOf(picture(1, 2, 3)));
    } finally {
      far.end();
    }
  }),
);

test(
  "a job that is here already: a copy, or its place taken with a copy kept",
  onDevice(async (device) => {
    const job = await device.tab();
    const id = await job.begin({ name: "Larch Street" });
    await job.set("a", "1");
    const file = await job.whole();
    const names = async () => (await job.shelf()).map(({ name }) => name).sort();

    const copy = await job.takeIn(file, { as: "new" });
    assert.notEqual(copy, id);
    assert.equal(job.keptCopy, null);
    assert.deepEqual(await names(), ["Larch Street", "Larch Street (copy)"]);

    assert.equal(await job.takeIn(file, { as: "replace" }), id);
    assert.equal(job.keptCopy, null);

    void job.set("b", "typed meanwhile");
    const told = heard(job);
    assert.equal(await job.takeIn(file, { as: "replace" }), id);
    assert.ok(told.includes("switch"));
    assert.equal(job.get("b"), undefined);
    assert.match(job.keptCopy.name, /^Larch Street \(kept \d{4}-\d\d-\d\d \d\d:\d\d\)$/);
    assert.equal((await job.whole(job.keptCopy.id)).records.b, "typed meanwhile");
    assert.equal((await names()).length, 3);
  }),
);

test(
  "another tab shows the job that took the place",
  onDevice(async (device) => {
    const one = await device.tab();
    await one.begin({ name: "Larch Street" });
    await one.set("a", "1");
    const two = await device.tab();
    assert.equal(two.get("a"), "1");
    const file = await one.whole();
    await one.takeIn({ ...file, records: { b: "2" } }, { as: "replace" });
    await until(() => two.get("b") === "2");
    assert.equal(two.get("a"), undefined);
  }),
);

test(
  "taking in that breaks off halfway leaves all as before",
  onDevice(async (device) => {
    const job = await device.tab();
    const id = await job.begin({ name: "Larch Street" });
    await job.set("a", "1");
    const file = { ...(await job.whole()), records: { b: "2", c: "3", d: "4" } };
    const before = JSON.stringify(await Promise.all(["jobs", "records"].map((t) => device.table(t))));
    let puts = 0;
    await withPuts(
      () => {
        puts += 1;
        if (puts === 4) noRoom();
      },
      () => assert.rejects(job.takeIn(file, { as: "replace" }), /no room left/),
    );
    const after = JSON.stringify(await Promise.all(["jobs", "records"].map((t) => device.table(t))));
    assert.equal(after, before);
    assert.deepEqual([job.id, job.get("a"), job.get("b")], [id, "1", undefined]);
  }),
);

test(
  "what is no sound job is not taken in",
  onDevice(async (device) => {
    const job = await device.tab();
    const sound = { id: newId(), name: "x", created: job.now(), records: {}, photos: {} };
    const spoilt = [
      null,
      { ...sound, id: "scratch" },
      { ...sound, id: "../x" },
      { ...sound, created: 7 },
      { ...sound, records: { "a b": "x" } },
      { ...sound, records: { a: 7 } },
      { ...sound, records: Object.fromEntries(Array.from({ length: 5001 }, (_, n) => [`x${n}`, ""])) },
      { ...sound, photos: { x: "/9j/" } },
      { ...sound, photos: { [newId()]: "PHN2Zz4=" } },
      { ...sound, photos: { [newId()]: "%" } },
    ];
    for (const whole of spoilt) await assert.rejects(job.takeIn(whole), Unkeepable);
    assert.deepEqual(await job.shelf(), []);
    await job.takeIn(sound);
    assert.equal((await job.shelf()).length, 1);
  }),
);

// Trouble.

test(
  "no room: told, kept in memory, exported still, and stored once there is room",
  onDevice(async (device) => {
    const job = await device.tab();
    await job.begin({ name: "Larch Street" });
    await job.set("a", "old");
    const told = heard(job);
    let photo;
    await withPuts(noRoom, async () => {
      assert.equal(await job.set("a", "new"), false);
      assert.match(job.trouble, /no room left on this device/);
      assert.ok(told.includes("trouble"));
      assert.equal(await job.set("b", "more"), false);
      photo = await job.addPhoto(picture(5));
      assert.deepEqual(await bytesOf(await job.photo(photo)), await bytesOf(picture(5)));
      const whole = await job.whole();
      assert.deepEqual(whole.records, { a: "new", b: "more" });
      assert.deepEqual(Object.keys(whole.photos), [photo]);
      assert.ok(job.unsaved);
      await assert.rejects(job.begin({ name: "Next" }), /no room left/);
    });
    assert.equal(await job.set("c", "x"), true);
    await until(() => job.trouble === "");
    assert.equal(await device.value(job.id, "a"), "new");
    assert.equal(await device.value(job.id, "b"), "more");
    assert.equal((await device.table("photos")).length, 1);
  }),
);

test(
  "one record that finds no room does not hold up the others",
  onDevice(async (device) => {
    const job = await device.tab();
    await withPuts(
      (_, record) => {
        if (record.key === "big") noRoom();
      },
      async () => {
        const stored = [job.set("small/1", "x"), job.set("big", "x"), job.set("small/2", "x")];
        assert.deepEqual(await Promise.all(stored), [true, false, true]);
        assert.equal(await device.value("scratch", "small/2"), "x");
        assert.match(job.trouble, /no room left/);
      },
    );
  }),
);

test(
  "no room at the start: the record is read all the same",
  onDevice(async (device) => {
    const before = await device.tab();
    await before.set("a", "1");
    before.end();
    const killed = await device.tab({ store: stuck(device) });
    void killed.set("b", "2");
    killed.end();
    await withPuts(noRoom, async () => {
      const job = await device.tab();
      assert.equal(job.get("a"), "1");
      assert.match(job.trouble, /no room left/);
      job.end();
    });
    assert.equal(journal(device).length, 1);
    assert.equal((await device.tab()).get("b"), "2");
  }),
);

test(
  "storage that is forbidden: told, and the visit goes on in memory",
  onDevice(
    async (device) => {
      const job = await device.tab({
        local: () => {
          throw new DOMException("no", "SecurityError");
        },
      });
      assert.match(job.trouble, /keeps nothing for the handbook here/);
      assert.equal(await job.set("a", "1"), false);
      const id = await job.begin({ name: "Larch Street", takeScratch: true });
      assert.equal(job.get("a"), "1");
      const photo = await job.addPhoto(picture(1));
      const whole = await job.whole();
      assert.deepEqual([whole.id, whole.records, Object.keys(whole.photos)], [id, { a: "1" }, [photo]]);
      await job.close();
      assert.equal((await job.shelf()).length, 1);
      await job.open(id);
      await job.discard(id);
      assert.equal(await job.empty(), 1);
      assert.match(job.trouble, /save the job as a file before that/);
    },
    {
      open: async () => {
        throw new DOMException("no", "SecurityError");
      },
    },
  ),
);

test(
  "storage that does not answer holds nobody up, and joins when it does",
  onDevice(async (device) => {
    const before = await device.tab();
    await before.update("a", addOne);
    before.end();
    const { openDB } = device;
    let go;
    const gate = new Promise((resolve) => {
      go = resolve;
    });
    device.openDB = (...all) => gate.then(() => openDB(...all));
    const start = Date.now();
    const job = await device.tab();
    assert.ok(Date.now() - start < 2000);
    assert.match(job.trouble, /does not answer yet/);
    const stored = job.update("a", addOne);
    assert.deepEqual(job.get("a"), { n: "1" });
    go();
    assert.equal(await stored, true);
    assert.deepEqual(job.get("a"), { n: "2" });
    assert.equal(job.trouble, "");
  }),
);

test(
  "a newer edition gets the database at once; this page says so and keeps what it has",
  onDevice(async (device) => {
    const job = await device.tab();
    await job.set("a", "1");
    const newer = await device.openDB(device.name, 2, { upgrade: () => undefined });
    newer.close();
    assert.match(job.trouble, /newer edition.*Reload this page/);
    assert.equal(await job.set("a", "2"), false);
    assert.equal(job.get("a"), "2");
    assert.equal(journal(device).length, 1);
    const late = await device.tab();
    assert.match(late.trouble, /newer edition/);
    late.end();
  }),
);

test(
  "an older edition in another tab that holds on: told, then joined",
  onDevice(async (device) => {
    const old = await device.openDB(device.name, 1);
    const store = new JobStore(
      new DatabaseTables({ openDB: device.openDB, name: device.name, version: 2 }),
    );
    const job = device.opening({ store });
    await until(() => job.trouble.includes("Another tab with an older edition"));
    old.close();
    await until(() => job.trouble === "");
    assert.equal(await job.set("a", "1"), true);
  }),
);

test(
  "a record that the browser has cleared is mourned in plain words, once taken note of no more",
  onDevice(async (device) => {
    const before = await device.tab();
    const id = await before.begin({ name: "Larch Street" });
    await before.set("a", "1");
    const file = await before.whole();
    before.end();
    await deleteDatabase(device.name);
    const job = await device.tab({ session: before.session });
    assert.equal(job.id, "scratch");
    assert.match(job.trouble, /The browser has cleared the record of “Larch Street”/);
    assert.match(job.trouble, /take it in again/);
    job.end();
    const next = await device.tab();
    assert.match(next.trouble, /Larch Street/);
    await next.takeIn(file);
    assert.equal(next.trouble, "");
    next.end();
    assert.equal((await device.tab()).trouble, "");
    assert.ok(id);
  }),
);

test(
  "a remembered id alone is enough to tell",
  onDevice(async (device) => {
    device.local.setItem("handbook.job", newId());
    const job = await device.tab();
    assert.equal(job.isOpen, false);
    assert.match(job.trouble, /cleared the record of a job/);
    job.dismissTrouble();
    job.end();
    assert.equal((await device.tab()).trouble, "");
  }),
);

test(
  "nonsense in what is remembered is nothing",
  onDevice(async (device) => {
    device.local.setItem("handbook.job", "<b>");
    device.local.setItem("handbook.job.names", '{"<b>":"x","scratch":"y","00000000000000aa":7}');
    device.local.setItem("handbook.job.lost", "[[[");
    const job = await device.tab();
    assert.deepEqual([job.id, job.trouble], ["scratch", ""]);
  }),
);

function deleteDatabase(name) {
  return new Promise((resolve, reject) => {
    const request = indexedDB.deleteDatabase(name);
    request.onsuccess = resolve;
    request.onerror = () => reject(request.error);
  });
}

test(
  "a database cleared under an open page is written anew from memory",
  onDevice(async (device) => {
    const job = await device.tab();
    const id = await job.begin({ name: "Larch Street" });
    await job.set("a", "1");
    await deleteDatabase(device.name);
    await until(async () => (await device.value(id, "a")) === "1");
    assert.match(job.trouble, /written again/);
    assert.equal(await job.set("b", "2"), true);
    assert.equal(await device.value(id, "b"), "2");
    assert.equal((await job.shelf())[0].name, "Larch Street");
  }),
);

test(
  "entries that cannot be read are counted, and the rest stands",
  onDevice(async (device) => {
    const before = await device.tab();
    await before.set("good", "1");
    before.end();
    const database = await device.openDB(device.name);
    await database.put("records", { job: "scratch", key: "bad", value: { n: 7 }, stamp: 5 });
    await database.put("records", { job: "scratch", key: "worse", value: null, stamp: 5 });
    database.close();
    const job = await device.tab();
    assert.deepEqual(job.keys(), ["good"]);
    assert.match(job.trouble, /^2 entries of this record could not be read and are left out/);
  }),
);

test(
  "everything is deleted, here and in the other tabs",
  onDevice(async (device) => {
    const [one, two] = [await device.tab(), await device.tab()];
    await one.begin({ name: "Larch Street" });
    await one.set("a", "1");
    await two.set("b", "2");
    device.local.setItem("somebody.else", "x");
    const channel = globalThis.BroadcastChannel;
    globalThis.BroadcastChannel = class extends channel {
      constructor() {
        super(device.name);
      }
    };
    try {
      await wipe(device.store());
    } finally {
      globalThis.BroadcastChannel = channel;
    }
    await until(() => one.id === "scratch" && two.get("b") === undefined);
    assert.deepEqual(await device.table("records"), []);
    assert.deepEqual(await device.table("jobs"), []);
    assert.deepEqual([...device.local.items.keys()], ["somebody.else"]);
    assert.deepEqual(await one.shelf(), []);
    assert.equal(one.trouble, "");
  }),
);

test(
  "room on the device is told when it runs short",
  onDevice(async (device) => {
    const job = await device.tab();
    const none = await job.room();
    assert.deepEqual([none.quota, none.sentence], [0, ""]);
    const former = Object.getOwnPropertyDescriptor(globalThis, "navigator");
    const estimate = (usage, quota) => {
      const storage = { estimate: async () => ({ usage, quota }), persisted: async () => true };
      Object.defineProperty(globalThis, "navigator", { value: { storage }, configurable: true });
    };
    try {
      estimate(10e6, 1000e6);
      assert.deepEqual(await job.room(), {
        usage: 10e6,
        quota: 1000e6,
        persisted: true,
        sentence: "",
      });
      estimate(990e6, 1000e6);
      assert.match((await job.room()).sentence, /about 10 MB are left/);
    } finally {
      if (former) Object.defineProperty(globalThis, "navigator", former);
      else delete globalThis.navigator;
    }
  }),
);

// Small things.

test("times are local, with their offset", () => {
  const code = `
    import { localTime } from ${JSON.stringify(new URL("../../docs/assets/js/job.mjs", import.meta.url).href)};
    console.log(localTime(new Date(Date.UTC(2026, 4, 14, 6, 5, 12))));
    console.log(localTime(new Date(Date.UTC(2026, 0, 1, 2, 0, 0))));
    process.exit(0);`;
  const told = (TZ) =>
    spawnSync(process.execPath, ["--input-type=module", "-e", code], {
      env: { ...process.env, TZ },
      encoding: "utf8",
    }).stdout.trim().split("\n");
  assert.deepEqual(told("Europe/Berlin"), ["2026-05-14T08:05:12+02:00", "2026-01-01T03:00:00+01:00"]);
  assert.deepEqual(told("America/St_Johns"), [
    "2026-05-14T03:35:12-02:30",
    "2025-12-31T22:30:00-03:30",
  ]);
  assert.equal(told("UTC")[0], "2026-05-14T06:05:12+00:00");
});

test("ids are sixteen hex digits, each another", () => {
  const ids = new Set(Array.from({ length: 1000 }, newId));
  assert.equal(ids.size, 1000);
  for (const id of ids) assert.match(id, /^[0-9a-f]{16}$/);
});

test("where there is no browser at all, the job still stands", async () => {
  const job = new Job(new JobStore(new DatabaseTables({ openDB: undefined })), {
    channel: () => {
      throw new Error("none");
    },
  });
  await job.ready;
  await quietly(job.set("a", "1"));
  assert.equal(job.get("a"), "1");
  assert.notEqual(job.trouble, "");
  job.end();
});
