/**
 * Tabs on one device, for the tests: each has its own job and its own session, all share one
 * database and one localStorage. Nothing here stands for the code that is tested.
 */
import "fake-indexeddb/auto";

import { openDB } from "idb";

import { Job } from "../../docs/assets/js/job.mjs";
import { DatabaseTables, JobStore } from "../../docs/assets/js/job-store.mjs";

let devices = 0;

export class Shelf {
  constructor() {
    this.items = new Map();
  }
  get length() {
    return this.items.size;
  }
  key(place) {
    return [...this.items.keys()][place] ?? null;
  }
  getItem(key) {
    return this.items.get(key) ?? null;
  }
  setItem(key, value) {
    this.items.set(key, String(value));
  }
  removeItem(key) {
    this.items.delete(key);
  }
}

/** Stands for the browser's locks: who holds one is alive. */
export class Locks {
  constructor() {
    this.names = new Set();
  }
  async request(name, hold) {
    this.names.add(name);
    await hold();
    this.names.delete(name);
  }
  async query() {
    return { held: [...this.names].map((name) => ({ name })), pending: [] };
  }
}

export class Device {
  constructor({ locks = null, open = openDB } = {}) {
    devices += 1;
    this.name = `device ${devices}`;
    this.local = new Shelf();
    this.locks = locks;
    this.openDB = open;
    this.tabs = [];
  }

  store(name = this.name) {
    return new JobStore(new DatabaseTables({ openDB: this.openDB, name }));
  }

  /** A tab, once its records are there. */
  async tab(options) {
    const job = this.opening(options);
    await job.ready;
    return job;
  }

  opening({ session = new Shelf(), store = this.store(), local = () => this.local } = {}) {
    const job = new Job(store, {
      local,
      session: () => session,
      channel: () => new BroadcastChannel(this.name),
      locks: this.locks,
    });
    job.session = session;
    this.tabs.push(job);
    return job;
  }

  /** What is in the database, by the browser's own means. */
  async table(name) {
    const database = await openDB(this.name);
    const all = await database.getAll(name);
    database.close();
    return all;
  }

  async value(job, key) {
    const all = await this.table("records");
    return all.find((record) => record.job === job && record.key === key)?.value;
  }

  end() {
    for (const job of this.tabs) job.end();
  }
}

/** Run a test on a device of its own. */
export function onDevice(body, options) {
  return async (context) => {
    const device = new Device(typeof options === "function" ? options() : options);
    try {
      await body(device, context);
    } finally {
      device.end();
    }
  };
}

/** Wait until something is so. */
export async function until(seen, limit = 2000) {
  const end = Date.now() + limit;
  for (;;) {
    const value = await seen();
    if (value) return value;
    if (Date.now() > end) throw new Error(`It did not come: ${seen}`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}

/** Let `fail` see every put of the database while `body` runs; it may throw or abort. */
export async function withPuts(fail, body) {
  const { put } = IDBObjectStore.prototype;
  IDBObjectStore.prototype.put = function (...args) {
    fail(this, ...args);
    return put.apply(this, args);
  };
  try {
    return await body();
  } finally {
    IDBObjectStore.prototype.put = put;
  }
}

export function noRoom() {
  throw new DOMException("no room", "QuotaExceededError");
}

/** The smallest thing that begins as a JPEG does. */
export function picture(...bytes) {
  return new Blob([new Uint8Array([0xff, 0xd8, 0xff, 0xe0, ...bytes])], { type: "image/jpeg" });
}

export async function bytesOf(blob) {
  return [...new Uint8Array(await blob.arrayBuffer())];
}
