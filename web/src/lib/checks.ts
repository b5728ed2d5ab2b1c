// The report's own checks, on the phone: Python in a worker, loaded behind everything else. The page works without it.

export interface Verdict {
  verdict: "meets" | "falls_short" | "cannot_tell" | "not_applicable";
  says: string; caution: string; measured: string; sum: string; held_against: string; by_its_date: string; title: string; check: string;
  sources: { document: string; section: string; edition: string; basis: string }[];
  missing: string[];
}
export interface Answer { checks: Verdict[]; rule: { light: string; dark: string } | null }

type Waiting = { done: (answer: Answer) => void; fail: (why: Error) => void };

export class Checks {
  state: "loading" | "ready" | "none" = "loading";
  private readonly worker: Worker;
  private readonly waiting = new Map<number, Waiting>();
  private n = 0;

  constructor(changed: () => void) {
    this.worker = new Worker(new URL("../worker.ts", import.meta.url), { type: "module" });
    this.worker.onmessage = ({ data }: MessageEvent<{ n: number; answer?: string; state?: "ready" | "none"; trouble?: string }>) => {
      if (data.state) { this.state = data.state; changed(); return; }
      const one = this.waiting.get(data.n);
      this.waiting.delete(data.n);
      if (data.answer) one?.done(JSON.parse(data.answer) as Answer);
      else one?.fail(new Error(data.trouble ?? "the check stopped"));
    };
    this.worker.onerror = () => { this.state = "none"; changed(); };
  }

  ask(readings: unknown[], facts: unknown): Promise<Answer> {
    const n = ++this.n;
    return new Promise((done, fail) => {
      this.waiting.set(n, { done, fail });
      this.worker.postMessage({ n, asked: JSON.stringify({ readings, facts }) });
    });
  }
}
