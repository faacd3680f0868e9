// @ts-check
/**
 * The drills begun on this device, so that one survives a reload: what it is and what was done.
 *
 * A room is never stored: it follows from its number and the acts. What comes back from storage is
 * treated as foreign.
 */

/** @typedef {{id: string, seed: number, system: "si" | "us"}} Drill */
/** @typedef {{do: string, values: Record<string, any>}} Action */
/**
 * @typedef {object} Played
 * @property {Drill} drill
 * @property {Action[]} actions
 * @property {string[] | null} diagnosis null while the room is open
 * @property {string} at
 */

const KEY = "handbook.drill.1";
const ID = /^[a-z][a-z0-9-]{0,63}$/;
const NAME = /^[a-z][a-z0-9_.-]{0,63}$/;
const MOST_DRILLS = 12;
const LONGEST_TEXT = 200;

export const MOST_ACTIONS = 200;
export const MOST_SEED = 2 ** 53 - 1;

/** @param {Drill} drill */
export function nameOf({ id, seed, system }) {
  return `${id}/${seed}/${system}`;
}

/** @param {any} found @returns {Drill | null} */
export function soundDrill(found) {
  const { id, seed, system } = found ?? {};
  if (typeof id !== "string" || !ID.test(id)) return null;
  if (!Number.isSafeInteger(seed) || seed < 0) return null;
  if (system !== "si" && system !== "us") return null;
  return { id, seed, system };
}

/** @param {any} found @returns {Action | null} */
function soundAction(found) {
  const { do: act, values } = found ?? {};
  if (typeof act !== "string" || !ID.test(act)) return null;
  /** @type {Record<string, any>} */
  const kept = {};
  for (const [name, value] of Object.entries(values ?? {}).slice(0, 20)) {
    if (!NAME.test(name)) return null;
    if (typeof value === "string" && value.length <= LONGEST_TEXT) kept[name] = value;
    else if (typeof value === "boolean") kept[name] = value;
    else if (typeof value?.value === "string" && typeof value?.unit === "string") {
      kept[name] = {
        value: value.value.slice(0, LONGEST_TEXT),
        unit: value.unit.slice(0, LONGEST_TEXT),
      };
    } else return null;
  }
  return { do: act, values: kept };
}

/**
 * Return a record if all of it is sound: a room with an act left out would be another room.
 *
 * @param {any} found
 * @returns {Played | null}
 */
export function soundPlayed(found) {
  const drill = soundDrill(found?.drill);
  if (!drill || !Array.isArray(found.actions) || found.actions.length > MOST_ACTIONS) return null;
  const actions = found.actions.map(soundAction);
  if (actions.includes(null)) return null;
  const { diagnosis, at } = found;
  if (diagnosis !== null && !Array.isArray(diagnosis)) return null;
  if (diagnosis?.some((/** @type {any} */ id) => typeof id !== "string" || !ID.test(id))) return null;
  return { drill, actions, diagnosis, at: typeof at === "string" ? at.slice(0, 40) : "" };
}

export class KeptDrills {
  /** @param {() => Storage} open may throw, as browsers do when storage is forbidden */
  constructor(open = () => globalThis.localStorage) {
    this.open = open;
  }

  /** @returns {Played[]} the latest first */
  all() {
    try {
      const found = JSON.parse(this.open().getItem(KEY) ?? "[]");
      if (!Array.isArray(found)) return [];
      return found.slice(0, MOST_DRILLS).flatMap((one) => soundPlayed(one) ?? []);
    } catch {
      return [];
    }
  }

  /** @param {Drill} drill @returns {Played | null} */
  get(drill) {
    return this.all().find((one) => nameOf(one.drill) === nameOf(drill)) ?? null;
  }

  /** @param {Played} played @returns {boolean} whether the device took it */
  keep(played) {
    const others = this.all().filter((one) => nameOf(one.drill) !== nameOf(played.drill));
    return this.#write([played, ...others].slice(0, MOST_DRILLS));
  }

  /** @param {Drill} drill */
  forget(drill) {
    return this.#write(this.all().filter((one) => nameOf(one.drill) !== nameOf(drill)));
  }

  /** @param {Played[]} drills */
  #write(drills) {
    try {
      this.open().setItem(KEY, JSON.stringify(drills));
      return true;
    } catch {
      return false;
    }
  }
}
