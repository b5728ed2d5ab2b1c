// Rows of a list of what is open, and what can be done in one.

import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { desk } from "./desk";
import { Kbd } from "./parts";

/** One row that J and K can be on. */
export function Row({ id, children, waits = id, go }: { id: string; children: ComponentChildren; waits?: string; go?: () => void }) {
  const on = desk.inList && desk.item === id;
  useEffect(() => { if (on) document.getElementById(`i-${id}`)?.scrollIntoView({ block: "nearest" }); }, [on]);
  return (
    <li id={`i-${id}`} data-item={id} class={`${on ? "on" : ""} ${desk.waits(waits) ? "waits" : ""}`} aria-current={on ? "true" : undefined}
      onClick={() => { if (desk.item !== id) { desk.item = id; desk.inList = true; if (desk.about !== id) desk.close(); else desk.changed(); } go?.(); }}>{children}</li>
  );
}
export const Act = ({ k, says, act, main = false }: { k?: string; says: string; act: () => void; main?: boolean }) => <button class={main ? "do" : ""} data-key={k} onClick={(e) => { e.stopPropagation(); act(); }}>{k && <Kbd>{k.toUpperCase()}</Kbd>}{says}</button>;
export const asks = (id: string, form: typeof desk.form) => desk.about === id && desk.form === form;
