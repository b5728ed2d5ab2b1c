// Union with the server (docs/server.md). Nothing waits for it; what it has said to hold is marked as there.

import * as db from "./db";
import { digest } from "./journal";
import type { Journal } from "./journal";
import type { Event, House, Kept, Kit, Visit } from "./types";

const API = "/api/1", CHUNK = 512 * 1024, MOST_EVENTS = 200, WAIT_MS = 15_000;

export class Refused extends Error {
  constructor(readonly status: number, problem: string) { super(problem); }
}

export async function ask(path: string, init: RequestInit = {}): Promise<Response> {
  const answer = await fetch(path.startsWith("/") ? path : `${API}/${path}`, {
    ...init, credentials: "same-origin", signal: AbortSignal.timeout(WAIT_MS),
  });
  if (!answer.ok) {
    const said = await answer.json().catch(() => undefined);
    throw new Refused(answer.status, said?.error?.problem ?? `the server answered ${answer.status}`);
  }
  return answer;
}
const post = (path: string, body: unknown) =>
  ask(path, { method: "POST", body: JSON.stringify(body), headers: { "content-type": "application/json" } });

/** The trade's words and lists; kept for when there is no network. */
export async function fetchKit(): Promise<Kit> {
  const kit = (await (await ask("kit")).json()) as Kit;
  await db.keepSetting("kit", kit);
  return kit;
}

export async function serverVisits(): Promise<{ id: string; name: string; started: string }[]> {
  return ((await (await ask("visits")).json()) as { visits: { id: string; name: string; started: string }[] }).visits;
}

/** One round: the visit, events there, bytes there, events here. True when everything of this phone is there. */
export async function round(visit: Visit, journal: Journal): Promise<boolean> {
  if (!visit.there) {
    await post("visits", { id: visit.id, house: { name: visit.name }, visit: { started: visit.started } });
    visit.there = true;
    await db.keepVisit(visit);
  }
  await aligned(visit, journal);
  await give(visit.id);
  await bytes(visit);
  await take(visit, journal);
  if (!visit.house) await fetchHouse(visit).catch(() => undefined);
  const [left, lacking] = [await db.events(visit.id), await db.mediaState(visit.id)];
  return left.every((k) => k.there) && lacking.every((m) => m.there);
}

export async function fetchHouse(visit: Visit): Promise<void> {
  visit.house = (await (await ask(`visits/${visit.id}/kit`)).json()) as House;
  await db.keepVisit(visit);
}

const told = new Map<string, number>();
/** How far this phone's clock runs ahead, written once a day or when it has changed by over a second. */
async function aligned(visit: Visit, journal: Journal): Promise<void> {
  const before = Date.now();
  const { now_ms } = (await (await ask("about")).json()) as { now_ms: number };
  const doubt = (Date.now() - before) / 2, ahead = (before + doubt - now_ms) / 1000;
  const last = told.get(visit.id);
  if (doubt > 2000 || (last !== undefined && Math.abs(last - ahead) < 1) || (last === undefined && Math.abs(ahead) < 1)) return;
  told.set(visit.id, ahead);
  await journal.add("clock", { ahead_s: Number(ahead.toFixed(3)), doubt_s: Number((doubt / 1000).toFixed(3)), against: "server" });
}

/** Sends what this device has kept of a visit and the server has not said to hold. */
export async function give(visit: string): Promise<void> {
  const waiting = (await db.events(visit)).filter((k) => !k.there);
  for (let n = 0; n < waiting.length; n += MOST_EVENTS) {
    const some = waiting.slice(n, n + MOST_EVENTS);
    const said = (await (await post(`visits/${visit}/events`, { events: some.map((k) => k.event) })).json()) as { odd?: { where: string }[] };
    const odd = new Set((said.odd ?? []).map((o) => Number(/\[(\d+)\]/.exec(o.where)?.[1] ?? -1)));
    const by = new Map<string, number[]>();
    some.forEach((k, i) => { if (!odd.has(i)) by.set(k.device, [...(by.get(k.device) ?? []), k.seq]); });
    for (const [device, seqs] of by) await db.markThere(visit, device, seqs);
  }
}

async function bytes(visit: Visit): Promise<void> {
  const waiting = (await db.mediaState(visit.id)).filter((m) => !m.there).map((m) => m.sha);
  for (let n = 0; n < waiting.length; n += 100) {
    const some = waiting.slice(n, n + 100);
    const { have } = (await (await post("media/have", { media: some })).json()) as { have: string[] };
    for (const sha of some) {
      const media = await db.medium(sha);
      if (!media) continue;
      if (!have.includes(sha)) await upload(sha, visit.id);
      await db.changeMedia({ ...media, there: true });
    }
  }
}

const b64 = (text: string) => btoa(unescape(encodeURIComponent(text)));

/** One file by tus 1.0.0; goes on where an earlier try stopped. Returns when the server has compared the digest. */
async function upload(sha: string, visit: string): Promise<void> {
  const media = await db.medium(sha);
  if (!media) return;
  const head = { "Tus-Resumable": "1.0.0" };
  let address = media.upload, offset = 0;
  if (address) {
    try {
      offset = Number((await ask(address, { method: "HEAD", headers: head })).headers.get("Upload-Offset"));
    } catch (err) {
      if (!(err instanceof Refused)) throw err;
      address = undefined;
    }
  }
  if (!address) {
    const meta = `filename ${b64(sha)},filetype ${b64(media.type)},sha256 ${b64(sha)},visit ${b64(visit)}`;
    const made = await ask("uploads", { method: "POST", headers: { ...head, "Upload-Length": String(media.bytes.byteLength), "Upload-Metadata": meta } });
    address = new URL(made.headers.get("Location") ?? "", location.href).pathname;
    offset = 0;
    await db.changeMedia({ ...media, upload: address });
  }
  while (offset < media.bytes.byteLength) {
    const body = media.bytes.slice(offset, offset + CHUNK);
    const said = await ask(address, {
      method: "PATCH", body, headers: { ...head, "Upload-Offset": String(offset), "Content-Type": "application/offset+octet-stream" },
    });
    offset = Number(said.headers.get("Upload-Offset") ?? offset + body.byteLength);
  }
}

async function take(visit: Visit, journal: Journal): Promise<void> {
  for (let more = true; more; ) {
    const said = (await (await ask(`visits/${visit.id}/events?after=${visit.cursor}&most=500`)).json()) as { events: { n: number; event: Event }[]; cursor: number; more: boolean };
    const others: Kept[] = [];
    for (const { event } of said.events) {
      if (event.device === journal.device || typeof event.seq !== "number" || typeof event.hlc !== "string") continue;
      journal.heard(event);
      others.push({ visit: visit.id, device: event.device, seq: event.seq, event, digest: await digest(event), there: true });
    }
    if (others.length) await db.keepOthers(others);
    if (said.cursor !== visit.cursor) { visit.cursor = said.cursor; await db.keepVisit(visit); }
    more = said.more;
  }
}
