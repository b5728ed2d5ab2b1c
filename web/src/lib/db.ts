// What this phone holds. Saved means written, ended and read back; nothing is said to be kept before.

import type { Kept, Media, Visit } from "./types";

const NAME = "kingpost", FORM = 1;
let opened: Promise<IDBDatabase> | undefined;

function open(): Promise<IDBDatabase> {
  opened ??= new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, FORM);
    asked.onupgradeneeded = () => {
      const db = asked.result;
      db.createObjectStore("events", { keyPath: ["visit", "device", "seq"] });
      db.createObjectStore("media", { keyPath: "sha" }).createIndex("visit", "visit");
      db.createObjectStore("visits", { keyPath: "id" });
      db.createObjectStore("settings");
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => { asked.result.close(); opened = undefined; };
      done(asked.result);
    };
    asked.onerror = () => { opened = undefined; fail(asked.error); };
  });
  return opened;
}

/** One transaction; ends when it is on disk. */
async function work<T>(stores: string[], mode: IDBTransactionMode, act: (tx: IDBTransaction) => IDBRequest<T> | undefined): Promise<T> {
  const db = await open();
  return new Promise((done, fail) => {
    const tx = db.transaction(stores, mode, { durability: "strict" });
    const asked = act(tx);
    tx.oncomplete = () => done(asked?.result as T);
    tx.onabort = tx.onerror = () => fail(tx.error ?? asked?.error ?? new Error("the phone's storage refused"));
  });
}

const within = (visit: string, device?: string) =>
  device ? IDBKeyRange.bound([visit, device, 0], [visit, device, Infinity]) : IDBKeyRange.bound([visit, "", 0], [visit, "\uffff", Infinity]);

/** Keeps an event of this phone, and reads it back. */
export async function keepEvent(kept: Kept): Promise<void> {
  await work(["events"], "readwrite", (tx) => tx.objectStore("events").add(kept));
  const read = await work<Kept | undefined>(["events"], "readonly", (tx) => tx.objectStore("events").get([kept.visit, kept.device, kept.seq]));
  if (read?.digest !== kept.digest) throw new Error("what was written could not be read back");
}

/** Keeps events of other holders; the ones that are here already stay as they are. */
export async function keepOthers(all: Kept[]): Promise<void> {
  await work(["events"], "readwrite", (tx) => {
    const store = tx.objectStore("events");
    for (const one of all) {
      const asked = store.get([one.visit, one.device, one.seq]);
      asked.onsuccess = () => { if (!asked.result) store.put(one); };
    }
    return undefined;
  });
}

export async function markThere(visit: string, device: string, seqs: number[]): Promise<void> {
  await work(["events"], "readwrite", (tx) => {
    const store = tx.objectStore("events");
    for (const seq of seqs) {
      const asked = store.get([visit, device, seq]);
      asked.onsuccess = () => { if (asked.result) store.put({ ...asked.result, there: true }); };
    }
    return undefined;
  });
}

export const events = (visit: string, device?: string): Promise<Kept[]> =>
  work(["events"], "readonly", (tx) => tx.objectStore("events").getAll(within(visit, device)));

/** Keeps bytes under their digest, and reads them back. */
export async function keepMedia(media: Media): Promise<void> {
  const had = await medium(media.sha);
  if (had && had.bytes.byteLength === media.bytes.byteLength) return;
  await work(["media"], "readwrite", (tx) => tx.objectStore("media").put(media));
  const read = await medium(media.sha);
  if (read?.bytes.byteLength !== media.bytes.byteLength) throw new Error("what was written could not be read back");
}

export const medium = (sha: string): Promise<Media | undefined> =>
  work(["media"], "readonly", (tx) => tx.objectStore("media").get(sha));
export const changeMedia = (media: Media): Promise<unknown> =>
  work(["media"], "readwrite", (tx) => tx.objectStore("media").put(media));

/** Digests of a visit's bytes, and whether the server has them; without loading the bytes all at once. */
export async function mediaState(visit: string): Promise<{ sha: string; there: boolean }[]> {
  const db = await open();
  return new Promise((done, fail) => {
    const out: { sha: string; there: boolean }[] = [];
    const tx = db.transaction(["media"], "readonly");
    const asked = tx.objectStore("media").index("visit").openCursor(IDBKeyRange.only(visit));
    asked.onsuccess = () => {
      const at = asked.result;
      if (!at) return;
      out.push({ sha: at.value.sha, there: at.value.there });
      at.continue();
    };
    tx.oncomplete = () => done(out);
    tx.onerror = () => fail(tx.error);
  });
}

export const visits = (): Promise<Visit[]> => work(["visits"], "readonly", (tx) => tx.objectStore("visits").getAll());
export const visitOf = (id: string): Promise<Visit | undefined> => work(["visits"], "readonly", (tx) => tx.objectStore("visits").get(id));
export const keepVisit = (visit: Visit): Promise<unknown> => work(["visits"], "readwrite", (tx) => tx.objectStore("visits").put(visit));
export const setting = <T>(name: string): Promise<T | undefined> => work(["settings"], "readonly", (tx) => tx.objectStore("settings").get(name));
export const keepSetting = (name: string, value: unknown): Promise<unknown> =>
  work(["settings"], "readwrite", (tx) => tx.objectStore("settings").put(value, name));
