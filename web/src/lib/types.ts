// The journal's shapes (docs/journal.md) and what the server hands out (docs/server.md, docs/app.md).

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };

/** One event of a journal. The fields of its kind stand beside these. */
export interface Event {
  v: number;
  device: string;
  seq: number;
  id: string;
  prev: string;
  hlc: string;
  at: string;
  kind: string;
  [field: string]: Json;
}

export type Fields = { [field: string]: Json };

/** An event as this device keeps it. */
export interface Kept {
  visit: string;
  device: string;
  seq: number;
  event: Event;
  digest: string;
  /** The server has said that it holds it. */
  there: boolean;
}

export interface Media {
  sha: string;
  visit: string;
  type: string;
  bytes: ArrayBuffer;
  there: boolean;
  /** Address of an upload that was begun. */
  upload?: string;
}

export interface Place { level: string; id: string; place: string; key: string; at?: [number, number] }
export interface Todo { subject: string; place: string; level: string; says: string; why: string; ask: boolean }
export interface House {
  kit: number;
  name: string;
  facts: { built: number | null; jurisdiction: string | null; alterations: { what: string; year: number | null }[] };
  bands: { level: string; name: string }[];
  places: Place[];
  section: { light: string; dark: string; alt: string };
  ratio: number;
  todo: Todo[];
}
export interface Quick {
  quantity: string; name: string; component: string; part: string; unit: string; levels: string[];
  doubt: number; relative: number; low: number | null; high: number | null;
  ask?: { input: string; question: string; answers: string[] };
}
export interface Gate { gate: string; name: string; minutes: number; out: string; asks: string[]; stays: string[]; levels: string[] }
export interface Thing { id: string; name: string; back: string; risk: string; again_s: number | null }
export interface Kit {
  kit: number;
  kingpost: string;
  readings: Quick[];
  gates: Gate[];
  things: Thing[];
  reasons: { id: string; says: string }[];
}

export interface Visit {
  id: string;
  name: string;
  /** The journal this phone writes for the visit. */
  device: string;
  started: string;
  cursor: number;
  house?: House;
  /** The server knows the visit. */
  there: boolean;
}
